"""Procedures of the examples and made-up ones, each proved once for all tests."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

from ropewright.catalogue import load_catalogue
from ropewright.procedure import World, read_procedure
from ropewright.procedure.mistakes import Mistakes, mistakes
from ropewright.sheets.leaf import Leaf
from ropewright.sheets.leaf_press import PrintedLeaf, print_leaf
from ropewright.sheets.procedure_sheets import SHEETS, Story
from tests.procedure.shipped import worked_out

PROCEDURES = Path(__file__).parents[2] / "examples" / "procedures"
FILES = tuple(sorted(PROCEDURES.glob("*.procedure.yaml")))
NAMES = [path.name.removesuffix(".procedure.yaml") for path in FILES][
    :: 1 if "ROPEWRIGHT_ALL" in os.environ else 3
]
"""Procedures whose sheets are tested; every one of them where `make test-long` says so."""
TIME = "2026-05-04 09:30"

WRONG = """
procedure: Everything in the wrong order
from: lane-on-clamps.rig.yaml
people:
  student: {role: candidate}
  instructor: {role: station instructor, at: balcony}
gear:
  descender: {is: descender-self-braking}
steps:
  - student: call change-over
  - student: clip descender to student
  - student: stand in foot up 300 mm
  - student: take chest off
  - student: put descender on working below upper with 50 mm slack wrong way round
  - student: take upper off
  - student: take backup off
  - instructor: check descender
  - student: lower student down 2 m
"""


@cache
def story(name: str) -> Story:
    return _told(f"{name}.procedure.yaml", *worked_out(name))


def _told(file: str, world: World, found: Mistakes) -> Story:
    return Story(found.proof, world, file, TIME, "both", found.critical, found.missing)


def made(folder: Path, text: str) -> Story:
    """The story of a procedure written out, beside a copy of the example rigs."""
    for rig in PROCEDURES.glob("*.rig.yaml"):
        (folder / rig.name).write_bytes(rig.read_bytes())
    path = folder / "made.procedure.yaml"
    path.write_text(text, "utf-8")
    return story_of(path)


def story_of(path: Path) -> Story:
    """The story of a procedure, worked out anew."""
    catalogue = load_catalogue()
    procedure = read_procedure(path, catalogue)
    world = World(procedure, catalogue)
    return _told(path.name, world, mistakes(procedure, catalogue, world))


@cache
def leaf(name: str, key: str) -> Leaf:
    return SHEETS[key](story(name))


@cache
def printed(name: str, key: str) -> PrintedLeaf:
    return print_leaf(leaf(name, key))
