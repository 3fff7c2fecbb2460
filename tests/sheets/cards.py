"""Cards of the examples and of made-up rigs, each worked out once for all tests."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from pypdf import PdfReader

from ropewright.catalogue import load_catalogue
from ropewright.drawing import draw_rig
from ropewright.judgement.examine import Examination, examine
from ropewright.rig import read_rig
from ropewright.sheets import Card, Printed, card_of, print_card

FOLDER = Path(__file__).parents[2] / "examples"
EXAMPLES = tuple(sorted(FOLDER.glob("*.rig.yaml")))
NAMES = [path.name.removesuffix(".rig.yaml") for path in EXAMPLES]
TIME = "2026-05-04 09:30"

LADEN = """
rig: {title}
about: {about}
points:
  beam: {{kind: anchor, at: [0, 9], strength: 36 kN, about: {about}}}
loads:
  climber: {{kind: person, mass: 90, at: [0, 2], wears: harness}}
gear:
  device: {{is: descender-self-braking, at: climber}}
ropes:
  main:
    is: rope-11-low-stretch
    length: 30
    run: [tie beam with figure-eight-bight, through device, hand climber]
lower: {{load: climber, down: 2}}
"""


@cache
def examined(name: str) -> Examination:
    catalogue = load_catalogue()
    path = next(p for p in EXAMPLES if p.name == f"{name}.rig.yaml")
    return examine(read_rig(path, catalogue), catalogue)


@cache
def card(name: str) -> Card:
    return made(examined(name), f"{name}.rig.yaml")


@cache
def printed(name: str) -> Printed:
    return print_card(card(name))


def made(examination: Examination, file: str = "made.rig.yaml") -> Card:
    """A card with its picture."""
    catalogue = examination.assembly.figures.catalogue
    picture = draw_rig(examination.rig, catalogue, examination, framed=False)
    return card_of(examination, picture, file=file, time=TIME)


def of_text(text: str) -> Card:
    """The card of a rig written out."""
    catalogue = load_catalogue()
    return made(examine(read_rig(text, catalogue), catalogue))


def reader(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def root(pdf: bytes) -> Any:
    """The catalogue of a PDF; its objects are looked into by name."""
    return reader(pdf).trailer["/Root"]


def tags(node: Any) -> list[Any]:
    """Every tag in and under a node of a PDF's structure tree."""
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, list):
        return [tag for child in node for tag in tags(child)]
    if not hasattr(node, "get"):
        return []
    return [node, *tags(node["/K"])] if "/K" in node else [node]


def fonts(pdf: bytes) -> set[str]:
    """The names of all fonts on its pages."""
    pages: list[Any] = list(reader(pdf).pages)
    found = [font for page in pages for font in page["/Resources"]["/Font"].values()]
    return {str(font.get_object()["/BaseFont"]) for font in found}


class Piece(NamedTuple):
    """Some text on a page, how large its letters are and how high it stands, in points."""

    text: str
    size: float
    height: float


class Extract(NamedTuple):
    """What a text extractor finds on a page."""

    text: str
    pieces: tuple[Piece, ...]


@cache
def extracts(pdf: bytes) -> tuple[Extract, ...]:
    """What a text extractor finds on each page; taken apart once for all tests, which takes long."""
    found = list[Extract]()
    for page in reader(pdf).pages:
        pieces = list[Piece]()

        def visit(text: str, cm: Any, tm: Any, _font: Any, size: float, pieces: list[Piece] = pieces) -> None:
            if text.strip():
                pieces.append(Piece(text, size * abs(tm[3]) * abs(cm[3]), cm[5] + tm[5] * cm[3]))

        found.append(Extract(page.extract_text(visitor_text=visit), tuple(pieces)))
    return tuple(found)


def words(pdf: bytes) -> str:
    """All text of a PDF in one line, spaces made alike."""
    text = " ".join(page.text for page in extracts(pdf))
    return " ".join(text.replace("\u00a0", " ").split())


def packed(text: str) -> str:
    """A text without any space: lines break where the column ends."""
    return "".join(text.split())


def climbers(people: int) -> str:
    """A rig of twelve components for each of its climbers, side by side."""
    points = ["  floor: {kind: ground, at: [0, 0]}"]
    loads, gear, ropes = list[str](), list[str](), list[str]()
    for k in range(people):
        points.append(f"  main-{k}: {{kind: anchor, at: [{3 * k}, 12], strength: 36 kN}}")
        points.append(f"  second-{k}: {{kind: anchor, at: [{3 * k + 0.5}, 12], strength: 36 kN}}")
        loads.append(f"  climber-{k}: {{kind: person, mass: {80 + 5 * k}, at: [{3 * k}, 4], wears: harness}}")
        gear.append(f"  device-{k}: {{is: descender-self-braking, at: climber-{k}}}")
        gear.append(
            f"  backup-{k}: {{is: running-back-up, at: climber-{k}, via: [carabiner-locking, lanyard]}}"
        )
        run = f"[tie main-{k} with figure-eight-bight, through device-{k}, hand climber-{k}]"
        ropes.append(f"  rope-{k}: {{is: rope-11-low-stretch, length: 30, run: {run}}}")
        run = f"[tie second-{k} with figure-eight-bight, grip backup-{k} slack 0.2, tail]"
        ropes.append(f"  line-{k}: {{is: rope-11-low-stretch, length: 30, run: {run}}}")
    parts = [
        "rig: Climbers side by side",
        "points:",
        *points,
        "loads:",
        *loads,
        "gear:",
        *gear,
        "ropes:",
        *ropes,
    ]
    return "\n".join(parts)
