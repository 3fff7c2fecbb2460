"""`ropewright trace`: the count of a rig as it is written on a whiteboard."""

from __future__ import annotations

from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

import click

from ropewright.cli.caution import CAUTION
from ropewright.cli.options import NamedPath, team_option, units_option
from ropewright.cli.terminal import clean

if TYPE_CHECKING:
    from ropewright.catalogue import Catalogue
    from ropewright.quantity import Units
    from ropewright.rig import Rig

__all__ = ["command"]

STUCK = 1
_WIDTH = 110


@click.command("trace")
@click.argument("file", metavar="FILE", type=NamedPath())
@units_option
@team_option
def command(file: Path, units: Units, team: Path | None) -> int:
    """Write the count of FILE tension by tension, one in one out, with friction beside it.

    Exit status: 0 written, 1 what the file asks for can't be moved, 2 the file can't be used.
    """
    from ropewright.catalogue import load_catalogue
    from ropewright.rig import read_rig

    catalogue = load_catalogue(team)
    rig = read_rig(file, catalogue)
    click.echo(f"{clean(file.name)}: {clean(rig.rig)}")
    if rig.haul is None and rig.lower is None:
        click.echo(
            "no count: the file asks for no motion; a count needs `haul:` or `lower:` with a hand on a rope"
        )
        click.echo(f"\n{fill(CAUTION, _WIDTH)}")
        return 0
    status = max(_board(rig, catalogue, direction, units) for direction in (1, -1))
    click.echo(f"\n{fill(CAUTION, _WIDTH)}")
    return status


def _board(rig: Rig, catalogue: Catalogue, direction: int, units: Units) -> int:
    """Print one motion's board, if the file asks for that motion."""
    from ropewright.judgement.board import board
    from ropewright.judgement.figures import Figures
    from ropewright.judgement.moved import CannotMove, move_rig
    from ropewright.judgement.trace import render
    from ropewright.quantity import show_length

    asked = rig.haul if direction > 0 else rig.lower
    if asked is None:
        return 0
    way = f"{asked.load} {'up' if direction > 0 else 'down'} {show_length(asked.distance, units)}"
    click.echo(f"\n{'Hauling' if direction > 0 else 'Lowering'} {way}")
    moved = move_rig(rig, catalogue, Figures(rig, catalogue), direction, asked.load, asked.distance, 1)
    if isinstance(moved, CannotMove):
        where = f" (line {moved.line})" if moved.line else ""
        click.echo(clean(f"no count: {moved.text}{f', at {moved.at}' if moved.at else ''}{where}"))
        return STUCK
    written = board(moved)
    for line in render(written.trace, units):
        click.echo(clean(line))
    both = written.variants
    if both.climber and both.ground and written.counted == both.ground:
        click.echo(f"    given to {clean(asked.load)}'s own hands the same reeving counts {both.climber}")
    return 0
