"""What `check` prints for people: the verdict, what was found, and the figures in tables."""

from ropewright.cli.summary.page import brief, summary

__all__ = ["brief", "summary"]
