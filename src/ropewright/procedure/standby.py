"""What would have to hold next, though it bears nothing now: the parts of every chain, and enough rope."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.chains import Chain
from ropewright.judgement.components import Component
from ropewright.judgement.parts import Strength, strengths
from ropewright.mechanics import GRAVITY
from ropewright.quantity import show_force, show_length

from .burdens import Burden, to_state
from .hanging import Hanging
from .moment import rope_between
from .world import World

__all__ = ["chains_rated", "ropes_long_enough"]

NEAR = 0.05
"""Length [m] by which a rope may seem used up through its stretch alone."""


def ropes_long_enough(hung: Hanging) -> Iterator[tuple[str, str, str]]:
    """Ropes that are laid further than they are long: the rope, what is wrong, what would be right."""
    moment = hung.moment
    for rope in moment.rig.ropes.values():
        if rope.length is None:
            continue
        last = len(rope.run) - (2 if rope.run[-1].verb == "tail" else 1)
        used = sum(rope_between(moment, rope.name, k) for k in range(last))
        if used > rope.length + NEAR:
            text = f"{rope.name} would have to be {show_length(used)} long and is {show_length(rope.length)}"
            yield rope.name, text, "use a longer rope, or stop before its end; tie a stopper knot there"


def chains_rated(world: World, hung: Hanging, load: str, mass: float) -> Iterator[Burden]:
    """Parts of the chains counted for a load that nobody rated, or that ``mass`` [kg] alone would break."""
    known = {part.part: part for part in strengths(hung.assembly)}
    told: set[str] = set()
    for chain in world.chains(hung.moment)[load].independent:
        for part in chain.components:
            for burden in _rated(world, hung, chain, part, known, GRAVITY * mass):
                if burden.part not in told:
                    told.add(burden.part)
                    yield burden


def _rated(
    world: World, hung: Hanging, chain: Chain, part: Component, known: dict[str, Strength], weight: float
) -> Iterator[Burden]:
    place = hung.moment.rig.points.get(part.part) if part.kind == "anchor" else None
    counts = f"a chain of {chain.load} counts on {part.label}"
    if place is not None and place.kind != "anchor":
        text = f"{counts}, which is drawn as {place.kind} and no anchor"
        yield Burden("not-rated", part.part, text, "make it fast to an anchor")
        return
    found = known.get(part.label) or known.get(part.part)
    if part.kind not in ("anchor", "gear", "join", "rope") or found is None:
        return
    if found.value is None:
        if part.kind == "anchor" and not world.policy.asks("rate-anchors"):
            return
        text = f"{counts}, and nobody has said what it bears"
        yield Burden("not-rated", part.label, text, to_state(found))
    elif found.value.low < weight:
        text = f"{counts}, which bears {show_force(found.value.low)}: it would break under {chain.load} alone"
        yield Burden("overloaded", part.label, text, "use a part that bears more")
