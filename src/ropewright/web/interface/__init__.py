"""The interface for scripts: read-only, by token."""
