"""The pre-load check of a procedure's starting rig, and the reset between two turns."""

from __future__ import annotations

from dataclasses import replace

from ropewright.judgement.examine import examine
from ropewright.judgement.policy import Policy
from ropewright.judgement.rules import Context
from ropewright.procedure.reset import Todo, reset

from .held import drops
from .leaf import Blank, Block, Leaf
from .model import CheckRow, Line
from .telling import Story, leaf_of
from .walk import SIGNED, pre_load_check
from .words import capital, labels, listed

__all__ = ["station_check"]

TURNS = 8
"""Rows to sign, one for each turn after the first."""


def station_check(story: Story) -> Leaf:
    """What is touched before the first person is on the rig, and what is put back before each other one."""
    leaf = leaf_of(story, "check", "Pre-load check and reset", (_check(story), *_resets(story)))
    if not story.proof.proved:
        return leaf
    held = f"What is rigged is held against {Policy(story.procedure.rig).told}."
    return replace(leaf, verdict="", judged=held)  # a check is made by hand: no verdict stands over it


def _check(story: Story) -> Block:
    p = story.procedure
    ctx = Context(examine(p.rig, story.world.catalogue), story.units)
    found = pre_load_check(ctx)
    start = tuple(
        CheckRow(f"{load} at {place}", "stands, and is held there by whatever the place asks for")
        for load, place in p.stands.items()
    )
    after = [line for line in found.after if line.lead != SIGNED]
    dropped = drops(ctx)
    if dropped:
        what = labels(dict.fromkeys(label for label, _ in dropped))
        who = listed(dict.fromkeys(load for _, load in dropped))
        after.append(Line(f"{who} not held without any one of: {what}.", "One thing failing:", "", True))
    return Block("check", found.title, found.lines, checks=(*found.rows, *start), after=tuple(after))


def _resets(story: Story) -> tuple[Block, ...]:
    todo = reset(story.proof.start, story.proof.end, story.world.catalogue, story.units)
    kinds = ("bring back", "put back", "take off", "set")
    rows = tuple(_row(t) for kind in kinds for t in todo if t.kind == kind)
    lines = [Line("With nobody on the rig.", "", "", True), *_hung(story)]
    if not story.proof.proved:
        lines.append(
            Line(
                "the procedure was refused somewhere: what it leaves behind may be otherwise.",
                "Note:",
                "",
                True,
            )
        )
    if not todo:
        lines.append(Line("It ends as it started: nothing is to be put back."))
    after = (
        Line("Check again, every row of the pre-load check, before the next person is on it.", "", "", True),
    )
    sign = (
        (
            Blank("checked by, did not rig it", "", 2.0, True),
            Blank("signature", "", 2.0, True),
            Blank("time", "", 1.0, True),
        ),
    )
    return (
        Block("sign-check", "", blanks=sign, together=True),
        Block(
            "reset",
            "Between two turns: put it back as it was",
            tuple(lines),
            checks=rows,
            after=after,
            new_page=True,
        ),
        *((_start(todo),) if any(t.kind == "start" for t in todo) else ()),
        Block(
            "turns",
            "Each turn",
            blanks=tuple(
                (
                    Blank(f"turn {n}: next person", "", 2.0),
                    Blank("reset by"),
                    Blank("checked by"),
                    Blank("time"),
                )
                for n in range(2, 2 + TURNS)
            ),
            together=True,
        ),
    )


def _hung(story: Story) -> tuple[Line, ...]:
    """What hangs at the end and is no person: it comes off before anything that bears it is touched."""
    end = story.proof.end
    hung = [n for n, load in end.rig.loads.items() if load.kind != "person" and end.standing(n) is None]
    text = "on the ground, or held by something else, before anything that bears it is touched."
    return (Line(text, f"{capital(listed(hung))}:", "", True),) if hung else ()


def _start(todo: tuple[Todo, ...]) -> Block:
    """What is so once the next turn begins, and can't be before."""
    rows = tuple(CheckRow("As at the start", t.text) for t in todo if t.kind == "start")
    return Block("start", "When the next turn begins, before its first step", checks=rows, together=True)


def _row(todo: Todo) -> CheckRow:
    return CheckRow(capital(todo.kind), todo.text)
