"""The text of a file that people write; what is no text, or too much of it, is refused with its place."""

import stat
from pathlib import Path as FilePath

from ropewright.rig.faults import Fault, RigFileError
from ropewright.rig.yamltext import MOST_BYTES

__all__ = ["read_text"]


def read_text(source: FilePath | str | bytes, name: str, noun: str, such_as: str) -> str:
    """Read a file (a Path) or take its text (str or bytes), with line ends of one kind.

    name: what the file is called in an error; noun: what such a file is, as in "a rig file"; such_as: a name
    that one could have. Errors: RigFileError.
    """
    if isinstance(source, str):
        data = source.encode("utf-8", "surrogatepass")
    else:
        data = source if isinstance(source, bytes) else _bytes(source, noun, such_as)
    if len(data) > MOST_BYTES:
        what = noun.split()[1]
        raise _unusable(name, f"more than {MOST_BYTES // 1000:,} kB; {noun} holds one {what}")
    if b"\0" in data:
        raise _unusable(name, f"this is no text (it holds zero bytes); {noun} is YAML text in UTF-8")
    try:
        return data.decode("utf-8").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line, column = before.count(b"\n") + 1, error.start - (before.rfind(b"\n") + 1) + 1
        text = f"found a byte (0x{data[error.start]:02x}) that is no UTF-8; save the file as UTF-8"
        raise RigFileError([Fault(line, column, "", text)], name) from None


def _bytes(path: FilePath, noun: str, such_as: str) -> bytes:
    """Read a file, no more of it than is needed to know that it is too long."""
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode):
            what = "a folder" if stat.S_ISDIR(mode) else "no ordinary file"
            raise _unusable(str(path), f"this is {what}; name {noun}, as in `{such_as}`")
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise _unusable(str(path), "there is no such file; check the name") from None
    except PermissionError:
        raise _unusable(str(path), "the file may not be read; ask its owner for permission") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _unusable(str(path), f"the file can't be read: {reason}") from None


def _unusable(name: str, text: str) -> RigFileError:
    return RigFileError([Fault(1, 1, "", text)], name)
