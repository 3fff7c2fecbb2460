"""The people and the ropes that are given on the line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from ropewright.effort import Person
    from ropewright.quantity import System, Units
    from ropewright.rig import Rig

__all__ = ["people_of", "ropes_of"]


def people_of(
    masses: str | None, roster: Path | None, units: Units, rigs: Sequence[Rig]
) -> tuple[Person, ...]:
    """Those of `--masses` or of a roster; nobody where neither is given. Errors: RosterError."""
    from ropewright.effort import people_of_masses, read_roster

    if masses is not None:
        return people_of_masses(masses, _bare(units, rigs))
    if roster is None:
        return ()
    return read_roster(roster, units if units in ("metric", "us") else None)


def _bare(units: Units, rigs: Sequence[Rig]) -> System | None:
    """What a bare number on the line means: `--units`, else the units of all the rigs."""
    if units in ("metric", "us"):
        return units
    systems = {rig.units for rig in rigs}
    return systems.pop() if len(systems) == 1 else None


def ropes_of(text: str | None, units: Units, rigs: Sequence[Rig]) -> tuple[float, ...]:
    """Lengths of rope at hand [m], as they are given on the line. Errors: click.UsageError."""
    from ropewright.quantity import QuantityError, read_quantity

    if text is None:
        return ()
    try:
        found = [
            read_quantity(cell, "length", _bare(units, rigs) or "metric", sign="above-zero")
            for cell in text.split(",")
        ]
    except QuantityError as error:
        raise click.UsageError(f"--ropes: {error}") from None
    return tuple(each.low for each in found)
