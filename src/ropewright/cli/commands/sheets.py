"""`ropewright sheets`: the printed sheets of a procedure, as PDF or plain text."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ropewright.cli.options import NamedPath, team_option, units_option
from ropewright.cli.output import complain, in_folder, make_folder, refuse_inputs, refuse_to_overwrite
from ropewright.cli.progress import Progress
from ropewright.cli.terminal import clean
from ropewright.errors import RopewrightError
from ropewright.files import write_whole

if TYPE_CHECKING:  # the model is imported once a file is read: bad words on the line cost no start
    from ropewright.catalogue import Catalogue
    from ropewright.quantity import Units
    from ropewright.sheets import Paper
    from ropewright.sheets.leaf import Leaf

__all__ = ["command"]

UNUSABLE = 2
_PAPERS: dict[str, Paper] = {"a4": "a4", "letter": "us-letter", "us-letter": "us-letter"}
KEYS = ("brief", "storyboard", "skill-sheet", "check")


def _only(_ctx: click.Context, _param: click.Parameter, value: str | None) -> tuple[str, ...]:
    """The sheets that are asked for, in the order in which they are used."""
    if value is None:
        return KEYS
    asked = {word.strip() for word in value.split(",")}
    wrong = sorted(asked - set(KEYS))
    if wrong:
        raise click.BadParameter(f"'{clean(wrong[0], 60)}' is no sheet; known are {', '.join(KEYS)}")
    return tuple(key for key in KEYS if key in asked)


@click.command("sheets")
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=NamedPath())
@click.option("--out", type=NamedPath(), metavar="DIR", required=True, help="The folder that they go to.")
@click.option(
    "--only", callback=_only, metavar="SHEETS", help=f"Some of {', '.join(KEYS)}, with commas between them."
)
@click.option("--text", is_flag=True, help="Write plain text in place of PDF.")
@click.option(
    "--paper",
    type=click.Choice(list(_PAPERS)),
    default="a4",
    show_default=True,
    help="The paper that they are printed on.",
)
@click.option("--force", is_flag=True, help="Replace sheets that exist.")
@click.option(
    "--time",
    "at",
    metavar="TEXT",
    help="The time that is printed on them; left out, the clock's. The same text gives the same bytes.",
)
@units_option
@team_option
def command(
    files: tuple[Path, ...],
    out: Path,
    only: tuple[str, ...],
    text: bool,
    paper: str,
    force: bool,
    at: str | None,
    units: Units,
    team: Path | None,
) -> int:
    """Print the sheets of each procedure: briefing, storyboard, skill sheet, pre-load check and reset.

    They go to DIR/NAME.SHEET.pdf. A procedure with refused steps gets its sheets too, which say so. Exit
    status: 0 printed, be it within policy or not; 2 a file can't be used or a sheet can't be written.
    """
    targets = _targets(files, out, only, "txt" if text else "pdf")
    every = [target for found in targets.values() for target in found.values()]
    refuse_inputs(every, *files, team)
    for target in every:
        refuse_to_overwrite(target, force)
    from ropewright.catalogue import load_catalogue

    catalogue = load_catalogue(team)
    time = at if at is not None else f"{datetime.now().astimezone():%Y-%m-%d %H:%M}"
    make_folder(out)
    progress = Progress(len(targets))
    status = 0
    for path, wanted in targets.items():
        progress.begin(path.name)
        try:
            written = list(_written(path, wanted, catalogue, units, time, None if text else _PAPERS[paper]))
        except (RopewrightError, click.ClickException, OSError) as error:
            progress.end()
            status = UNUSABLE
            complain(path, error)
            continue
        progress.end()
        for line in written:
            click.echo(line)
    return status


def _written(
    path: Path, wanted: dict[str, Path], catalogue: Catalogue, units: Units, time: str, paper: Paper | None
) -> Iterator[str]:
    """Make every sheet of a procedure, then write them all; give a line for each."""
    from ropewright.procedure import World, read_procedure
    from ropewright.procedure.mistakes import mistakes
    from ropewright.sheets.procedure_sheets import SHEETS, Story

    procedure = read_procedure(path, catalogue)
    refuse_inputs(wanted.values(), path.parent / procedure.rig_file)
    world = World(procedure, catalogue)
    found = mistakes(procedure, catalogue, world)
    story = Story(found.proof, world, path.name, time, units, found.critical, found.missing)
    made = {key: SHEETS[key](story) for key in wanted}
    contents = {key: _content(leaf, paper) for key, leaf in made.items()}
    for key, target in wanted.items():
        content, pages = contents[key]
        write_whole(target, content)
        said = f", {pages} page{'' if pages == 1 else 's'}" if pages else ""
        yield f"{clean(path.name)}: {clean(str(target))}{said}{_verdict(made[key])}"


def _content(leaf: Leaf, paper: Paper | None) -> tuple[bytes, int]:
    from ropewright.sheets.leaf_press import print_leaf
    from ropewright.sheets.leaf_text import leaf_text

    if paper is None:
        return leaf_text(leaf).encode(), 0
    printed = print_leaf(leaf, paper)
    return printed.pdf, printed.pages


def _targets(
    files: tuple[Path, ...], out: Path, only: tuple[str, ...], ending: str
) -> dict[Path, dict[str, Path]]:
    """Where each sheet goes; nothing is begun where two would be written to one place."""
    kinds = [f"{key}.{ending}" for key in only]
    twins = "two sheets would be written to {}; print them apart"
    found = in_folder(files, out, kinds, twins)
    return {path: dict(zip(only, targets, strict=True)) for path, targets in found.items()}


def _verdict(leaf: Leaf) -> str:
    return f", {leaf.verdict.lower()}" if leaf.verdict else ""
