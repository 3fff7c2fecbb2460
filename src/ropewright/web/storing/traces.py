"""What a restore leaves where it fails: nothing that was not there before."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from ropewright.web.held import HeldError, alone

__all__ = ["traces"]

_MADE = ("key", ".server", ".serving")
"""What a start makes in a home folder, in the order in which it is taken away: the lock last."""


def traces(home: Path) -> Callable[[], None]:
    """Note what is there; what is given takes away what was made since, unless somebody uses it by then."""
    made = [name for name in _MADE if not (home / name).exists()]
    folders = [folder for folder in (home, *home.parents) if not folder.exists()]

    def clear() -> None:
        with suppress(OSError, HeldError):
            if home.is_dir():
                with alone(home):
                    for name in made:
                        (home / name).unlink(missing_ok=True)
            for folder in folders:
                folder.rmdir()

    return clear
