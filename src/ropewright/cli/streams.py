"""Standard streams that may be closed, and characters that a terminal may lack."""

import contextlib
import errno
import io
import os
import sys

__all__ = ["prepare_streams", "quiet_output"]


class _NoReader(io.TextIOBase):
    """Standard output that was closed before the start: writing meets what a closed pipe would give."""

    def write(self, text: str, /) -> int:  # noqa: ARG002
        raise BrokenPipeError(errno.EPIPE, os.strerror(errno.EPIPE))


class _Nowhere(io.TextIOBase):
    """Standard error that was closed before the start: there is nobody to complain to."""

    def write(self, text: str, /) -> int:
        return len(text)


def prepare_streams() -> None:
    """Stand in for closed streams, and let a terminal that lacks a character show its escape."""
    if None in (sys.stdin, sys.stdout, sys.stderr):
        _take_low_numbers()
    if sys.stdout is None:
        sys.stdout = _NoReader()
    if sys.stderr is None:
        sys.stderr = _Nowhere()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _take_low_numbers() -> None:
    """Fill the descriptors 0 to 2, so that no file of ours gets one and is written to by a library."""
    while (number := os.open(os.devnull, os.O_RDWR)) <= 2:
        pass
    os.close(number)


def quiet_output() -> None:
    """Point standard output at nothing, so that Python's own flush at the end stays quiet too."""
    with contextlib.suppress(OSError, ValueError), open(os.devnull, "wb") as nothing:  # noqa: PTH123 - a device
        os.dup2(nothing.fileno(), sys.stdout.fileno())
