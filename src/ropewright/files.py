"""Writing a result whole or not at all."""

import contextlib
import os
import tempfile
from pathlib import Path

from ropewright.errors import RopewrightError

__all__ = ["WriteError", "write_whole"]


class WriteError(RopewrightError):
    """A result that couldn't be written; what stood there before is untouched."""


def write_whole(path: Path, content: bytes) -> None:
    """Write `content` to `path` so that a reader finds the old file or the new one, never half of one.

    The bytes go to a temporary file in the same folder, are forced to the disk, and take the name at the end.
    Errors: WriteError, in one line; the temporary file is removed.
    """
    temporary: Path | None = None
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.", suffix=".part")
        temporary = Path(name)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        temporary.chmod(_mode_for(path))
        temporary.replace(path)
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
