"""`ropewright mistakes`: what every mistake in a procedure leads to, and which check would find it."""

from __future__ import annotations

import json
from pathlib import Path
from textwrap import fill

import click

from ropewright.cli.caution import CAUTION
from ropewright.cli.options import NamedPath, team_option
from ropewright.cli.progress import Progress

__all__ = ["command"]

GRAVE = 1
_WIDTH = 110


@click.command("mistakes")
@click.argument("file", metavar="FILE", type=NamedPath())
@click.option("--json", "as_json", is_flag=True, help="Print JSON, in SI units.")
@team_option
def command(file: Path, as_json: bool, team: Path | None) -> int:
    """Make every mistake in FILE once: left out, swapped, the wrong way round, the wrong thing.

    Exit status: 0 a check finds every mistake by which somebody falls or runs down, 1 one is found by none or
    the procedure is not proved, 2 the file can't be used.
    """
    from ropewright.catalogue import load_catalogue
    from ropewright.cli.summary.procedure import mistakes_summary
    from ropewright.procedure import World, read_procedure
    from ropewright.procedure.mistakes import mistakes
    from ropewright.procedure.report import mistakes_report

    catalogue = load_catalogue(team)
    procedure = read_procedure(file, catalogue)
    bar = Progress(100)

    def show(done: int, of: int) -> None:
        bar.done = 100 * done // of
        bar.begin(f"{done} of {of} mistakes")

    found = mistakes(procedure, catalogue, World(procedure, catalogue), show)
    bar.end()
    if as_json:
        data = {"file": str(file), **mistakes_report(found), "caution": CAUTION}
        click.echo(json.dumps(data, indent=1, allow_nan=False))
    else:
        click.echo(mistakes_summary(file.name, found))
        click.echo(f"\n{fill(CAUTION, _WIDTH)}")
    return GRAVE if not found.proof.proved or any(c.mistake.kills for c in found.missing) else 0
