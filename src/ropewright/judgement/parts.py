"""Every part's load against its strength, in every state, and the caps that the limit programme needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.mechanics import Cap, Hung, Rest
from ropewright.quantity import Range
from ropewright.rig import Contact, Rig

from .assemble import Assembly
from .components import named_joins
from .figures import Used
from .loads import Pulls, borne, greatest_on, grips, pulls

Array = NDArray[np.float64]
ALIKE = 1e-6
"""Share by which two figures have to differ to count as greater and less: what rounding may do to equals."""
HAND = "hand of "
"""What the name of a hand's own cap begins with."""


@dataclass(frozen=True, slots=True)
class Strength:
    """What a part can bear [N]: ``value`` None where nobody said; ``line`` where it stands in the file.

    ``bearer`` is the part of the rig file whose load it bears: the gear of a join, the wearer of a harness.
    ``stated`` is where the rig file may say under `assume:` what it bears; empty where it says it elsewhere.
    """

    part: str
    kind: str
    bearer: str
    value: Range | None
    source: str
    line: int
    stated: str = ""


@dataclass(frozen=True, slots=True)
class PartLoad:
    """A part's greatest load [N] over the states asked, against the low end of its strength.

    ``factor`` is strength over load, None where the strength is not known or nothing pulls; ``state`` is
    when the load is greatest.
    """

    part: str
    kind: str
    load: Range
    state: str
    strength: float | None
    factor: float | None
    source: str
    line: int


def strengths(assembly: Assembly) -> list[Strength]:
    """Every part that bears load with its strength: anchors, bodies, gear, joins, ropes, and ropes at
    their knots.
    """
    return assembly.figures.kept(assembly.rig, "strengths", lambda: _strengths(assembly))


def _strengths(assembly: Assembly) -> list[Strength]:
    rig, figures = assembly.rig, assembly.figures
    out = [
        Strength(p.name, "anchor", p.name, p.strength, "stated in the rig file", p.line)
        for p in rig.points.values()
        if p.kind != "edge"
    ]
    for load in rig.loads.values():
        if load.wears:
            used = figures.get(load.name, load.wears, "strength")
            label = f"{load.wears} of {load.name}"
            out += [Strength(label, "body", load.name, used.value, used.source, load.line, _as(load.wears))]
    for item in rig.gear.values():
        used = figures.get(item.name, item.type, "strength")
        out += [Strength(item.name, "gear", item.name, used.value, used.source, item.line, _as(item.name))]
        for _, join, label in named_joins(rig, item.name):
            used = figures.get(join, join, "strength")
            out += [Strength(label, "join", item.name, used.value, used.source, item.line, _as(join))]
    for rope in rig.ropes.values():
        used = figures.get(rope.name, rope.type, "strength")
        out += [Strength(rope.name, "rope", rope.name, used.value, used.source, rope.line, _as(rope.name))]
        out += [_knot(assembly, rope.name, used, c) for c in rope.run if c.verb == "tie"]
    return out


def _as(name: str, figure: str = "strength") -> str:
    return f"{name}: {figure}"


def _knot(assembly: Assembly, rope: str, used: Used, contact: Contact) -> Strength:
    """A rope at its knot: the rope's strength less what the knot takes, not known where no knot is named."""
    label, knot = f"{rope} at {contact.target}", contact.knot
    keeps = assembly.figures.get(knot, knot, "keeps") if knot else None
    if keeps is None or keeps.value is None or used.value is None:
        why = used.source if knot else "no knot is named"
        stated = "" if knot is None else _as(rope) if used.value is None else _as(knot, "keeps")
        return Strength(label, "knot", rope, None, why, contact.line, stated)
    left = Range(
        used.value.low * keeps.value.low,
        used.value.likely * keeps.value.likely,
        used.value.high * keeps.value.high,
    )
    return Strength(label, "knot", rope, left, f"{used.source}; {knot}: {keeps.source}", contact.line)


