"""The structure of pictures: how large one is, where it ends. Nothing is decoded; the frame is walked.

What a camera or somebody hostile hung on behind the end of the picture is no part of it and is not kept.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

__all__ = ["PICTURES", "Picture", "PictureError"]


class PictureError(ValueError):
    """A picture that breaks off or is not what it says."""


@dataclass(frozen=True, slots=True)
class Picture:
    """Width and height in pixels, and the offset at which the picture ends."""

    width: int
    height: int
    end: int


_JPEG_FRAMES = frozenset({*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC})
_JPEG_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})


def jpeg(data: bytes) -> Picture:
    """Walk the segments of a JPEG to its end mark. Errors: PictureError."""
    width = height = 0
    scans = 0
    at = 2
    while True:
        if at + 4 > len(data) and data[at : at + 2] != b"\xff\xd9":
            raise PictureError("the picture breaks off")
        if data[at] != 0xFF:
            raise PictureError("the picture is damaged")
        mark = data[at + 1]
        if mark == 0xFF:  # filling
            at += 1
        elif mark == 0xD9:
            break
        elif mark in _JPEG_ALONE:
            at += 2
        else:
            length = int.from_bytes(data[at + 2 : at + 4], "big")
            if mark in _JPEG_FRAMES:
                height, width = _two(data, at + 5, "big")
            at += 2 + length
            if mark == 0xDA:
                scans += 1
                at = _after_scan(data, at)
    if not scans:
        raise PictureError("the picture has no pixels in it")
    return Picture(width, height, at + 2)


def _after_scan(data: bytes, at: int) -> int:
    """Where the mark after a scan stands: the pixels hold FF only before 00 or a restart mark."""
    while True:
        at = data.find(b"\xff", at)
        if at < 0 or at + 1 >= len(data):
            raise PictureError("the picture breaks off")
        if data[at + 1] != 0x00 and data[at + 1] not in _JPEG_ALONE:
            return at
        at += 2


def png(data: bytes) -> Picture:
    """Walk the chunks of a PNG, with their check sums, to its end. Errors: PictureError."""
    at, pixels = 8, False
    if data[12:16] != b"IHDR" or data[8:12] != b"\x00\x00\x00\x0d":
        raise PictureError("the picture does not start with its size")
    width, height = int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")
    while True:
        length, name = int.from_bytes(data[at : at + 4], "big"), data[at + 4 : at + 8]
        end = at + 12 + length
        if end > len(data):
            raise PictureError("the picture breaks off")
        if zlib.crc32(data[at + 4 : end - 4]) != int.from_bytes(data[end - 4 : end], "big"):
            raise PictureError("the picture is damaged")
        pixels = pixels or name == b"IDAT"
        at = end
        if name == b"IEND":
            break
    if not pixels:
        raise PictureError("the picture has no pixels in it")
    return Picture(width, height, at)


def webp(data: bytes) -> Picture:
    """Walk the chunks of a WebP. Errors: PictureError."""
    end = 8 + int.from_bytes(data[4:8], "little")
    if end > len(data) or end < 12:
        raise PictureError("the picture breaks off")
    size: tuple[int, int] | None = None
    at, pixels = 12, False
    while at + 8 <= end:
        name, length = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "little")
        if at + 8 + length > end:
            raise PictureError("the picture breaks off")
        if name in _WEBP_SIZES and size is None:
            size = _WEBP_SIZES[name](data[at + 8 : at + 8 + length])
        pixels = pixels or name in (b"VP8 ", b"VP8L", b"ANMF")
        at += 8 + length + length % 2
    if size is None or not pixels:
        raise PictureError("the picture has no pixels in it")
    return Picture(*size, end)


def _vp8(chunk: bytes) -> tuple[int, int]:
    if chunk[3:6] != b"\x9d\x01\x2a":
        raise PictureError("the picture is damaged")
    width, height = _two(chunk, 6, "little")
    return width & 0x3FFF, height & 0x3FFF


def _vp8l(chunk: bytes) -> tuple[int, int]:
    if chunk[:1] != b"\x2f":
        raise PictureError("the picture is damaged")
    bits = int.from_bytes(chunk[1:5], "little")
    return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1


def _vp8x(chunk: bytes) -> tuple[int, int]:
    return int.from_bytes(chunk[4:7], "little") + 1, int.from_bytes(chunk[7:10], "little") + 1


def _two(data: bytes, at: int, order: Literal["big", "little"]) -> tuple[int, int]:
    """Two numbers of two bytes."""
    return int.from_bytes(data[at : at + 2], order), int.from_bytes(data[at + 2 : at + 4], order)


_WEBP_SIZES: Mapping[bytes, Callable[[bytes], tuple[int, int]]] = {
    b"VP8 ": _vp8,
    b"VP8L": _vp8l,
    b"VP8X": _vp8x,
}
PICTURES: Mapping[str, Callable[[bytes], Picture]] = {
    "image/jpeg": jpeg,
    "image/png": png,
    "image/webp": webp,
}
