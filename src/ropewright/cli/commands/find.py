"""`ropewright find`: the shortest procedure from one rig to another that the prover accepts."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.caution import CAUTION
from ropewright.cli.options import NamedPath, team_option
from ropewright.cli.output import force_option, refuse_inputs, refuse_to_overwrite
from ropewright.cli.terminal import clean

if TYPE_CHECKING:
    from ropewright.catalogue import Catalogue
    from ropewright.procedure.find import Found
    from ropewright.procedure.lacking import Lacking
    from ropewright.rig import Gear, Rig

__all__ = ["command"]

NONE = 1
_WIDTH = 110


@click.command("find")
@click.argument("start", metavar="FROM", type=NamedPath())
@click.argument("goal", metavar="TO", type=NamedPath())
@click.option(
    "--extra", multiple=True, metavar="NAME=TYPE", help="Gear that may be used besides; may be repeated."
)
@click.option(
    "--seconds",
    type=click.FloatRange(1, 3600),
    default=60.0,
    show_default=True,
    help="How long to search.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option("-o", "--output", type=NamedPath(), metavar="FILE", help="Write the way as a procedure file.")
@force_option
@team_option
def command(
    start: Path,
    goal: Path,
    extra: tuple[str, ...],
    seconds: float,
    as_json: bool,
    output: Path | None,
    force: bool,
    team: Path | None,
) -> int:
    """Search the shortest way from the rig FROM to the rig TO with the gear of both.

    The search proposes, the prover decides. Where there is no way, one thing more at a time is tried,
    and what helps is named. Exit status: 0 found, 1 none found, 2 a file can't be used.
    """
    from ropewright.catalogue import load_catalogue
    from ropewright.files import write_whole
    from ropewright.procedure.find import find, pair
    from ropewright.procedure.lacking import lacking
    from ropewright.procedure.pairing import unlike
    from ropewright.procedure.writer import write_procedure
    from ropewright.rig import read_rig

    if output is not None:
        refuse_inputs([output], start, goal)
    refuse_to_overwrite(output, force)
    catalogue = load_catalogue(team)
    first, last = read_rig(start, catalogue), read_rig(goal, catalogue)
    if set(first.loads) != set(last.loads):
        raise click.ClickException(
            f"the two rigs name different loads: {clean(', '.join(first.loads))} in {clean(start.name)}, "
            f"{clean(', '.join(last.loads))} in {clean(goal.name)}; give what hangs the same names in both"
        )
    differs = unlike(first, last)
    if differs:
        raise click.ClickException(
            f"no step changes {clean(differs)}; draw both rigs at the same place, of the same gear"
        )
    procedure = pair(first, last, _extra(extra, catalogue, first, last))
    found = find(procedure, last, catalogue, seconds=seconds, progress=_show)
    helps, tried = list[Any](), list[str]()
    if found.procedure is None:
        helps, tried = lacking(first, last, catalogue, seconds=min(20.0, seconds), progress=_trying)
    _clear()
    if as_json:
        click.echo(json.dumps({**_data(found, helps, tried), "caution": CAUTION}, indent=1))
    else:
        click.echo(_told(found, helps, tried))
        click.echo(f"\n{fill(CAUTION, _WIDTH)}")
    if found.procedure is not None and output is not None and found.procedure.steps:
        name = start.name if start.parent.resolve() == output.parent.resolve() else str(start.resolve())
        write_whole(output, write_procedure(found.procedure, name, first, catalogue).encode())
        click.echo(f"written to {clean(str(output))}", err=True)
    return 0 if found.procedure is not None else NONE


def _extra(words: tuple[str, ...], catalogue: Catalogue, first: Rig, last: Rig) -> list[Gear]:
    from ropewright.procedure.pairing import extra_gear

    try:
        return extra_gear(words, catalogue, first, last)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--extra") from None


def _show(tried: int, left: int) -> None:
    if sys.stderr.isatty() and tried % 7 == 0:
        sys.stderr.write(f"\r\x1b[K{tried} steps tried, {left} differences left at best")
        sys.stderr.flush()


def _trying(what: str) -> None:
    if sys.stderr.isatty():
        sys.stderr.write(f"\r\x1b[Kno way with what is there; trying {clean(what)}")
        sys.stderr.flush()


def _clear() -> None:
    if sys.stderr.isatty():
        sys.stderr.write("\r\x1b[K")
        sys.stderr.flush()


def _told(found: Found, helps: list[Lacking], tried: list[str]) -> str:
    lines = []
    if found.procedure is not None and found.proof is not None:
        steps = found.procedure.steps
        verdict = "no step refused" if found.proof.proved else "NOT PROVED"
        lines.append(f"a way of {len(steps)} steps, {verdict} when played by itself once more")
        lines += [clean(f"{n:>3}  {step.doer}: {step.text}") for n, step in enumerate(steps, 1)]
    else:
        why = "nothing was left to try" if found.exhausted else "the time was up"
        lines.append(f"no way found: {why}")
        if found.nearest:
            lines.append("the furthest that was come:")
            lines += [clean(f"{n:>3}  {step.doer}: {step.text}") for n, step in enumerate(found.nearest, 1)]
        lines.append(clean(f"not yet done then: {', '.join(found.left) or 'nothing'}"))
        if helps:
            lines += ["", "with one thing more there is a way:"]
            lines += [clean(f"  {x.what} ({len(x.found.nearest)} steps)") for x in helps]
        elif tried:
            lines += ["", clean(f"one thing more did not help; tried: {', '.join(tried)}")]
    lines.append("")
    lines.append(f"{found.tried} steps put to the prover from {found.moments} moments, {found.seconds:.1f} s")
    rejected = list(dict.fromkeys((r.n, r.step.text, r.because) for r in found.rejected))
    if rejected:
        lines += ["", "refused on the way, and why:"]
        lines += [clean(f"{n:>3}  {text}: {why}") for n, text, why in rejected]
    return "\n".join(lines)


def _data(found: Found, helps: list[Lacking], tried: list[str]) -> dict[str, Any]:
    return {
        "found": found.procedure is not None,
        "proved": bool(found.proof and found.proof.proved),
        "steps": [{"n": n, "doer": s.doer, "do": s.text} for n, s in enumerate(found.nearest, 1)],
        "left": list(found.left),
        "rejected": [{"n": r.n, "do": r.step.text, "because": r.because} for r in found.rejected],
        "tried": found.tried,
        "moments": found.moments,
        "exhausted": found.exhausted,
        "helps": [x.what for x in helps],
        "tried_besides": tried,
    }