def part_loads(
    assembly: Assembly, found: Pulls, all_borne: Mapping[str, Array] | None = None
) -> dict[str, Array]:
    """Load (N,) [N] on everything that ``strengths`` names."""
    rig = assembly.rig
    force = all_borne if all_borne is not None else borne(assembly, found)
    stacked = np.array(list(force.values()))
    size = dict(zip(force, np.sqrt((stacked * stacked).sum(axis=1)), strict=True))
    out: dict[str, Array] = {place: size[place] for place in rig.points}
    for load in rig.loads.values():
        if load.wears:
            out[f"{load.wears} of {load.name}"] = size[load.name]
    for name, labels in assembly.figures.kept(rig, "joins", lambda: _join_labels(rig)):
        out[name] = np.maximum(size[name], greatest_on(assembly, found, name))
        for label in labels:
            out[label] = size[name]
    zero = np.zeros(found.tension.shape[1])
    for name, pulled in assembly.kept("on ropes", lambda: _on_ropes(assembly)):
        out[name] = np.maximum(zero, found.tension[pulled].max(axis=0)) if pulled else zero
    return out


def _join_labels(rig: Rig) -> list[tuple[str, list[str]]]:
    """Each piece of gear and what its joins are called."""
    return [(name, [label for _, _, label in named_joins(rig, name)]) for name in rig.gear]


def _on_ropes(assembly: Assembly) -> list[tuple[str, list[int]]]:
    """The ropes and the ropes at their knots, with the strands that pull on each."""
    out: dict[str, list[int]] = {}
    for rope in assembly.rig.ropes.values():
        out[rope.name] = []
        for contact in rope.run:
            if contact.verb == "tie":
                out.setdefault(f"{rope.name} at {contact.target}", [])
    for k, pair in enumerate(assembly.ends):
        rope_name = pair[0].rope
        names = {f"{rope_name} at {w.contact.target}" for w in pair if w.contact.verb == "tie"}
        for name in (rope_name, *names):
            out[name].append(k)
    return list(out.items())


def rest_pulls(assembly: Assembly, rest: Rest, hung: Hung | None = None) -> Pulls:
    """The pulls of a rig at rest, one sample; ``hung`` where long strands hang."""
    tension = rest.tension if hung is None else hung.tension
    return pulls(assembly, rest.position.T[:, :, None], tension[:, None], hung)


def caps(assembly: Assembly, grip: Mapping[str, float]) -> list[Cap]:
    """The strengths, low ends, as the limit programme takes them; what is not known caps nothing.

    Hands cap at their grip.
    """
    out = []
    for item in strengths(assembly):
        if item.value is None:
            continue
        if item.kind in ("rope", "knot"):
            out += _rope_caps(assembly, item)
        else:
            pulled = _pulled(assembly, item.bearer)
            if pulled:
                out.append(Cap(item.part, tuple(pulled), item.value.low))
            if item.kind == "gear":
                out += [Cap(item.part, each, item.value.low) for each in _gripped(assembly, item.part)]
    for k in range(len(assembly.system.strands)):
        _, end = assembly.strand_ends(k)
        who = end.contact.target or ""
        if end.contact.verb == "hand" and who in grip:
            out.append(Cap(f"{HAND}{who}", ((k, 1),), grip[who]))
    return out


def _rope_caps(assembly: Assembly, item: Strength) -> list[Cap]:
    assert item.value is not None
    out = []
    for k in range(len(assembly.system.strands)):
        pair = assembly.strand_ends(k)
        names = {pair[0].rope}
        names |= {f"{pair[0].rope} at {w.contact.target}" for w in pair if w.contact.verb == "tie"}
        if item.part in names and assembly.system.strands.real[k]:
            out.append(Cap(item.part, ((k, 1),), item.value.low))
    return out


def _gripped(assembly: Assembly, grab: str) -> list[tuple[tuple[int, int], ...]]:
    """The strand ends at each contact where a grab grips: what hangs on it may ride on the rope with it, and
    then all its pulls together are none.
    """
    at = assembly.system.strand_at
    out = []
    for flat, wire in enumerate(assembly.wires):
        if wire.contact.target == grab and grips(assembly, wire):
            ends = ((at.get(flat - 1), -1), (at.get(flat), 1))
            out.append(tuple((k, sign) for k, sign in ends if k is not None))
    return [each for each in out if each]


def _pulled(assembly: Assembly, part: str) -> list[tuple[int, int]]:
    """The strand ends that pull on a part or on anything clipped to it, hands left out."""
    under = {part}
    for _ in range(len(assembly.parent)):
        under |= {g for g, above in assembly.parent.items() if above in under}
    out = []
    for k in range(len(assembly.system.strands)):
        start, end = assembly.strand_ends(k)
        for wire, sign in ((start, 1), (end, -1)):
            if wire.contact.target in under and wire.contact.verb != "hand":
                out.append((k, sign))
    return out
