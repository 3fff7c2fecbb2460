"""`ropewright catalogue`: the gear types, or one of them with every figure and its source."""

import json
from pathlib import Path
from textwrap import fill
from typing import Any

import click

from ropewright.catalogue import CONFIDENCE, Catalogue, Figure, GearType, Holding, load_catalogue
from ropewright.cli.caution import CAUTION
from ropewright.cli.options import team_option, units_option
from ropewright.cli.table import render_table
from ropewright.cli.terminal import clean
from ropewright.quantity import Units, show_range

__all__ = ["command"]

_WIDTH = 110

_RULES = (
    ("bites", "bites the rope by itself"),
    ("one_way", "passes rope one way only"),
    ("needs_hand", "lets the rope run unless a brake hand holds it"),
    ("locks_off", "can be locked off"),
    ("opens_under_load", "may be opened under load"),
    ("follows", "follows on a slack rope either way"),
    ("comes_off_under_load", "may come off under load"),
)


@click.command("catalogue")
@click.argument("type_name", metavar="[TYPE]", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print JSON, in SI units, instead of a table.")
@units_option
@team_option
def command(type_name: str | None, as_json: bool, units: Units, team: Path | None) -> None:
    """List the gear types, or show one TYPE with all its figures, their sources and how sure they are."""
    catalogue = load_catalogue(team)
    kinds = [catalogue.type(type_name)] if type_name else list(catalogue.values())
    if as_json:
        click.echo(json.dumps({"types": [_as_data(kind) for kind in kinds], "caution": CAUTION}, indent=1))
    elif type_name:
        click.echo(_one_type(kinds[0], units))
    else:
        click.echo(_all_types(catalogue, units))


def _all_types(catalogue: Catalogue, units: Units) -> str:
    rows = [(kind.name, kind.family, _strength(kind, units), kind.summary) for kind in catalogue.values()]
    table = render_table(("type", "family", "strength", "what it is"), rows, wrap_last=_WIDTH)
    more = "'ropewright catalogue TYPE' shows a type's figures with their sources."
    return f"{table}\n\n{more}\n{fill(CAUTION, _WIDTH)}"


def _strength(kind: GearType, units: Units) -> str:
    figure = kind.figures.get("strength")
    return _value(kind, figure, units, likely=False) if figure else "–"


def _one_type(kind: GearType, units: Units) -> str:
    rows = [
        (key, _value(kind, figure, units), CONFIDENCE[figure.confidence], kind.key_kind(key).meaning)
        for key, figure in kind.figures.items()
    ]
    sheaves = f", {kind.sheaves} sheave{'s' if kind.sheaves > 1 else ''}" if kind.sheaves else ""
    parts = [
        f"{kind.name}: {clean(kind.summary)}",
        f"{kind.family}{sheaves}; {_rules(kind.holding)}",
        "",
        render_table(("figure", "value", "how sure", "what it means"), rows, wrap_last=_WIDTH),
        "",
        "Sources",
        *(
            fill(
                f"{key}: {clean(_because(figure), 1200)}",
                _WIDTH,
                initial_indent="  ",
                subsequent_indent="    ",
            )
            for key, figure in kind.figures.items()
        ),
        "",
        fill(CAUTION, _WIDTH),
    ]
    return "\n".join(parts)


def _rules(holding: Holding) -> str:
    """Say in words how it holds a rope."""
    words = [text for rule, text in _RULES if getattr(holding, rule)]
    return "; ".join(words) or "does not hold a rope by itself"


def _because(figure: Figure) -> str:
    """Say where a figure comes from and what to mind about it."""
    return ". ".join(part[0].upper() + part[1:] for part in (figure.source, figure.note) if part) + "."


def _value(kind: GearType, figure: Figure, units: Units, likely: bool = True) -> str:
    if figure.value is None:
        return "not known"
    return show_range(figure.value, kind.key_kind(figure.name).kind, units, likely=likely)


def _as_data(kind: GearType) -> dict[str, Any]:
    return {
        "type": kind.name,
        "family": kind.family,
        "summary": kind.summary,
        "sheaves": kind.sheaves,
        "holding": {name: getattr(kind.holding, name) for name in Holding.__dataclass_fields__},
        "figures": {key: _figure_data(figure) for key, figure in kind.figures.items()},
    }


def _figure_data(figure: Figure) -> dict[str, Any]:
    value = figure.value
    return {
        "value": value and {"low": value.low, "likely": value.likely, "high": value.high},
        "unit": figure.unit,
        "source": figure.source,
        "confidence": CONFIDENCE[figure.confidence],
        "note": figure.note,
    }
