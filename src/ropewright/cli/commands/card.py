"""`ropewright card`: the printed card of one rig file or several, as PDF."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ropewright.cli.options import NamedPath, team_option, units_option
from ropewright.cli.output import complain, in_folder, make_folder, refuse_inputs
from ropewright.cli.progress import Progress
from ropewright.cli.terminal import clean
from ropewright.errors import RopewrightError
from ropewright.files import write_whole

if TYPE_CHECKING:  # the model is imported once a file is read: bad words on the line cost no start
    from ropewright.catalogue import Catalogue
    from ropewright.quantity import Units
    from ropewright.sheets import Paper, Printed

__all__ = ["command"]

UNUSABLE = 2
_PAPERS: dict[str, Paper] = {"a4": "a4", "letter": "us-letter"}


@click.command("card")
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=NamedPath())
@click.option(
    "-o",
    "--output",
    type=NamedPath(),
    metavar="FILE",
    help="Where the card of one rig goes; its name ends in .pdf.",
)
@click.option("--out", type=NamedPath(), metavar="DIR", help="Write each rig's card to DIR/NAME.pdf.")
@click.option(
    "--paper",
    type=click.Choice(list(_PAPERS)),
    default="a4",
    show_default=True,
    help="The paper that it is printed on.",
)
@click.option(
    "--time",
    "at",
    metavar="TEXT",
    help="The time that is printed on it; left out, the clock's. The same text gives the same bytes.",
)
@units_option
@team_option
def command(
    files: tuple[Path, ...],
    output: Path | None,
    out: Path | None,
    paper: str,
    at: str | None,
    units: Units,
    team: Path | None,
) -> int:
    """Print the card of each rig for its station: picture, count, margins, gear, pre-load check.

    One page where it fits, in black only. A rig that has no solution gets its card too, which says so. Exit
    status: 0 printed, be the rig within policy or not; 2 a file can't be used or a card can't be written.
    """
    targets = _targets(files, output, out)
    refuse_inputs(targets.values(), *files, team)
    from ropewright.catalogue import load_catalogue

    catalogue = load_catalogue(team)
    time = at if at is not None else f"{datetime.now().astimezone():%Y-%m-%d %H:%M}"
    if out is not None:
        make_folder(out)
    progress = Progress(len(targets))
    status = 0
    for path, target in targets.items():
        progress.begin(path.name)
        try:
            printed = _printed(path, catalogue, units, time, _PAPERS[paper])
            write_whole(target, printed.pdf)
        except (RopewrightError, OSError) as error:
            progress.end()
            status = UNUSABLE
            complain(path, error)
            continue
        progress.end()
        pages = f"{printed.pages} page{'' if printed.pages == 1 else 's'}"
        click.echo(f"{clean(path.name)}: {clean(str(target))}, {pages}, {printed.card.verdict.lower()}")
        if printed.card.left_out:
            click.echo(f"  {clean(printed.card.left_out)}")
    return status


def _printed(path: Path, catalogue: Catalogue, units: Units, time: str, paper: Paper) -> Printed:
    from ropewright.drawing import draw_rig
    from ropewright.judgement.examine import examine
    from ropewright.rig import read_rig
    from ropewright.sheets import card_of, print_card

    rig = read_rig(path, catalogue)
    examination = examine(rig, catalogue)
    picture = draw_rig(rig, catalogue, examination, units=units, framed=False)
    return print_card(card_of(examination, picture, file=path.name, time=time, units=units), paper)


def _targets(files: tuple[Path, ...], output: Path | None, out: Path | None) -> dict[Path, Path]:
    """Where each card goes; nothing is begun where two would be written to one place."""
    if (output is None) == (out is None):
        raise click.ClickException("say where the card goes: -o FILE.pdf for one rig, or --out DIR")
    if output is not None:
        if len(set(files)) > 1:
            raise click.ClickException("several cards are written to a folder: name it with --out DIR")
        if output.suffix.lower() != ".pdf":
            raise click.ClickException(f"{clean(str(output))}: a card's name ends in .pdf")
        return {files[0]: output}
    twins = "two cards would be written to {}; print them apart"
    return {path: target for path, [target] in in_folder(files, out or Path(), ("pdf",), twins).items()}
