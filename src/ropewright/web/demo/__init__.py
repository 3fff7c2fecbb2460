"""The invented Tern Harbor team that fills an empty store."""

__all__ = ["PASSWORD"]

PASSWORD = "tern-harbor-demo"
"""The password of every demo account. It is printed at each start: a demo runs on one machine alone."""
