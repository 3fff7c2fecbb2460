"""`ropewright draw`: the picture of one rig file or several, as SVG or PNG."""

from __future__ import annotations

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
    from ropewright.drawing import Picture, View
    from ropewright.quantity import Units

__all__ = ["command"]

UNUSABLE = 2
FORMATS = ("svg", "png")


@click.command("draw")
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=NamedPath())
@click.option(
    "-o",
    "--output",
    type=NamedPath(),
    metavar="FILE",
    help="Where the picture of one rig goes; its ending, .svg or .png, says which it is.",
)
@click.option("--out", type=NamedPath(), metavar="DIR", help="Write each rig's picture to DIR/NAME.svg.")
@click.option(
    "--format",
    "formats",
    metavar="LIST",
    default="svg",
    show_default=True,
    help="What to write to DIR: svg, png or svg,png.",
)
@click.option(
    "--side", "from_side", is_flag=True, help="Seen from the side, x and z; so it is drawn without a word."
)
@click.option("--plan", "from_above", is_flag=True, help="Seen from above, x and y.")
@units_option
@team_option
def command(
    files: tuple[Path, ...],
    output: Path | None,
    out: Path | None,
    formats: str,
    from_side: bool,
    from_above: bool,
    units: Units,
    team: Path | None,
) -> int:
    """Draw rigs. Without a place to write to, the SVG of one rig is printed.

    A rig that has no solution is drawn as it is written, and says so. Exit status: 0 drawn, 2 a file can't
    be used or a picture can't be written.
    """
    if from_side and from_above:
        raise click.ClickException("--side and --plan can't both be given: a picture has one view")
    view: View = "plan" if from_above else "side"
    kinds = _kinds(formats)
    targets = _targets(files, output, out, kinds)
    refuse_inputs((each for found in targets.values() for each in found), *files, team)
    from ropewright.catalogue import load_catalogue

    catalogue = load_catalogue(team)
    if out is not None:
        make_folder(out)
    progress = Progress(len(files))
    status = 0
    for path in files:
        progress.begin(path.name)
        try:
            picture = _drawn(path, catalogue, view, units)
            for target in targets[path]:
                write_whole(target, _bytes(picture, target))
        except (RopewrightError, OSError) as error:
            progress.end()
            status = UNUSABLE
            complain(path, error)
            continue
        progress.end()
        if targets[path]:
            click.echo(f"{clean(path.name)}: {', '.join(clean(str(t)) for t in targets[path])}", err=True)
        else:
            click.echo(picture.svg, nl=False)
    return status


def _drawn(path: Path, catalogue: Catalogue, view: View, units: Units) -> Picture:
    from ropewright.drawing import draw_rig
    from ropewright.rig import read_rig

    return draw_rig(read_rig(path, catalogue), catalogue, view=view, units=units)


def _bytes(picture: Picture, target: Path) -> bytes:
    if target.suffix.lower() == ".png":
        from ropewright.drawing import png

        return png(picture)
    return picture.svg.encode()


def _kinds(text: str) -> tuple[str, ...]:
    kinds = tuple(dict.fromkeys(word.strip().lower() for word in text.split(",") if word.strip()))
    for kind in kinds:
        if kind not in FORMATS:
            raise click.ClickException(
                f"--format: '{clean(kind, 40)}' is not known; it takes svg, png or svg,png"
            )
    if not kinds:
        raise click.ClickException("--format: nothing is named; it takes svg, png or svg,png")
    return kinds


def _targets(
    files: tuple[Path, ...], output: Path | None, out: Path | None, kinds: tuple[str, ...]
) -> dict[Path, list[Path]]:
    """Where each picture goes; nothing is begun where two would be written to one place."""
    if output is not None and out is not None:
        raise click.ClickException("-o and --out can't both be given: -o names one file, --out a folder")
    if out is None:
        if len(set(files)) > 1:
            raise click.ClickException("several rigs are drawn to a folder: name it with --out DIR")
        if output is not None and output.suffix.lower().lstrip(".") not in FORMATS:
            raise click.ClickException(f"{clean(str(output))}: a picture's name ends in .svg or .png")
        return {path: [output] if output is not None else [] for path in files}
    return in_folder(files, out, kinds, "two rigs would be drawn to {}; draw them apart")
