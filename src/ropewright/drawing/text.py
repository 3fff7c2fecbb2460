"""How wide words are: the advance widths of the typeface that drawings and sheets are set in.

The typeface comes from a package that holds nothing but font files; a viewer without it squeezes its own
letters into the measured width, so that what did not overlap here overlaps nowhere.
"""

from __future__ import annotations

import struct
import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from ropewright.errors import RopewrightError

__all__ = ["FAMILY", "FontError", "cut", "font_folder", "plain", "width", "wrapped"]

FAMILY = "Source Sans Pro"
_PACKAGE = "font_source_sans_pro"
_WEIGHTS = {"normal": "SourceSansPro-Regular.ttf", "bold": "SourceSansPro-Semibold.ttf"}
_UNKNOWN, _WIDE = 0.62, 1.0  # em, for characters that the typeface lacks


class FontError(RopewrightError):
    """The typeface's files are not where the package should have put them."""


@dataclass(frozen=True, slots=True)
class _Metrics:
    advance: dict[int, float]


@cache
def font_folder() -> Path:
    """The folder that holds the typeface's files."""
    spec = find_spec(_PACKAGE)
    if spec is None or not spec.submodule_search_locations:
        raise FontError("the typeface is missing: the package font-source-sans-pro is not installed")
    return Path(next(iter(spec.submodule_search_locations))) / "files"


def width(text: str, size: float, weight: str = "normal") -> float:
    """Return the width of one line set at `size`, in the units of `size`."""
    advance = _metrics(weight).advance
    total = 0.0
    for character in text:
        step = advance.get(ord(character))
        total += _guess(character) if step is None else step
    return total * size


def plain(text: str, longest: int = 80) -> str:
    """Return one line without characters that draw nothing or turn the direction of writing."""
    shown = "".join(" " if c.isspace() else c for c in text[: longest * 4])
    shown = "".join(c for c in shown if unicodedata.category(c) not in {"Cc", "Cf", "Cs", "Co", "Cn"})
    shown = " ".join(shown.split())
    return shown if len(shown) <= longest else f"{shown[: longest - 1]}…"


def cut(text: str, size: float, most: float, weight: str = "normal") -> str:
    """Return the text, its end replaced by an ellipsis where it is wider than `most`."""
    if width(text, size, weight) <= most:
        return text
    while text and width(f"{text}…", size, weight) > most:
        text = text[:-1]
    return f"{text.rstrip()}…"


def wrapped(text: str, size: float, most: float, weight: str = "normal") -> list[str]:
    """Return the text in lines no wider than `most`; a word wider than a line is cut."""
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if width(longer, size, weight) <= most:
            line = longer
            continue
        if line:
            lines.append(line)
        line = cut(word, size, most, weight)
    return [*lines, line] if line else lines


def _guess(character: str) -> float:
    if unicodedata.combining(character):
        return 0.0
    return _WIDE if unicodedata.east_asian_width(character) in {"W", "F"} else _UNKNOWN


@cache
def _metrics(weight: str) -> _Metrics:
    path = font_folder() / _WEIGHTS[weight]
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FontError(f"the typeface can't be read: {error.strerror}") from None
    tables = _tables(data)
    scale = struct.unpack_from(">H", data, tables[b"head"] + 18)[0]
    count = struct.unpack_from(">H", data, tables[b"hhea"] + 34)[0]
    advances = [struct.unpack_from(">H", data, tables[b"hmtx"] + 4 * k)[0] for k in range(count)]
    glyphs = _characters(data, tables[b"cmap"])
    return _Metrics({code: advances[min(glyph, count - 1)] / scale for code, glyph in glyphs.items()})


def _tables(data: bytes) -> dict[bytes, int]:
    count = struct.unpack_from(">H", data, 4)[0]
    entries = (struct.unpack_from(">4sLLL", data, 12 + 16 * k) for k in range(count))
    return {tag: offset for tag, _, offset, _ in entries}


def _characters(data: bytes, cmap: int) -> dict[int, int]:
    """The glyph of every character of the basic plane (the table's segments, OpenType format 4)."""
    count = struct.unpack_from(">H", data, cmap + 2)[0]
    for k in range(count):
        platform, encoding, offset = struct.unpack_from(">HHL", data, cmap + 4 + 8 * k)
        start = cmap + offset
        if (platform, encoding) in {(3, 1), (0, 3)} and struct.unpack_from(">H", data, start)[0] == 4:
            return _segments(data, start)
    raise FontError("the typeface has no table of characters that can be read")


def _segments(data: bytes, start: int) -> dict[int, int]:
    count = struct.unpack_from(">H", data, start + 6)[0] // 2
    row = f">{count}H"
    ends = struct.unpack_from(row, data, start + 14)
    starts = struct.unpack_from(row, data, start + 16 + 2 * count)
    deltas = struct.unpack_from(row, data, start + 16 + 4 * count)
    ranges_at = start + 16 + 6 * count
    ranges = struct.unpack_from(row, data, ranges_at)
    out: dict[int, int] = {}
    for k in range(count):
        for code in range(starts[k], min(ends[k], 0xFFFE) + 1):
            if ranges[k] == 0:
                glyph = (code + deltas[k]) & 0xFFFF
            else:
                at = ranges_at + 2 * k + ranges[k] + 2 * (code - starts[k])
                glyph = struct.unpack_from(">H", data, at)[0]
                glyph = (glyph + deltas[k]) & 0xFFFF if glyph else 0
            if glyph:
                out[code] = glyph
    return out
