"""The pieces of one rig: what it takes by type, and what each has to bear by the rig's own check."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ropewright.allotting.demand import Need, Unit
from ropewright.effort import MassLimit, Prepared, mass_limits
from ropewright.rig import Load, Rig

__all__ = ["Worn", "limits_of", "needs_of"]

LOADED = 1.0
"""Force [N] below which a part counts as not loaded."""


@dataclass(frozen=True, slots=True)
class Worn:
    """What limits the mass of whoever is in the place of one person of a rig.

    ``part``: the piece in the rig; ``most`` [kg] as the check took it, None where nobody said; ``others``
    [kg] hang on it besides.
    """

    person: str
    part: str
    type: str
    most: float | None
    others: float


@dataclass(frozen=True, slots=True)
class _Piece:
    """One piece: its name, and the names under which the check has its load and its figures."""

    type: str
    part: str
    figures_of: str
    length: float | None = None


def needs_of(prepared: Prepared, report: Mapping[str, Any]) -> tuple[Need, ...]:
    """What one rig takes: ropes, gear and what joins it, what people wear, what protects edges.

    prepared: the rig, moved once. report: its check as `ropewright check --json` prints it; loads, factors
    and lengths come from there. The strength asked is the load times the policy's factor with nothing failed,
    and no less than what comes after a failure or in a catch.
    """
    bears, takes = _strengths(prepared.rig, report), _masses(prepared)
    alike: dict[Need, list[str]] = defaultdict(list)
    for piece in _pieces(prepared, report):
        asked = bears.get(piece.part, 0.0)
        need = Need(
            Unit(0),
            piece.type,
            length=piece.length,
            strength=asked if asked >= LOADED else None,
            user_mass=takes.get(piece.part),
            type_strength=_figure(prepared, piece, "strength"),
            type_user_mass=_figure(prepared, piece, "user-mass"),
        )
        alike[need].append(piece.part)
    return tuple(replace(need, count=len(parts), parts=tuple(parts)) for need, parts in alike.items())


def _pieces(prepared: Prepared, report: Mapping[str, Any]) -> Iterator[_Piece]:
    rig = prepared.rig
    lengths = {row["rope"]: float(row["needed_m"]) for row in report["ropes"]}
    for rope in rig.ropes.values():
        yield _Piece(rope.type, rope.name, rope.name, lengths.get(rope.name))
    for part in prepared.components:
        if part.kind == "gear":
            kind = rig.gear[part.part].type
            yield _Piece(kind, part.part, part.part)
        elif part.kind == "join":  # `lanyard 2 of backup`; the figures of joins are those of their type
            kind = part.label.split(" ")[0]
            yield _Piece(kind, part.label, kind)
    for load in rig.loads.values():
        if load.wears:
            yield _Piece(load.wears, _worn(load), load.name)
    guards = {row["edge"]: row["protection"] for row in report["edges"] if row["protection"]}
    for edge, guard in guards.items():
        yield _Piece(guard, f"{guard} at {edge}", guard)


def _worn(load: Load) -> str:
    return f"{load.wears} of {load.name}"


def _figure(prepared: Prepared, piece: _Piece, key: str) -> float | None:
    value = prepared.assembly.figures.get(piece.figures_of, piece.type, key).value
    return None if value is None else value.low


def _strengths(rig: Rig, report: Mapping[str, Any]) -> dict[str, float]:
    """The least strength [N] that each part must have. A rope has to have it at its knots, so it needs more
    by the share that the knot leaves.
    """
    whole = {row["part"]: row["strength_N"] for row in report["parts"] if row["kind"] == "rope"}
    out: dict[str, float] = defaultdict(float)
    for row in report["parts"]:
        caught = row["in_a_catch"] or {"load_N": 0.0}
        usual = row["nothing_failed"]
        asked = max(usual["required"] * usual["load_N"], row["load_N"], caught["load_N"])
        part = row["part"]
        if row["kind"] == "knot":
            rope = next((name for name in rig.ropes if part.startswith(f"{name} at ")), "")
            left, full = row["strength_N"], whole.get(rope)
            part, asked = rope, asked * full / left if left and full else asked
        out[part] = max(out[part], asked)
    return out


def _masses(prepared: Prepared) -> dict[str, float]:
    """The least user mass [kg] that each part must have: that of the heaviest who may hang on it."""
    out: dict[str, float] = defaultdict(float)
    for load in prepared.rig.loads.values():
        if load.kind == "object":
            continue
        for limit in _limits(prepared, load):
            part = _part(limit, load)
            if part:
                out[part] = max(out[part], load.mass.high + limit.others)
    return out


def limits_of(prepared: Prepared) -> tuple[Worn, ...]:
    """The limits in kilograms for each person of a rig; a litter's place is nobody's to take."""
    return tuple(
        Worn(load.name, _part(limit, load) or limit.what, limit.type, limit.most, limit.others)
        for load in prepared.rig.loads.values()
        if load.kind == "person"
        for limit in _limits(prepared, load)
    )


def _limits(prepared: Prepared, load: Load) -> tuple[MassLimit, ...]:
    """The limits for one load, whether it is the one that is moved or not."""
    rest = {name: other for name, other in prepared.rig.loads.items() if name != load.name}
    rig = replace(prepared.rig, haul=None, lower=None, loads={load.name: load, **rest})
    return mass_limits(replace(prepared, rig=rig))


def _part(limit: MassLimit, load: Load) -> str:
    if not limit.type:
        return ""
    return _worn(load) if limit.what == f"the {load.wears}" else limit.what
