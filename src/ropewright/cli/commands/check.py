"""`ropewright check`: forces, margins and who is held, for one rig file or several."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.caution import CAUTION
from ropewright.cli.options import NamedPath, team_option, units_option
from ropewright.cli.output import in_folder, make_folder, refuse_inputs
from ropewright.cli.progress import Progress
from ropewright.cli.terminal import clean
from ropewright.errors import RopewrightError

if TYPE_CHECKING:  # the model is imported once a file is read: bad words on the line cost no start
    from ropewright.catalogue import Catalogue
    from ropewright.quantity import Units

__all__ = ["command"]

OUTSIDE, UNUSABLE = 1, 2
_WIDTH = 110


@dataclass(frozen=True, slots=True)
class _Wish:
    """How results are wanted."""

    units: Units
    as_json: bool
    in_brief: bool
    with_data: bool
    catalogue: Catalogue


@click.command("check")
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=NamedPath())
@click.option("--json", "as_json", is_flag=True, help="Print JSON, in SI units; of several files a list.")
@click.option("--brief", "in_brief", is_flag=True, help="Print one line for each file.")
@click.option(
    "--out",
    type=NamedPath(),
    metavar="DIR",
    help="Write each file's results to DIR/NAME.json too.",
)
@units_option
@team_option
def command(
    files: tuple[Path, ...], as_json: bool, in_brief: bool, out: Path | None, units: Units, team: Path | None
) -> int:
    """Work out forces, margins and who is held, and hold them against the policy.

    Exit status: 0 all within policy, 1 one outside it, 2 a file can't be used.
    """
    from ropewright.catalogue import load_catalogue

    targets = _targets(files, out)
    refuse_inputs(targets.values(), *files, team)
    if out is not None:
        make_folder(out)
    wish = _Wish(units, as_json, in_brief, as_json or out is not None, load_catalogue(team))
    progress = Progress(len(files))
    status, results, unwritten = 0, list[dict[str, Any]](), list[str]()
    for path in files:
        progress.begin(path.name)
        try:
            outside, text, data = _check(path, wish)
        except Exception as error:
            progress.end()
            status = UNUSABLE
            _complain(path, error)
            continue
        progress.end()
        status = max(status, OUTSIDE if outside else 0)
        results.append(data)
        if not as_json:
            click.echo(text)
        if out is not None:
            unwritten += _write(targets[path], data)
    if as_json:
        if results:
            click.echo(json.dumps(results[0] if len(files) == 1 else results, indent=1, allow_nan=False))
    elif results:
        click.echo(f"{'' if in_brief else chr(10)}{fill(CAUTION, _WIDTH)}")
    for text in unwritten:  # behind the verdicts, which no full disk holds back
        click.echo(f"ropewright: {clean(text)}", err=True)
    return UNUSABLE if unwritten else status


def _check(path: Path, wish: _Wish) -> tuple[bool, str, dict[str, Any]]:
    """Whether it is outside policy, what to print, and the whole result where it is wanted."""
    from ropewright.cli.summary import brief, summary
    from ropewright.judgement.examine import examine
    from ropewright.judgement.findings import findings, within_policy
    from ropewright.judgement.report import report
    from ropewright.judgement.rules import Context
    from ropewright.rig import read_rig

    examination = examine(read_rig(path, wish.catalogue), wish.catalogue)
    found = findings(examination, wish.units)
    text, data = "", dict[str, Any]()
    if not wish.as_json:
        told = brief if wish.in_brief else summary
        text = told(path.name, Context(examination, wish.units), found) + ("" if wish.in_brief else "\n")
    if wish.with_data:
        data = {"file": str(path), **report(examination, wish.units, found), "caution": CAUTION}
    return not within_policy(found), text, data


def _targets(files: tuple[Path, ...], out: Path | None) -> dict[Path, Path]:
    """Where each file's results go; nothing is begun where two would be written to one place."""
    if out is None:
        return {}
    twins = "two files would be written to {}; check them apart"
    return {path: target for path, [target] in in_folder(files, out, ("json",), twins).items()}


def _write(path: Path, data: dict[str, Any]) -> list[str]:
    """Write one result; give what was wrong with that, so that the other files are still checked."""
    from ropewright.files import WriteError, write_whole

    try:
        write_whole(path, f"{json.dumps(data, indent=1, allow_nan=False)}\n".encode())
    except WriteError as error:
        return [str(error)]
    return []


def _complain(path: Path, error: Exception) -> None:
    """Say what is wrong with one file, so that the others are still checked."""
    from ropewright.rig import RigFileError

    if isinstance(error, RigFileError):
        text = str(error)  # each of its lines names the file
    elif isinstance(error, RopewrightError):
        text = f"{path}: {error}"
    elif os.environ.get("ROPEWRIGHT_TRACEBACK"):
        raise error
    else:
        text = f"{path}: this should not have happened: {type(error).__name__}: {error}; it was not checked"
    for line in text.split("\n"):
        click.echo(f"ropewright: {clean(line)}", err=True)
