"""What is wrong with a moment, and with a step from one to the next, by the policy and by the model."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil
from typing import Literal

from ropewright.judgement.chains import Holding
from ropewright.judgement.ground import ground_below
from ropewright.judgement.letting_go import let_go
from ropewright.mechanics import GRAVITY, MechanicsError, move
from ropewright.quantity import show_force, show_length
from ropewright.rig import Load, hangs_on

from .acts import Change
from .acts.tending import minded
from .burdens import burdens
from .hanging import BEARS, Hanging, assembled, open_without_hand
from .laying import gaps, without_knots
from .model import Step
from .moment import Moment
from .others import through_harness
from .slackness import slack_lines
from .standby import chains_rated, ropes_long_enough
from .tightness import too_short
from .world import World

__all__ = ["KINDS", "UNPLANNED", "Fault", "Level", "amiss", "judged", "people", "still"]

Level = Literal["refused", "caution"]
_TIGHT = 0.01
"""Slack [m] below which a rope counts as tight."""
SELF = 0.5
"""Share of their own weight that people are counted on to pull: this project's own planning figure."""
UNPLANNED = 0.10
"""Drop [m] that no step means and from which it counts as a fall, caught or not."""

KINDS = {
    "falls": "nothing holds somebody any more",
    "runs": "rope runs with nobody able to hold it",
    "drops": "somebody drops onto what is left",
    "too-few-chains": "fewer independent chains than the policy asks for",
    "drop": "one failure would drop somebody to the ground, or further than the policy's `most-drop`",
    "too-few-hands-off": "fewer chains that hold by themselves than the policy asks for",
    "untended": "a loaded device neither locked off nor in hand",
    "slack": "a line that should catch has too much slack",
    "overloaded": "a part bears more than the policy allows, or than it is rated for",
    "rope-short": "a rope is laid further than it is long",
    "not-rated": "something bears, and nobody said how much it may",
    "loaded": "something that bears weight can't come off",
    "reach": "out of the doer's reach",
    "hands": "the doer has no hand free",
    "untied": "somebody works at an edge and is tied to nothing",
    "edge": "an edge without protection",
    "cannot": "the step can't be done as things stand",
    "check-finds": "a check finds something amiss",
    "not-tested": "the last other connection goes before its replacement was loaded and tested",
    "not-loaded": "the weight did not go where the step sends it",
    "not-settled": "the model finds no rest, or only one that would break a rope",
    "gate": "a gate not locked",
    "still": "something wrong since an earlier step",
}


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong: its kind, what it is about, how bad, in words, and what would be right.

    ``count`` is how many chains are left where that is what is wrong; ``drop`` [m] how far somebody comes.
    """

    kind: str
    about: str
    level: Level
    text: str
    fix: str = ""
    count: int | None = None
    drop: float | None = None


def people(moment: Moment) -> list[Load]:
    """The loads for whom the policy asks for chains: people and litters that hang."""
    stood = {name for name, _ in moment.stands}
    return [x for x in moment.rig.loads.values() if x.kind in ("person", "litter") and x.name not in stood]


# --- a moment


def amiss(world: World, moment: Moment) -> dict[tuple[str, str], Fault]:
    """Everything that is wrong with a moment for as long as it lasts, by kind and what it is about."""
    found = world.remembered("amiss", moment, lambda: list(_amiss(world, moment)))
    return {(f.kind, f.about): f for f in found}


def _amiss(world: World, moment: Moment) -> Iterator[Fault]:
    hung = world.hang(moment)
    chains = world.chains(moment)
    if not hung.settled:
        text = "the model finds no rest, so what bears what is not known"
        yield Fault("not-settled", "", "refused", text, "look for slack, or rope laid too short to reach")
    for rope, text, fix in too_short(world, hung):
        yield Fault("not-settled", rope, "refused", text, fix)
    for load in moment.rig.loads.values():
        if moment.standing(load.name) is None and not hung.held[load.name]:
            yield _lost(world, moment, load)
    for load in people(moment):
        if load.name in chains and hung.held[load.name]:
            yield from _chains(world, moment, load, chains[load.name])
            yield from _slack(world, moment, load)
            for burden in chains_rated(world, hung, load.name, load.mass.likely):
                yield Fault(burden.kind, burden.part, "refused", burden.text, burden.fix)
    yield from _untended(world, moment, hung)
    for rope, text, fix in ropes_long_enough(hung):
        yield Fault("rope-short", rope, "refused", text, fix)
    for burden in burdens(world, hung):
        yield Fault(burden.kind, burden.part, "refused", burden.text, burden.fix)
    if any(h.hands_off < len(h.independent) for h in chains.values()):
        yield from _hands_give_way(world, moment, hung)


def _lost(world: World, moment: Moment, load: Load) -> Fault:
    open_ = open_without_hand(moment, world.catalogue)
    height = float(moment.state.at[load.name][2])
    ground = ground_below(moment.rig, height, moment.state.at[load.name])
    drop = None if ground is None else height - ground
    far = "" if drop is None else f" {show_length(drop)} to the ground"
    if open_:
        text = f"{load.name} runs down{far}: {open_[0]} is held open and no hand keeps its rope"
        return Fault(
            "runs", load.name, "refused", text, "put a hand on the rope before the device is opened", 0, drop
        )
    after = let_go(moment.rig, world.catalogue, moment.state, figures=world.figures)
    outcome = next(o for o in after.outcomes if o.load == load.name)
    kind = "runs" if outcome.verdict == "runs" else "falls"
    verb = "runs down" if kind == "runs" else "falls"
    text = f"{load.name} {verb}{far}: {outcome.reason or 'nothing holds it any more'}"
    return Fault(kind, load.name, "refused", text, "", 0, drop)


def _chains(world: World, moment: Moment, load: Load, holding: Holding) -> Iterator[Fault]:
    asked = int(world.policy.number("chains") or 0)
    off = int(world.policy.number("hands-off-chains") or 0)
    count, alone = len(holding.independent), holding.hands_off
    if count < asked:
        by = "; ".join(" and ".join(chain.ropes) for chain in holding.independent)
        number = f"{count or 'no'} chain{'' if count == 1 else 's'}"
        text = f"{load.name} is held by {number}{f' ({by})' if by else ''}"
        text += f", {asked} are asked for{_why_uncounted(world, moment, holding)}"
        yield Fault("too-few-chains", load.name, "refused", text, _more(world, moment, load, holding), count)
    if alone < off:
        text = f"{load.name} is held by {alone or 'nothing'} with every hand off, {off} asked for"
        fix = "lock a device off, or have a line on that holds by itself, before a hand is needed elsewhere"
        yield Fault("too-few-hands-off", load.name, "refused", text, fix, alone)


def _why_uncounted(world: World, moment: Moment, holding: Holding) -> str:
    """What is there but counts for nothing."""
    loops = [
        rope.name
        for rope in moment.rig.ropes.values()
        if not world.catalogue[rope.type].holding.life_support
        and any(c.target == holding.load for c in rope.run)
    ]
    said = [f"{name} is a foot loop, no life support" for name in loops]
    said += [
        f"{rope} hangs on the harness of {other}, which counts for nobody else"
        for rope, other in through_harness(moment.rig, holding.load)
    ]
    said += [
        f"the gate of {name} is not locked" for name in sorted(moment.unlocked) if name in moment.rig.gear
    ]
    said += [
        f"{c.target} is on {rope.name} the wrong way round"
        for rope in moment.rig.ropes.values()
        for c in rope.run
        if c.reversed
    ]
    said += world.tried(moment)[holding.load].why_not
    if holding.shared and len(holding.chains) > len(holding.independent):
        said.append(f"its ways down share {', '.join(holding.shared[:3])}")
    return f" ({'; '.join(said)})" if said else ""


def _more(world: World, moment: Moment, load: Load, holding: Holding) -> str:
    """What could be put on first."""
    for name in sorted(moment.unlocked):
        if name in moment.rig.gear:
            return f"lock the gate of {name} first"
    for rope in moment.rig.ropes.values():
        for contact in rope.run:
            if contact.reversed:
                return f"turn {contact.target} round on {rope.name} first"
    for link, other in through_harness(moment.rig, load.name):
        return f"put {link} on the device of {other} instead, and back it up, first"
    for item in moment.rig.gear.values():
        if item.at is None and moment.ropes_of(item.name):
            return f"clip {item.name} on again first"
    if holding.shared and len(holding.chains) > len(holding.independent):
        return "give each chain an anchor, gear and a rope of its own"
    spare = [
        item.name
        for item in (*world.procedure.kit.values(), *moment.rig.gear.values())
        if world.catalogue[item.type].family in ("device", "grab")
        and world.catalogue[item.type].holding.life_support
        and not moment.ropes_of(item.name)
    ]
    if spare:
        return f"put {spare[0]} on and load it first"
    return "put the replacement on and load it before this comes off"


def _slack(world: World, moment: Moment, load: Load) -> Iterator[Fault]:
    """Lines counted on to catch that would let somebody drop further than the policy allows."""
    most = world.policy.number("most-drop")
    for rope, slack in slack_lines(world, moment, load.name).items() if most else ():
        if most and slack > most + 1e-3:
            text = (
                f"{rope} has {show_length(slack)} of slack: {load.name} would drop that far before it catches"
            )
            text += f", {show_length(most)} is the most"
            yield Fault("slack", load.name, "refused", text, f"take {rope} in as the load moves", None, slack)


def _untended(world: World, moment: Moment, hung: Hanging) -> Iterator[Fault]:
    if not world.policy.asks("tend-loaded-devices"):
        return
    for item in moment.rig.gear.values():
        kind = world.catalogue[item.type]
        if kind.family != "device" or not kind.holding.locks_off or item.state == "locked-off":
            continue
        ropes = moment.ropes_of(item.name)
        if (
            not ropes
            or any(moment.hand_of(rope) for rope in ropes)
            or hung.bears.get(item.name, 0.0) <= BEARS
        ):
            continue
        force = show_force(hung.bears[item.name])
        text = f"{item.name} bears {force} and is neither locked off nor in anybody's hand"
        yield Fault(
            "untended", item.name, "refused", text, f"lock off {item.name} first, or keep a hand on its rope"
        )


def _hands_give_way(world: World, moment: Moment, hung: Hanging) -> Iterator[Fault]:
    """Hands that are asked for more than they are counted on to hold."""
    from ropewright.judgement.hands import hand_grips

    if not hung.settled or not all(hung.held.values()) or moment.stands:
        return
    grip = hand_grips(moment.rig, world.policy)
    plain = without_knots(moment)
    after = let_go(plain.rig, world.catalogue, plain.state, figures=world.figures, grip=grip)
    if not after.hands_gave_way:
        return
    for outcome in after.outcomes:
        if outcome.verdict != "held" or (outcome.drop or 0.0) > UNPLANNED:
            far = "" if outcome.drop is None else f" {show_length(outcome.drop)}"
            text = f"the hand that holds {outcome.load} is asked for more than it can hold: it runs{far}"
            fix = "more friction, another hand on the rope, or a device that holds by itself"
            yield Fault("runs", outcome.load, "refused", text, fix, None, outcome.drop)


# --- a step


def judged(
    world: World, step: Step, before: Moment, change: Change, after: Moment, since: dict[tuple[str, str], int]
) -> list[Fault]:
    """What is wrong with a step: what it makes wrong, and what still is, no less grave than when it began.

    ``since`` keeps the step at which each thing went wrong; it is brought up to date by the caller.
    """
    was, now = amiss(world, before), amiss(world, after)
    out = [Fault(h.kind, step.gear or step.rope, "refused", h.text, h.fix) for h in change.hindrances]
    out += [Fault("check-finds", step.verb, "refused", text, _right(text)) for text in change.catches]
    out += [Fault("check-finds", step.verb, "caution", text, _right(text)) for text in change.notices]
    for moment in change.during:
        for key, fault in amiss(world, moment).items():
            if _worse(was.get(key), fault) and key not in now:
                out.append(
                    Fault(
                        fault.kind,
                        fault.about,
                        fault.level,
                        f"on the way, {fault.text}",
                        fault.fix,
                        fault.count,
                    )
                )
    for key, fault in now.items():
        if _worse(was.get(key), fault):
            out.append(_left_on(world, step, before, fault))
        else:
            out.append(still(fault, since.get(key, 0), was.get(key)))
    out += [f for f in _hand_left(world, step, before) if (f.kind, f.about) not in now]
    out += _dropped(world, before, change, after)
    out += _tested(world, before, change, after)
    out += _pull(world, step, before, change)
    out += _went_where(world, step, before, after)
    return out


def still(fault: Fault, since: int, was: Fault | None = None) -> Fault:
    """Something wrong that was so before a step and is after it: the state stays as grave as it is.

    ``since``: the step at which it went wrong, 0 the start; ``was``: how wrong it was before this step.
    """
    better = was is not None and (fault.count or 0) > (was.count or 0)
    said = "better, and still not right since" if better else "still so since"
    text = f"{said} {f'step {since}' if since else 'the start'}: {fault.text}"
    return replace(fault, kind="still", text=text)


def _right(text: str) -> str:
    """What puts right what a check found, from its words."""
    name = text.split(" ")[0]
    if "wrong way round" in text:
        return f"turn {name} round"
    if "gate of" in text:
        return f"lock the gate of {text.split('gate of ')[1].split(' ')[0]}"
    if "neither locked off" in text:
        return f"lock off {name}, or keep a hand on its rope"
    if "on no rope" in text or "is not on the rig" in text or "is not rigged" in text:
        return f"put {name} on before going on"
    return "put it right before going on"


def _left_on(world: World, step: Step, before: Moment, fault: Fault) -> Fault:
    """A chain that goes with a back-up is not made up for on the other rope: the back-up stays on."""
    if (
        fault.kind != "too-few-chains"
        or step.verb not in ("unclip", "take-off")
        or step.gear not in before.rig.gear
    ):
        return fault
    if not world.type_of(before, step.gear).holding.follows:
        return fault
    return replace(fault, fix=f"leave {step.gear} on: it is the other chain")


def _hand_left(world: World, step: Step, before: Moment) -> Iterator[Fault]:
    """A hand that leaves a device while it bears weight and is not locked off, whatever holds instead."""
    if (
        step.verb != "hand-off"
        or step.rope not in before.rig.ropes
        or not world.policy.asks("tend-loaded-devices")
    ):
        return
    bears = world.hang(before).bears
    for gear in {c.target or "" for c in before.rig.ropes[step.rope].run if c.verb == "through"}:
        item = before.rig.gear.get(gear)
        if item is None or not world.catalogue[item.type].holding.needs_hand or item.state == "locked-off":
            continue
        if bears.get(gear, 0.0) > BEARS:
            text = f"the hand leaves {gear}, which bears {show_force(bears[gear])} and is not locked off"
            yield Fault(
                "untended", gear, "refused", text, f"lock off {gear} first, or take the weight off it"
            )


def _worse(was: Fault | None, now: Fault) -> bool:
    if was is None:
        return True
    return was.count is not None and now.count is not None and now.count < was.count


def _dropped(world: World, before: Moment, change: Change, after: Moment) -> Iterator[Fault]:
    """Loads that come down further than the step means them to."""
    hung = world.hang(after)
    for load in people(after):
        if not hung.held[load.name] or before.standing(load.name):
            continue
        drop = float(before.state.at[load.name][2] - hung.moment.state.at[load.name][2])
        beyond = drop - change.goes_down
        if beyond > UNPLANNED:
            caught = hung.weight_on()
            on = f" onto {caught[0]}" if caught else ""
            text = f"{load.name} drops {show_length(beyond)}{on}"
            yield Fault(
                "drops",
                load.name,
                "refused",
                text,
                "take the slack out first, or load it slowly",
                None,
                beyond,
            )


def _tested(world: World, before: Moment, change: Change, after: Moment) -> Iterator[Fault]:
    """Something comes off a rope only when what then holds there was loaded, and on a person tested."""
    if not world.policy.asks("test-before-last"):
        return
    bears = world.hang(before).bears
    for gear in change.removed:
        fast = _fast(before, gear)
        for rope in before.ropes_of(gear):
            left = _left(world, after, rope, gear, fast) if rope in after.rig.ropes else []
            bearing = [name for name in left if bears.get(name, 0.0) > BEARS]
            if not left or (not bearing and any(name in before.tested for name in left)):
                continue
            untested = [name for name in bearing if name not in before.tested]
            if bearing and (fast or not untested):
                continue
            loaded = bool(bearing) or any(name in before.loaded for name in left)
            if loaded and fast:
                continue
            name = (untested or left)[0]
            what = "was not tested since" if loaded else "has borne no weight yet"
            text = f"{gear} comes off {rope}, and {name} {what}"
            level: Level = "caution" if loaded else "refused"
            yield Fault("not-tested", gear, level, text, f"load {name} and inch-test it first")


def _left(world: World, after: Moment, rope: str, gear: str, fast: bool) -> list[str]:
    """The devices and grabs left on a rope on the same side: at fixed places, or with people and loads."""
    names = dict.fromkeys(c.target or "" for c in after.rig.ropes[rope].run)
    return [
        name
        for name in names
        if name in after.rig.gear
        and name != gear
        and world.type_of(after, name).family in ("device", "grab")
        and _fast(after, name) == fast
    ]


def _pull(world: World, step: Step, before: Moment, change: Change) -> Iterator[Fault]:
    """Hands that are asked to pull more than they are counted on for."""
    if not change.hauled:
        return
    asked = f"pull {step.load} {' '.join(change.hauled)}"
    pull = world.remembered(asked, before, lambda: _pull_needed(world, before, step.load, change.hauled))
    if pull is None:
        text = f"the model can't tell what pull raises {step.load or 'it'} so"
        yield Fault("hands", step.load, "refused", text, "try the haul as a rig of its own with `check`")
        return
    force, who = pull
    crew = before.rig.crews.get(who)
    each = crew.pull.likely if crew and crew.pull else world.policy.number("hauler-pull") or 0.0
    there = crew.people if crew else 1
    how = "as stated" if crew and crew.pull else "sustained"
    load = before.rig.loads.get(who)
    if load is not None and force > SELF * GRAVITY * load.mass.likely:
        share = f"{force / (GRAVITY * load.mass.likely):.0%} of their weight"
        text = f"{who} would have to pull {show_force(force)}, {share}"
        yield Fault("hands", step.load, "refused", text, "more mechanical advantage, or somebody to haul")
    needed = max(1, ceil(force / each - 1e-9)) if each else there + 1
    if needed > there and crew is not None:
        text = f"{who} would have to pull {show_force(force)}: {needed} people {how}, {there} are there"
        yield Fault(
            "hands", step.load, "refused", text, "more people on the rope, or more mechanical advantage"
        )


def _pull_needed(world: World, moment: Moment, load: str, ropes: tuple[str, ...]) -> tuple[float, str] | None:
    """The pull of one hand [N] that raises a load by ``ropes``, with likely friction, and whose hand.

    The other ropes are minded meanwhile. None where no hand raises it, or the model finds no motion.
    """
    loads = [load] if load else list(moment.rig.loads)
    for name in loads:
        loose = minded(moment, world, +1, ropes)
        whole = assembled(loose, world.catalogue, world.figures, braked=False, load=name)
        try:
            motion = move(whole.system, +1)
        except MechanicsError:
            continue
        hands = [moment.hand_of(rope) for rope in ropes]
        who = next((person for person in hands if person), "")
        return float(motion.real.hand[0]), who
    return None


def _fast(moment: Moment, gear: str) -> bool:
    """Whether gear hangs, through what it is clipped to, at a fixed place."""
    return hangs_on(moment.rig, gear) in moment.rig.points


def _went_where(world: World, step: Step, before: Moment, after: Moment) -> Iterator[Fault]:
    """After sitting down the weight should be off the foot loop."""
    loop = before.loop_of(step.doer) if step.verb == "sit" else None
    if loop is None:
        return
    hung = world.hang(after)
    force = max(hung.tension.get((loop.rope, 0), 0.0), 0.0)
    if force <= BEARS:
        return
    run = after.rig.ropes[loop.rope].run
    grab = next((c.target for c in run if c.target != step.doer), loop.rope) or loop.rope
    slack = {
        d: s
        for d, s in gaps(hung.moment, step.doer).items()
        if s > _TIGHT and hung.bears.get(d, 0.0) <= BEARS
    }
    device = max(slack, key=lambda d: slack[d], default="")
    had = dict(loop.gaps).get(device, 0.0)
    why = (
        f": {device} had {show_length(had)} of slack, {show_length(slack[device])} is left" if device else ""
    )
    text = (
        f"sitting leaves {show_force(force)} on {grab} through {loop.rope}{why}; the clamp can't be unloaded"
    )
    fix = (
        f"stand up again and take in slack at {device} until about 50 mm is left"
        if device
        else "stand up again"
    )
    yield Fault("not-loaded", grab, "caution", text, fix)
