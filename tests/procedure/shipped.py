"""The shipped procedures, and their steps put in a wrong order, for tests."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import NamedTuple

from ropewright.catalogue import load_catalogue
from ropewright.procedure import Fault, Played, Procedure, Proof, World, prove, read_procedure
from ropewright.procedure.forms import read_step
from ropewright.procedure.mistakes import Mistakes, mistakes

FOLDER = Path(__file__).parents[2] / "examples" / "procedures"

NAMES_OF_ALL = tuple(
    sorted(path.name.removesuffix(".procedure.yaml") for path in FOLDER.glob("*.procedure.yaml"))
)
"""Every procedure that is shipped."""

Lines = list[tuple[str, str]]
"""Who does a step and the words of it."""


@cache
def shipped(name: str) -> Procedure:
    """A shipped procedure by the name of its file."""
    return read_procedure(FOLDER / f"{name}.procedure.yaml", load_catalogue())


@cache
def world_of(name: str) -> World:
    """The world of a shipped procedure: what was asked of it once is known, whatever order of steps asks,
    as where all its mistakes are made.
    """
    return World(shipped(name), load_catalogue())


@cache
def worked_out(name: str) -> tuple[World, Mistakes]:
    """A shipped procedure proved with all its mistakes, and the world it was proved in, for pictures."""
    return world_of(name), mistakes(shipped(name), load_catalogue(), world_of(name))


def lines_of(name: str) -> Lines:
    """The steps of a shipped procedure as lines that a test can put in another order."""
    return [(step.doer, step.text) for step in shipped(name).steps]


def proof_of(name: str, lines: Lines | None = None) -> Proof:
    """The proof of a shipped procedure, with other steps in place of its own where given."""
    procedure = shipped(name)
    if lines is not None:
        procedure = replace(procedure, steps=tuple(read_step(doer, text) for doer, text in lines))
    return prove(procedure, load_catalogue(), world_of(name))


def at(lines: Lines, text: str) -> int:
    """Where the one line stands that holds a text."""
    found = [k for k, (_, words) in enumerate(lines) if text in words]
    assert len(found) == 1, f"{text!r} is in {len(found)} lines"
    return found[0]


def without(lines: Lines, *texts: str) -> Lines:
    """The lines without those that hold the texts."""
    gone = {at(lines, text) for text in texts}
    return [line for k, line in enumerate(lines) if k not in gone]


def moved(lines: Lines, text: str, before: str) -> Lines:
    """The lines with one moved in front of another."""
    line = lines[at(lines, text)]
    left = without(lines, text)
    k = at(left, before)
    return [*left[:k], line, *left[k:]]


def changed(lines: Lines, text: str, old: str, new: str) -> Lines:
    """The lines with some words changed in the one that holds a text."""
    k = at(lines, text)
    doer, words = lines[k]
    assert old in words
    return [*lines[:k], (doer, words.replace(old, new)), *lines[k + 1 :]]


def first_refused(proof: Proof) -> Played:
    """The first step that is refused."""
    return next(played for played in proof.steps if played.verdict == "refused")


def fault(played: Played, kind: str) -> Fault:
    """The one fault of a kind that a step has."""
    found = [f for f in played.faults if f.kind == kind]
    assert len(found) == 1, [f"{f.kind}: {f.text}" for f in played.faults]
    return found[0]


def step_of(proof: Proof, text: str) -> Played:
    """The one step of a proof that holds a text."""
    (found,) = [played for played in proof.steps if text in played.step.text]
    return found


class Wrong(NamedTuple):
    """A wrong order, and the step refused first: its number, the kind of one of its faults, a piece of the
    text.
    """

    lines: Lines
    n: int
    kind: str
    text: str


def refused(name: str, wrong: Wrong) -> None:
    """See that a wrong order is refused where and why it should be, and what would be right is said."""
    played = first_refused(proof_of(name, wrong.lines))
    found = fault(played, wrong.kind)
    assert (played.n, found.level) == (wrong.n, "refused"), [f.text for f in played.faults]
    assert wrong.text in found.text
    assert found.fix
