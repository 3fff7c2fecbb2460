"""A moment as a rig that can be drawn, and what changed from one moment to the next."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ropewright.rig import Contact, Rig

from .model import Step
from .moment import Moment, rope_between, straight

__all__ = ["SHOWN", "Changed", "changed", "rig_of", "slack_at"]

SHOWN = 0.03
"""Length [m] from which slack is drawn, and from which somebody counts as moved."""


def rig_of(moment: Moment) -> Rig:
    """The rig as it stands at a moment: everything where it is, with the slack that each span then has.

    What rides on its rope, and what hangs, is put at its place in the world [m]; what is clipped to
    something stays clipped to it. Slack [m] is laid before the contact at which it hangs.
    """
    rig, at = moment.rig, moment.state.at

    def place(name: str) -> tuple[float, float, float]:
        x, y, z = (float(v) for v in at[name])
        return (x, y, z)

    loads = {name: replace(load, at=place(name)) for name, load in rig.loads.items()}
    gear = {
        name: item if isinstance(item.at, str) or name not in at else replace(item, at=place(name))
        for name, item in rig.gear.items()
    }
    ropes = {
        name: replace(rope, run=tuple(_with_slack(moment, name, k, c) for k, c in enumerate(rope.run)))
        for name, rope in rig.ropes.items()
    }
    return replace(rig, loads=loads, gear=gear, ropes=ropes)


def slack_at(moment: Moment, rope: str, k: int) -> float:
    """Rope [m] laid before contact ``k`` of a run beyond the way there; 0 where it is taut or stretched."""
    run = moment.rig.ropes[rope].run
    if k == 0 or not run[k].target or not run[k - 1].target:
        return 0.0
    return max(0.0, rope_between(moment, rope, k - 1) - straight(moment, run, k - 1))


def _with_slack(moment: Moment, rope: str, k: int, contact: Contact) -> Contact:
    slack = slack_at(moment, rope, k)
    return replace(contact, slack=round(slack, 3) if slack >= SHOWN else 0.0)


@dataclass(frozen=True)
class Changed:
    """What is different after a step.

    ``gear``: pieces put on, taken off their rope, moved along it, locked, opened, gated; ``gone``: what is
    on the rig no more; ``hands``: ropes on which a hand was put or from which one was taken; ``ends``: ropes
    that were tied or untied, and where; ``loads``: by how much [m] each load came up, negative down;
    ``stood``: who stood or hung, in a foot loop or out of it, and does so no more.
    """

    gear: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    hands: tuple[str, ...] = ()
    ends: tuple[tuple[str, str], ...] = ()
    loads: tuple[tuple[str, float], ...] = ()
    stood: tuple[str, ...] = ()

    @property
    def anything(self) -> bool:
        """Whether there is a difference to be seen."""
        return bool(self.gear or self.gone or self.hands or self.ends or self.loads or self.stood)


def changed(before: Moment, after: Moment, step: Step | None = None) -> Changed:
    """What a step changed; ``step`` tells which of several lengths of rope it meant to change."""
    loads = tuple(
        (name, rise)
        for name in after.rig.loads
        if abs(rise := float(after.state.at[name][2] - before.state.at[name][2])) >= SHOWN
    )
    gear = {name for name in after.rig.gear if _gear_differs(before, after, name)}
    hands, ends = set[str](), set[tuple[str, str]]()
    for name in {**before.rig.ropes, **after.rig.ropes}:
        was, now = _contacts(before, name), _contacts(after, name)
        for verb, target, *_ in was ^ now:
            if verb == "hand":
                hands.add(name)
            elif target in after.rig.gear and verb != "tie":
                gear.add(target)
            elif verb == "tie" and target in after.state.at and name in after.rig.ropes:
                ends.add((name, target))
    if not loads:
        gear |= _slackened(before, after)
    own = (step.gear or step.part) if step is not None and not (step.is_check or step.is_call) else ""
    if own in after.rig.gear and (after.connection, after.place) != (before.connection, before.place):
        gear.add(own)
    gone = [name for name in before.rig.gear if name not in after.rig.gear]
    gone += [name for name in before.rig.ropes if name not in after.rig.ropes]
    stood = {name for name, _ in set(before.stands) ^ set(after.stands)}
    stood |= {loop.load for loop in set(before.loops) ^ set(after.loops)}
    return Changed(
        tuple(name for name in after.rig.gear if name in gear),
        tuple(gone),
        tuple(sorted(hands)),
        tuple(sorted(ends)),
        loads,
        tuple(sorted(stood)),
    )


def _gear_differs(before: Moment, after: Moment, name: str) -> bool:
    was, now = before.rig.gear.get(name), after.rig.gear[name]
    if was is None or (name in before.unlocked) != (name in after.unlocked):
        return True
    if {who for gear, who in before.holds if gear == name} != {w for g, w in after.holds if g == name}:
        return True
    where = (was.at if isinstance(was.at, str) else "", was.via, was.state)
    return where != (now.at if isinstance(now.at, str) else "", now.via, now.state)


def _contacts(moment: Moment, rope: str) -> set[tuple[str, str, int, bool, str]]:
    """What a rope meets, without the order: taking one thing out does not change the others."""
    found = moment.rig.ropes.get(rope)
    return {
        (c.verb, c.target or "", c.sheave, c.reversed, c.knot or "")
        for c in (found.run if found else ())
        if c.verb != "tail"
    }


def _slackened(before: Moment, after: Moment) -> set[str]:
    """Gear before which a rope has got slack or lost it, on ropes that meet the same things as before."""
    out = set[str]()
    for name, rope in after.rig.ropes.items():
        if name not in before.rig.ropes or before.rig.ropes[name].run != rope.run:
            continue
        for k, contact in enumerate(rope.run):
            if contact.target in after.rig.gear and contact.verb != "tie":
                more = slack_at(after, name, k) - slack_at(before, name, k)
                if abs(more) >= SHOWN:
                    out.add(str(contact.target))
    return out
