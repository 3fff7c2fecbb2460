"""What is drawn, as data: strokes and shapes in layers, each also noting what a label must keep off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from .geometry import Box, around, unit

__all__ = ["INK", "LAYERS", "PAPER", "TINT", "Mark", "Sketch", "number"]

LAYERS = ("ground", "gear", "rope", "front", "note", "label")
INK, PAPER, TINT, GREY = "#1a1a1a", "#ffffff", "#ececec", "#6b6b6b"


def number(value: float) -> str:
    """Two decimals at most, always with a point, never minus nought."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def _xy(p: complex) -> str:
    return f"{number(p.real)} {number(p.imag)}"


@dataclass(frozen=True, slots=True)
class Mark:
    """One element of the picture: its tag, its attributes in order, its text."""

    tag: str
    attributes: tuple[tuple[str, str], ...]
    text: str = ""


@dataclass(slots=True)
class Sketch:
    """Marks by layer, and the room that they take: ``boxes`` and ``lines`` (x, y, x, y, half width)."""

    marks: dict[str, list[Mark]] = field(default_factory=lambda: {layer: [] for layer in LAYERS})
    boxes: list[Box] = field(default_factory=list)
    lines: list[tuple[float, float, float, float, float]] = field(default_factory=list)

    def add(self, layer: str, tag: str, text: str = "", **attributes: str) -> None:
        """Add one element; underscores in attribute names stand for hyphens."""
        pairs = tuple((name.rstrip("_").replace("_", "-"), value) for name, value in attributes.items())
        self.marks[layer].append(Mark(tag, pairs, text))

    def keep_off(self, a: complex, b: complex, half: float) -> None:
        """Note a stroke that no label may touch."""
        self.lines.append((a.real, a.imag, b.real, b.imag, half))

    def line(
        self,
        a: complex,
        b: complex,
        width: float = 1.4,
        layer: str = "front",
        colour: str = INK,
        dash: str = "",
        cap: str = "round",
    ) -> None:
        """A straight stroke."""
        more = {"stroke_dasharray": dash} if dash else {}
        self.add(
            layer,
            "path",
            d=f"M{_xy(a)}L{_xy(b)}",
            fill="none",
            stroke=colour,
            stroke_width=number(width),
            stroke_linecap=cap,
            **more,
        )
        self.keep_off(a, b, width / 2)

    def shape(
        self,
        points: Sequence[complex],
        fill: str = PAPER,
        width: float = 1.4,
        layer: str = "front",
        closed: bool = True,
        colour: str = INK,
    ) -> None:
        """A polygon, or an open row of strokes."""
        d = "M" + "L".join(_xy(p) for p in points) + ("Z" if closed else "")
        self.add(
            layer,
            "path",
            d=d,
            fill=fill if closed else "none",
            stroke=colour if width else "none",
            stroke_width=number(width),
            stroke_linejoin="round",
            stroke_linecap="round",
        )
        if closed:
            self.boxes.append(around(points, width / 2))
        else:
            for a, b in pairwise(points):
                self.keep_off(a, b, width / 2)

    def circle(
        self,
        centre: complex,
        radius: float,
        fill: str = PAPER,
        width: float = 1.4,
        layer: str = "front",
        colour: str = INK,
    ) -> None:
        """A circle."""
        self.add(
            layer,
            "circle",
            cx=number(centre.real),
            cy=number(centre.imag),
            r=number(radius),
            fill=fill,
            stroke=colour if width else "none",
            stroke_width=number(width),
        )
        self.boxes.append(around([centre], radius + width / 2))

    def oval(
        self, a: complex, b: complex, half: float, width: float = 1.4, layer: str = "front", fill: str = PAPER
    ) -> None:
        """A link: two strokes with round ends about the line from a to b."""
        way = unit(b - a)
        n = way * 1j * half
        d = (
            f"M{_xy(a + n)}L{_xy(b + n)}A{number(half)} {number(half)} 0 0 0 {_xy(b - n)}"
            f"L{_xy(a - n)}A{number(half)} {number(half)} 0 0 0 {_xy(a + n)}Z"
        )
        self.add(layer, "path", d=d, fill=fill, stroke=INK, stroke_width=number(width))
        self.keep_off(a, b, half + width / 2)

    def curve(
        self, points: Sequence[complex], width: float = 1.4, layer: str = "front", colour: str = INK
    ) -> None:
        """A cubic curve: start, two handles, end."""
        a, p, q, b = points
        self.add(
            layer,
            "path",
            d=f"M{_xy(a)}C{_xy(p)} {_xy(q)} {_xy(b)}",
            fill="none",
            stroke=colour,
            stroke_width=number(width),
            stroke_linecap="round",
        )
        before = a
        for k in range(1, 5):
            t = k / 4
            here = (1 - t) ** 3 * a + 3 * t * (1 - t) ** 2 * p + 3 * t * t * (1 - t) * q + t**3 * b
            self.keep_off(before, here, width / 2)
            before = here

    def arc(
        self,
        centre: complex,
        radius: float,
        start: float,
        sweep: float,
        width: float = 1.1,
        layer: str = "note",
    ) -> None:
        """An arc from the bearing `start` [rad] through `sweep` [rad], clockwise where positive."""
        steps = max(2, math.ceil(abs(sweep) / 0.35))
        at = [centre + radius * _polar(start + sweep * k / steps) for k in range(steps + 1)]
        large, way = ("1" if abs(sweep) > math.pi else "0"), ("1" if sweep > 0 else "0")
        d = f"M{_xy(at[0])}A{number(radius)} {number(radius)} 0 {large} {way} {_xy(at[-1])}"
        self.add(layer, "path", d=d, fill="none", stroke=INK, stroke_width=number(width))
        for a, b in pairwise(at):
            self.keep_off(a, b, width)

    def arrow(
        self, a: complex, b: complex, width: float = 1.8, layer: str = "note", head: float = 8.0
    ) -> None:
        """An arrow from a to b."""
        way = unit(b - a)
        neck = b - way * head
        self.line(a, neck, width, layer)
        self.head(b, way, layer, head)

    def head(
        self, tip: complex, way: complex, layer: str = "note", size: float = 8.0, fill: str = INK
    ) -> None:
        """An arrow's head with its tip at `tip`."""
        n = way * 1j * size * 0.42
        self.shape([tip, tip - way * size + n, tip - way * size - n], fill, 0.0, layer)

    def text(
        self,
        at: complex,
        words: str,
        size: float,
        length: float,
        weight: str = "normal",
        colour: str = INK,
        layer: str = "label",
    ) -> None:
        """One line of text from its left end on the base line, `length` wide."""
        if not words:
            return
        more = {"font_weight": "600"} if weight == "bold" else {}
        self.add(
            layer,
            "text",
            words,
            x=number(at.real),
            y=number(at.imag),
            font_size=number(size),
            textLength=number(length),
            lengthAdjust="spacingAndGlyphs",
            fill=colour,
            **more,
        )


def _polar(bearing: float) -> complex:
    return complex(math.cos(bearing), math.sin(bearing))
