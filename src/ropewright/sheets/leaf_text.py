"""A procedure's sheet as plain text, from the same data as its PDF: for a message or a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from .glyphs import shown
from .leaf import Block, Leaf, Scene, StepRow
from .model import CheckRow, Line

__all__ = ["WIDTH", "leaf_text"]

WIDTH = 92
"""Columns of the text."""
BOX, LINE = "[ ]", "_"


def leaf_text(leaf: Leaf) -> str:
    """The whole sheet as lines; boxes to tick are `[ ]`, places to write on are underlines."""
    verdict = f"{leaf.verdict}. " if leaf.verdict else ""
    out = [*_filled(f"{leaf.kind.upper()}: {leaf.title}"), *_filled(f"{verdict}{leaf.judged}")]
    out += _filled(leaf.own) if leaf.own else []
    out += _filled(leaf.purpose) if leaf.purpose else []
    for line in leaf.wrong:
        out += _line(line)
    for block in leaf.blocks:
        out += ["", *_block(block)]
    foot = f"{leaf.caution} ropewright {leaf.version} · {leaf.file} · {leaf.time}"
    return "\n".join([*out, "", *_filled(foot)]) + "\n"


def _filled(words: str, first: str = "", later: str | None = None) -> list[str]:
    later = " " * len(first) if later is None else later
    text = shown(words)
    found = textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=later, break_on_hyphens=False)
    return [line.rstrip() for line in found] or [first.rstrip()]


def _block(b: Block) -> Iterator[str]:
    if b.title:
        yield shown(b.title)
        yield "-" * min(WIDTH, len(shown(b.title)))
    for line in b.lines:
        yield from _line(line)
    yield from _table(b)
    for step in b.steps:
        yield from _step(step)
    for row in b.blanks:
        for blank in row:
            value = f" {shown(blank.value)}" if blank.value else ""
            yield f"{shown(blank.label)}:{value} {LINE * 30}"
    for k, check in enumerate(b.checks, 1):
        yield from _check(k, check)
    for scene in b.scenes:
        yield from _scene(scene)
    for line in b.after:
        yield from _line(line)


def _line(line: Line, indent: str = "") -> list[str]:
    lead = f"{line.lead} " if line.lead else ""
    then = f" -> {line.then}" if line.then else ""
    return _filled(f"{lead}{line.text}{then}", indent, f"{indent}  ")


def _table(b: Block) -> Iterator[str]:
    if not b.table:
        return
    rows = [tuple(map(shown, row)) for row in (b.head, *b.table)]
    last = len(b.head) - 1
    wide = [max(len(row[k]) for row in rows) for k in range(last)]
    for row in rows:
        cells = [cell.ljust(w) for cell, w in zip(row, wide, strict=False)]
        yield "  ".join([*cells, row[last]]).rstrip()


def _step(step: StepRow, *, with_reason: bool = True) -> Iterator[str]:
    number = f"{step.number:>3} " if step.number else ""
    doer = f"{step.doer}: " if step.doer else ""
    lines = _filled(f"{doer}{step.text}", number, " " * max(2, len(number)))
    yield from _with_boxes(lines, step.boxes)
    if step.critical:
        yield from _filled(f"CRITICAL {step.critical}" if with_reason else "CRITICAL", "    ")
    for note in step.notes:
        yield from _line(note, "    ")


def _with_boxes(lines: list[str], labels: tuple[str, ...]) -> list[str]:
    """Boxes at the right edge of the last line where they fit, else on a line of their own."""
    if not labels:
        return lines
    boxes = shown(_boxes(labels))
    if len(lines[-1]) + 2 + len(boxes) > WIDTH:
        return [*lines, boxes.rjust(WIDTH)]
    return [*lines[:-1], lines[-1] + boxes.rjust(WIDTH - len(lines[-1]))]


def _boxes(labels: tuple[str, ...]) -> str:
    return ", ".join(f"{BOX}\u00a0{label}" for label in labels)


def _check(number: int, row: CheckRow) -> list[str]:
    boxes = f"   {_boxes(row.boxes)}" if row.boxes else ""
    return _filled(f"{row.what}: {row.how}{boxes}", f"{BOX} {number:>2} ")


def _scene(scene: Scene) -> Iterator[str]:
    yield ""
    if scene.title:
        yield shown(scene.title)
    for step in scene.steps:
        yield from _step(step, with_reason=False)
    if scene.picture is not None:
        yield from _filled(f"({scene.picture.alt})", "    ")
    for line in scene.lines:
        yield from _line(line, "    ")
