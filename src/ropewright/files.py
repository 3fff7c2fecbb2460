"""Writing a result whole or not at all."""

import contextlib
import hashlib
import os
import stat
import tempfile
from collections.abc import Iterable
from pathlib import Path

from ropewright.errors import RopewrightError

__all__ = ["WriteError", "fingerprint", "kind_of", "refuse_obstacle", "write_whole"]

_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def fingerprint(root: Path, paths: Iterable[Path], also: str = "") -> str:
    """A digest of the names under a root, sizes and times of files: it changes with any of them.

    also: words that it follows from besides.
    """
    seen = hashlib.sha256(also.encode())
    for path in sorted(paths):
        stat_of = path.stat()
        seen.update(f"{path.relative_to(root)} {stat_of.st_size} {stat_of.st_mtime_ns}\n".encode())
    return seen.hexdigest()


class WriteError(RopewrightError):
    """A result that couldn't be written; what stood there before is untouched."""


def kind_of(mode: int) -> str | None:
    """Say what stands behind a file's mode, as in 'a folder'; None where it is an ordinary file."""
    if stat.S_ISREG(mode):
        return None
    return next((name for is_one, name in _KINDS if is_one(mode)), "no ordinary file")


def refuse_obstacle(path: Path) -> None:
    """Raise WriteError where something other than an ordinary file stands at a path, links followed."""
    try:
        obstacle = kind_of(path.stat().st_mode)
    except (OSError, ValueError):  # nothing there, or a name that the writing itself complains about
        return
    if obstacle:
        raise WriteError(f"{path}: can't be written: this is {obstacle}; name an ordinary file or a new one")


def write_whole(path: Path, content: bytes) -> None:
    """Write `content` to `path` so that a reader finds the old file or the new one, never half of one.

    The bytes go to a temporary file in the same folder, are forced to the disk, and take the name at the end.
    A link stays, and the file that it leads to is written. Only an ordinary file is ever replaced: a folder,
    a device or a pipe stays what it is.
    Errors: WriteError, in one line; the temporary file is removed.
    """
    refuse_obstacle(path)
    temporary: Path | None = None
    try:
        # Not strict: a link may lead to a file that is still to be made. One that leads to itself is told.
        target = Path(os.path.realpath(path))
        mode = _mode_for(target)
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}.", suffix=".part")
        temporary = Path(name)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        temporary.chmod(mode)
        temporary.replace(target)
    except (OSError, ValueError) as error:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
        reason = getattr(error, "strerror", None) or "its name can't be used"
        raise WriteError(f"{path}: can't be written: {reason}") from None


def _mode_for(path: Path) -> int:
    """Return the rights of the file that is replaced, or those that a new file would get."""
    try:
        return path.stat().st_mode & 0o7777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask
