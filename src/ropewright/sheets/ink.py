"""A picture made fit for one black ink: no colour, no grey, no tint, no stroke too thin to copy."""

from __future__ import annotations

from xml.etree import ElementTree

from ropewright.drawing import Picture

from .glyphs import shown
from .model import Print

__all__ = ["LEAST_SIZE", "LEAST_STROKE", "TRIM", "printable"]

LEAST_SIZE = 8.0
"""Smallest type on a sheet [pt]."""
LEAST_STROKE = 0.5
"""Thinnest line on a sheet [pt]."""

TRIM = 12.0
"""What is cut off each side of a picture [page units]: the sheet has margins of its own."""

_SVG = "http://www.w3.org/2000/svg"
_PAPER = 0.6
"""Share of light from which a fill is left to the paper."""


def printable(picture: Picture) -> Print:
    """The picture in black, at the size [pt] at which its smallest words are just large enough."""
    ElementTree.register_namespace("", _SVG)
    root = ElementTree.fromstring(picture.svg)
    sizes = [float(e.get("font-size", "0")) for e in root.iter(f"{{{_SVG}}}text")]
    scale = LEAST_SIZE / min((s for s in sizes if s > 0), default=12.0)
    for element in root.iter():
        _blacken(element, scale)
    wide, high = picture.width - 2 * TRIM, picture.height - 2 * TRIM
    root.set("viewBox", f"{TRIM:g} {TRIM:g} {wide:.2f} {high:.2f}")
    root.set("width", f"{wide:.2f}")
    root.set("height", f"{high:.2f}")
    svg = ElementTree.tostring(root, encoding="unicode")
    return Print(svg, wide * scale, high * scale, picture.alt)


def _blacken(element: ElementTree.Element, scale: float) -> None:
    is_text = element.tag == f"{{{_SVG}}}text"
    fill, stroke = element.get("fill"), element.get("stroke")
    if is_text:
        element.set("fill", "#000000")
        element.attrib.pop("stroke", None)
    elif fill not in (None, "none"):
        element.set("fill", "#ffffff" if _light(fill) > _PAPER else "#000000")
    if stroke not in (None, "none") and not is_text:
        element.set("stroke", "#ffffff" if _light(stroke) > _PAPER else "#000000")
        wide = float(element.get("stroke-width", "1"))
        element.set("stroke-width", f"{max(wide, LEAST_STROKE / scale):.2f}")
    for name in ("opacity", "fill-opacity", "stroke-opacity"):
        element.attrib.pop(name, None)
    if element.text and element.text.strip():
        element.text = shown(element.text)


def _light(colour: str | None) -> float:
    """How light a colour is, 0 to 1; names that are not written in hex count as dark."""
    digits = (colour or "").lstrip("#")
    if colour == "white":
        return 1.0
    if len(digits) == 3:
        digits = "".join(d * 2 for d in digits)
    try:
        red, green, blue = (int(digits[k : k + 2], 16) / 255 for k in (0, 2, 4))
    except ValueError:
        return 0.0
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
