"""`ropewright prove`: who is held by what at every step of one procedure or several."""

from __future__ import annotations

import json
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.caution import CAUTION
from ropewright.cli.options import NamedPath, team_option
from ropewright.cli.output import complain
from ropewright.cli.progress import Progress

if TYPE_CHECKING:
    from ropewright.catalogue import Catalogue

__all__ = ["command"]

REFUSED, UNUSABLE = 1, 2
_WIDTH = 110


@click.command("prove")
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=NamedPath())
@click.option("--json", "as_json", is_flag=True, help="Print JSON, in SI units; of several files a list.")
@click.option("--brief", "in_brief", is_flag=True, help="Print one line for each file.")
@team_option
def command(files: tuple[Path, ...], as_json: bool, in_brief: bool, team: Path | None) -> int:
    """Play each procedure on the model: before, during and after every step, who is held by what.

    Exit status: 0 all proved, 1 a step is refused, 2 a file can't be used.
    """
    from ropewright.catalogue import load_catalogue

    catalogue = load_catalogue(team)
    progress = Progress(len(files))
    status, results = 0, list[dict[str, Any]]()
    for path in files:
        progress.begin(path.name)
        try:
            proved, text, data = _prove(path, catalogue, as_json, in_brief)
        except Exception as error:
            progress.end()
            status = UNUSABLE
            complain(path, error)
            continue
        progress.end()
        status = max(status, 0 if proved else REFUSED)
        results.append(data)
        if not as_json:
            click.echo(text)
    if as_json:
        if results:
            click.echo(json.dumps(results[0] if len(files) == 1 else results, indent=1, allow_nan=False))
    elif status != UNUSABLE or results:
        click.echo(f"\n{fill(CAUTION, _WIDTH)}")
    return status


def _prove(
    path: Path, catalogue: Catalogue, as_json: bool, in_brief: bool
) -> tuple[bool, str, dict[str, Any]]:
    from ropewright.cli.summary.procedure import proof_brief, proof_summary
    from ropewright.procedure import World, prove, read_procedure
    from ropewright.procedure.report import proof_report

    procedure = read_procedure(path, catalogue)
    world = World(procedure, catalogue)
    proof = prove(procedure, catalogue, world)
    if as_json:
        return proof.proved, "", {"file": str(path), **proof_report(world, proof), "caution": CAUTION}
    told = proof_brief(path.name, proof) if in_brief else proof_summary(path.name, world, proof)
    return proof.proved, told, {}
