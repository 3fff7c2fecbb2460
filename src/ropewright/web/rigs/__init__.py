"""The room of rigs: library, pages, versions, comparing, editing."""
