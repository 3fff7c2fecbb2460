"""Writing a sketch as SVG: presentation attributes only, fixed digits, one way to write each thing."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, tostring

from .geometry import Box
from .ink import LAYERS, PAPER, Sketch, number
from .text import FAMILY

__all__ = ["write_svg"]


def write_svg(sketches: Sequence[Sketch], page: Box, title: str, alt: str) -> str:
    """Return the SVG text of some sketches, one over the other; `page` is the part that is shown."""
    wide, high = page.right - page.left, page.bottom - page.top
    root = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {number(wide)} {number(high)}",
            "width": number(wide),
            "height": number(high),
            "role": "img",
            "font-family": f"'{FAMILY}', 'Source Sans 3', Arial, Helvetica, sans-serif",
        },
    )
    SubElement(root, "title").text = title
    SubElement(root, "desc").text = alt
    SubElement(root, "rect", {"width": number(wide), "height": number(high), "fill": PAPER})
    moved = SubElement(root, "g", {"transform": f"translate({number(-page.left)} {number(-page.top)})"})
    for ink in sketches:
        for layer in LAYERS:
            if not ink.marks[layer]:
                continue
            group = SubElement(moved, "g")
            for mark in ink.marks[layer]:
                element = SubElement(group, mark.tag, dict(mark.attributes))
                if mark.text:
                    element.text = mark.text
    return tostring(root, encoding="unicode") + "\n"
