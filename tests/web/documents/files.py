"""Pictures and documents made for the tests."""

from __future__ import annotations

import struct
import zlib

__all__ = ["jpeg", "pdf", "png", "webp"]


def png(width: int = 2, height: int = 2) -> bytes:
    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    size = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"".join(b"\0" + b"\x80" * min(width, 64) for _ in range(min(height, 64))))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", size) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def jpeg(width: int = 8, height: int = 8, comment: bytes = b"") -> bytes:
    """A frame with everything a walker looks at; its pixels are stuffed bytes and a restart mark."""

    def segment(mark: int, data: bytes) -> bytes:
        return bytes([0xFF, mark]) + struct.pack(">H", len(data) + 2) + data

    frame = struct.pack(">BHHB", 8, height, width, 1) + b"\x01\x11\x00"
    scan = b"\x01\x01\x00\x00\x3f\x00"
    said = segment(0xFE, comment) if comment else b""
    pixels = b"\x12\xff\x00\x34\xff\xd0\x56"
    start = b"\xff\xd8" + segment(0xE0, b"JFIF\0\1\1\0\0\1\0\1\0\0") + said
    return start + segment(0xC0, frame) + b"\xff" + segment(0xDA, scan) + pixels + b"\xff\xd9"


def webp(width: int = 20, height: int = 10, kind: bytes = b"VP8L") -> bytes:
    lossless = b"\x2f" + struct.pack("<I", (width - 1) | (height - 1) << 14) + b"\0" * 3
    lossy = b"\0\0\0\x9d\x01\x2a" + struct.pack("<HH", width, height) + b"\0" * 6
    large = b"\0" * 4 + (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
    chunks = {"VP8L": [(b"VP8L", lossless)], "VP8 ": [(b"VP8 ", lossy)]}
    chunks["VP8X"] = [(b"VP8X", large), (b"VP8 ", lossy)]
    body = b"".join(
        name + struct.pack("<I", len(data)) + data + b"\0" * (len(data) % 2)
        for name, data in chunks[kind.decode()]
    )
    return b"RIFF" + struct.pack("<I", len(body) + 4) + b"WEBP" + body


def pdf(inside: bytes = b"") -> bytes:
    return b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\n" + inside + b"\nstartxref\n9\n%%EOF\n"
