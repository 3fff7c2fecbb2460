"""`ropewright new`: a commented rig file to start from."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, cast

import click

from ropewright.catalogue import load_catalogue
from ropewright.cli.options import NamedPath
from ropewright.cli.output import force_option, refuse_to_overwrite
from ropewright.files import write_whole
from ropewright.quantity import Kind, QuantityError, Range, System, read_quantity
from ropewright.rig import STARTER_KINDS, Answers, StarterKind, starter_text

__all__ = ["command"]

_HAULS = ("haul-2-1", "haul-3-1", "haul-5-1", "haul-9-1")
_NO_EDGE = "none"


@click.command("new")
@click.argument("kind", required=False, type=click.Choice(STARTER_KINDS), metavar="[KIND]")
@click.option("-o", "--output", type=NamedPath(), metavar="FILE", help="The file to write.")
@force_option
@click.option("--units", type=click.Choice(["metric", "us"]), help="What bare numbers mean.  [metric]")
@click.option("--mass", metavar="MASS", help="What hangs on the rig, as in '95 kg' or 210.")
@click.option("--height", metavar="LENGTH", help="How high the anchors are, as in '12 m' or 40.")
@click.option("--edge", metavar="SURFACE", help="The rope runs over an edge of this surface, or 'none'.")
@click.option("--protection", metavar="TYPE", help="What lies on the edge, as in roller.")
@click.option("--people", type=click.IntRange(1, 100), metavar="N", help="How many haul.")
@click.option("--legs", type=click.IntRange(2, 3), default=2, show_default=True, help="Legs of an anchor.")
@click.option("--anchor-strength", metavar="FORCE", help="What each anchor is rated for, as in '36 kN'.")
@click.option("--team", type=NamedPath(), metavar="FILE", help="The team's own gear types.")
def command(**given: Any) -> None:
    """Write a commented rig file to start from.

    KIND is one of self-haul, ascent-clamps, haul-2-1, haul-3-1, haul-5-1, haul-9-1, lower, descent,
    main-and-second, two-tensioned and anchor-legs. At a terminal, what is not given is asked for.
    """
    output: Path | None = given["output"]
    refuse_to_overwrite(output, given["force"])
    if given["kind"] is None and not at_a_terminal():
        raise click.UsageError(f"name what to start from: {', '.join(STARTER_KINDS)}")
    if given["kind"] is None:
        _ask(given)
    system: System = given["units"] or "metric"
    strength = _figure(given["anchor_strength"], "--anchor-strength", "force", system)
    height = _figure(given["height"], "--height", "length", system)
    answers = Answers(
        kind=cast(StarterKind, given["kind"]),
        mass=_figure(given["mass"], "--mass", "mass", system),
        height=height.likely if height else None,
        units=system,
        surface=None if given["edge"] in (None, "", _NO_EDGE) else given["edge"],
        protection=given["protection"] or None,
        people=given["people"],
        legs=given["legs"],
        strength=strength,
    )
    text = starter_text(answers, load_catalogue(given["team"]))
    if output is None:
        click.echo(text, nl=False)
    else:
        refuse_to_overwrite(output, given["force"])
        write_whole(output, text.encode())
        click.echo(
            f"{output} is written; change what is different, then: ropewright check {output}", err=True
        )


def at_a_terminal() -> bool:
    """Whether there is somebody to ask."""
    return sys.stdin is not None and sys.stdin.isatty()


def _figure(text: str | None, option: str, kind: Kind, system: System) -> Range | None:
    if text is None or not text.strip():
        return None
    try:
        return read_quantity(text, kind, system, sign="above-zero")
    except QuantityError as error:
        raise click.ClickException(f"{option}: {error}") from None


def _ask(given: dict[str, Any]) -> None:
    """Ask for what was not given, in place."""
    given["kind"] = click.prompt(
        "What is rigged", type=click.Choice(STARTER_KINDS), default="haul-3-1", err=True
    )
    questions: tuple[tuple[str, Callable[[], Any]], ...] = (
        (
            "units",
            lambda: click.prompt("Units", type=click.Choice(["metric", "us"]), default="metric", err=True),
        ),
        (
            "mass",
            lambda: click.prompt(
                "Mass that hangs on it", default=_usual(given, "100 kg", "220 lb"), err=True
            ),
        ),
        (
            "height",
            lambda: click.prompt("Height of the anchors", default=_usual(given, "12 m", "40 ft"), err=True),
        ),
        (
            "edge",
            lambda: click.prompt("Surface of the edge that the rope runs over", default=_NO_EDGE, err=True),
        ),
    )
    for name, question in questions:
        if given[name] is None:
            given[name] = question()
    if given["edge"] != _NO_EDGE and given["protection"] is None:
        given["protection"] = click.prompt(
            "Protection on the edge, if any", default="", show_default=False, err=True
        )
    if given["kind"] in _HAULS and given["people"] is None:
        given["people"] = click.prompt("People who haul", type=click.IntRange(1, 100), default=3, err=True)


def _usual(given: dict[str, Any], metric: str, us: str) -> str:
    return us if given["units"] == "us" else metric
