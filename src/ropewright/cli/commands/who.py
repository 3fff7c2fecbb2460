"""`ropewright who`: who of a list can work a rig, alone or as a crew, and the least rig that does for all."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ropewright.cli.caution import CAUTION
from ropewright.cli.options import NamedPath, team_option, units_option
from ropewright.cli.progress import Progress
from ropewright.cli.terminal import clean
from ropewright.cli.who import Answered, page, people_of, ropes_of
from ropewright.errors import RopewrightError

if TYPE_CHECKING:  # the model is imported once a file is read: bad words on the line cost no start
    from ropewright.quantity import Units
    from ropewright.rig import Rig

__all__ = ["command"]

CANNOT, UNUSABLE = 1, 2


@click.command("who")
@click.argument("files", metavar="RIG...", nargs=-1, required=True, type=NamedPath())
@click.option(
    "--masses",
    metavar="LIST",
    help="Masses with gear: 78,84,91 or '172 lb, 84 kg'. Bare numbers take --units, else the rig's units.",
)
@click.option(
    "--roster",
    type=NamedPath(),
    metavar="FILE",
    help="A CSV, YAML or TOML list of people: name, mass and, if known, role, pull, reach.",
)
@click.option(
    "--crew",
    type=click.IntRange(1, 1000),
    metavar="N",
    help="How many haul; the safety officer is never one of them.",
)
@click.option(
    "--ropes", metavar="LIST", help="Every rope at hand by its length, as in '100 ft,100 ft,75 ft'."
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON, in SI units.")
@click.option("--brief", "in_brief", is_flag=True, help="Print one line for each rig.")
@units_option
@team_option
def command(
    files: tuple[Path, ...],
    masses: str | None,
    roster: Path | None,
    crew: int | None,
    ropes: str | None,
    as_json: bool,
    in_brief: bool,
    units: Units,
    team: Path | None,
) -> int:
    """Say who of a list can work a rig, alone or as a crew, and which of several rigs is the least for all.

    Without a list, the load is taken as the file has it. Exit status: 0 everybody can or may, of several
    rigs in one of them; 1 somebody can't, or the --ropes
    rig no lane; 2 a file or a list can't be used.
    """
    from ropewright.catalogue import load_catalogue
    from ropewright.effort import answer, as_data, lanes, least_rig, prepare
    from ropewright.rig import read_rig

    if masses is not None and roster is not None:
        raise click.UsageError("give --masses or --roster, not both")
    catalogue = load_catalogue(team)
    rigs: list[tuple[Path, Rig]] = []
    status = 0
    for path in files:
        try:
            rigs.append((path, read_rig(path, catalogue)))
        except RopewrightError as error:
            status = UNUSABLE
            _complain(error)
    people = people_of(masses, roster, units, [rig for _, rig in rigs])
    at_hand = ropes_of(ropes, units, [rig for _, rig in rigs])
    progress, done = Progress(len(rigs)), list[Answered]()
    for path, rig in rigs:
        progress.begin(path.name)
        try:
            done.append(Answered(path, answer(prepare(rig, catalogue), people, crew, units)))
        except RopewrightError as error:
            status = UNUSABLE
            _complain(error)
        finally:
            progress.end()
    if not done:
        return status
    for each in done:
        if crew is not None and each.answer.crew is None:
            text = (
                f"{each.path.name}: --crew is not used here: nobody but the load is at a rope that is hauled"
            )
            click.echo(f"ropewright: {clean(text)}", err=True)
    least = least_rig([each.answer for each in done])
    if as_json:
        data = as_data([(str(each.path), each.answer) for each in done], least, at_hand)
        click.echo(json.dumps({**data, "caution": CAUTION}, indent=1, allow_nan=False))
    else:
        click.echo(page(done, least, at_hand, units, in_brief))
    rigged = any(not at_hand or lanes(each.lines, at_hand) != 0 for each in least.does)
    return max(status, 0 if rigged else CANNOT)


def _complain(error: RopewrightError) -> None:
    for line in str(error).split("\n"):
        click.echo(f"ropewright: {clean(line)}", err=True)
