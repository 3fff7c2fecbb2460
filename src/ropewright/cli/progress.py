"""A progress bar on standard error, for people only."""

import sys

from ropewright.cli.terminal import clean

__all__ = ["Progress"]

_WIDTH = 24


class Progress:
    """Shows how far a list of files is done; silent where standard error is no terminal, and for one file."""

    def __init__(self, total: int) -> None:
        self.total, self.done = total, 0
        self.shows = total > 1 and sys.stderr is not None and sys.stderr.isatty()

    def begin(self, name: str) -> None:
        """Show the bar with the file that is worked on."""
        if self.shows:
            full = _WIDTH * self.done // self.total
            bar = "━" * full + "╌" * (_WIDTH - full)
            sys.stderr.write(f"\r\x1b[K{bar} {self.done + 1} of {self.total}  {clean(name, 60)}")
            sys.stderr.flush()

    def end(self) -> None:
        """Take the bar away, so that what is printed next stands alone."""
        self.done += 1
        if self.shows:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()
