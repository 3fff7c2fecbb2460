"""The command line: thin, over the packages that do the work."""

from ropewright.cli.main import main

__all__ = ["main"]
