"""The formats of this language."""
