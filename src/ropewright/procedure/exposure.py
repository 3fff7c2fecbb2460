"""How exposed everybody is at a moment: the drop if the worst single thing lets go, hands, gear free."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from ropewright.judgement.components import Component, components, holding_nobody
from ropewright.judgement.examine import Failure
from ropewright.judgement.lanes import lane_at
from ropewright.judgement.letting_go import Aftermath, Outcome, Verdict, let_go
from ropewright.judgement.sliding import slips
from ropewright.quantity import show_length

from .hanging import BEARS
from .laying import take_out, without_knots
from .moment import Moment
from .rules import Fault, people
from .world import World

__all__ = ["Exposure", "Hands", "exposure", "free_gear", "hands", "too_far"]


@dataclass(frozen=True, slots=True)
class Exposure:
    """The worst that one thing letting go does to a load now: what lets go, what becomes of the load, and how
    far down [m] it comes to hang or lie, None where nobody knows; ``strikes``: the ground, before its ropes
    hold it. ``lowest`` [m] is how far down the catch takes it, ``may_slip`` what may then slip, from which
    force [N]: it then comes lower still.
    """

    load: str
    part: str
    outcome: Verdict
    drop: float | None
    strikes: bool = False
    lowest: float | None = None
    may_slip: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Hands:
    """Hands that hold something at a moment, and hands that there are, of all people named."""

    full: int
    there: int


HAIR = 1e-6
"""Drop [m] that counts as none: two ways to work out the same one may differ by so much."""


def exposure(world: World, moment: Moment) -> dict[str, Exposure]:
    """For each person and litter that hangs, the worst single failure of what its chains are made of.

    A knot, a join or an anchor does no more than the rope or the gear that it holds, so those stand for them.
    """
    return dict(world.remembered("exposure", moment, lambda: _exposure(world, moment)))


def _exposure(world: World, moment: Moment) -> dict[str, Exposure]:
    loads = [load.name for load in people(moment)]
    out: dict[str, Exposure] = {}
    parts, moment = _parts(world, moment, loads), without_knots(moment)
    never = holding_nobody(moment.rig, world.catalogue, components(moment.rig, world.catalogue))
    for part in parts:
        after = let_go(
            moment.rig,
            world.catalogue,
            moment.state,
            figures=world.figures,
            gone=dict.fromkeys((part, *never)),
            grip=world.grip,
        )
        for outcome in after.outcomes:
            if outcome.load not in loads:
                continue
            found = Exposure(
                outcome.load,
                part.label,
                outcome.verdict,
                outcome.drop,
                outcome.strikes,
                outcome.lowest,
                _may_slip(part, after, outcome),
            )
            if outcome.load not in out or _worse(found, out[outcome.load]):
                out[outcome.load] = found
    return out


def _may_slip(part: Component, after: Aftermath, outcome: Outcome) -> tuple[tuple[str, float], ...]:
    """What may slip in the catch of a load that drops and is held."""
    if outcome.verdict != "held" or outcome.peak is None:
        return ()
    failure = Failure(part, after, {}, lane_at(after.assembly.rig, after.assembly.figures))
    return tuple((slip.part, slip.slips_from) for slip in slips(failure, outcome.load))


def too_far(world: World, moment: Moment) -> list[Fault]:
    """People and litters that one failure would drop to the ground, or further than the policy allows."""
    most = world.policy.number("most-drop")
    out = []
    for load, x in exposure(world, moment).items():
        far = "" if x.drop is None else f" {show_length(x.drop)}"
        if x.outcome != "held" and not x.strikes:
            continue  # every chain was tried alone: what else the model can't settle here is no new fall
        if x.outcome != "held":
            verb = "falls" if x.outcome == "falls" else "runs"
            text = (
                f"if {x.part} fails, {load} {verb}{far}: what counts as a chain holds too late or not at all"
            )
            out.append(
                Fault("drop", load, "refused", text, "take slack out of what then holds", None, x.drop)
            )
        elif most is not None and (x.drop or 0.0) > most:
            text = f"if {x.part} fails, {load} drops{far}; the policy allows {show_length(most)}"
            fix = f"take {show_length((x.drop or 0.0) - most)} or more of slack out of what then holds"
            out.append(Fault("drop", load, "refused", text, fix, None, x.drop))
    return out


def _worse(one: Exposure, other: Exposure) -> bool:
    """Whether one failure is worse than another; of those alike to a hair the first is told."""
    if (one.outcome != "held") != (other.outcome != "held"):
        return one.outcome != "held"
    drop, known = (inf if each.drop is None else each.drop for each in (one, other))
    return drop > known + HAIR


def _parts(world: World, moment: Moment, loads: list[str]) -> list[Component]:
    chains = world.chains(moment)
    kinds = (
        ("rope", "gear") if all(len(chains[x].independent) > 1 for x in loads) else ("rope", "gear", "hand")
    )
    found = {  # a hand that leaves takes less away than its rope, and the other chain was tried without that
        part.key: part
        for load in loads
        for chain in chains[load].chains
        for part in chain.components
        if part.kind in kinds
    }
    return list(found.values())


def hands(moment: Moment, doers: list[str]) -> Hands:
    """Hands full and hands there, of the people named in the procedure."""
    there = 0
    for name in doers:
        crew = moment.rig.crews.get(name)
        there += 2 * (crew.people if crew else 1)
    return Hands(sum(moment.full_hands(name) for name in doers), there)


def free_gear(world: World, moment: Moment) -> list[str]:
    """Gear that bears nothing and could come off its rope with the policy's chains still there."""
    return list(world.remembered("free", moment, lambda: _free(world, moment)))


def _free(world: World, moment: Moment) -> list[str]:
    hung = world.hang(moment)
    asked = int(world.policy.number("chains") or 0)
    out = []
    for item in moment.rig.gear.values():
        ropes = moment.ropes_of(item.name)
        family = world.catalogue[item.type].family
        if not ropes or family not in ("grab", "device", "pulley") or hung.bears.get(item.name, 0.0) > BEARS:
            continue
        without = moment
        for rope in ropes:
            k = without.on(rope, item.name)
            if k is not None:
                without = take_out(without, rope, k)
        chains = world.chains(without)
        if all(len(chains[load.name].independent) >= asked for load in people(moment)):
            out.append(item.name)
    return out
