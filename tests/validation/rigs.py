"""The rigs of the published cases, built for the engine, and what is read from them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from ropewright.mechanics.model import GRAVITY, Array, Contact, Drag, System, chord, drawn_lengths
from ropewright.mechanics.motion import move
from ropewright.mechanics.settle import Rest, settle
from tests.mechanics.builders import STIFF, Rig, nine_to_one, self_haul, three_to_one

POUND = 0.45359237
"""Kilograms in a pound; one pound-force is its weight."""

FOOT = 0.3048
"""Metres in a foot."""

UNYIELDING = 1e9
"""Stiffness [N] of ropes whose geometry a case gives as drawn: kilonewtons stretch them by a millionth."""


def two_to_one(e: float = 1.0, mass: float = 100.0) -> System:
    """A rope tied above, through a pulley on the load, pulled straight up."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=mass)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(r.tie(anchor), r.through(load), r.hand(crew))
    return r.build("load")


def five_to_one(e: float = 1.0, mass: float = 100.0) -> System:
    """A simple 5:1: two sheaves at the grab, two at the anchor, pulled straight up."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=mass)
    grab = r.point("grab", 0, 5)
    crew = r.point("crew", 0, 11, fixed=True)
    run = (r.tie(load), r.grab(grab), r.device(anchor), r.through(grab), r.through(anchor), r.through(grab))
    r.rope(*run, r.hand(crew))
    return r.build("load")


def four_to_one(e: float = 1.0, mass: float = 100.0) -> System:
    """A 2:1 that pulls on a 2:1."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=mass)
    upper = r.point("upper", 0, 5)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(r.tie(anchor), r.through(load), r.tie(upper))
    r.rope(r.tie(anchor), r.through(upper), r.hand(crew))
    return r.build("load")


def six_to_one(e: float = 1.0, mass: float = 100.0) -> System:
    """A 2:1 that pulls on a 3:1."""
    r = Rig(efficiency=e)
    anchor = r.point("anchor", 0, 10, fixed=True)
    load = r.point("load", 0, 0, mass=mass)
    grab = r.point("grab", 0, 3)
    upper = r.point("upper", 0, 6)
    crew = r.point("crew", 0, 11, fixed=True)
    r.rope(r.tie(load), r.grab(grab), r.device(anchor), r.through(grab), r.tie(upper))
    r.rope(r.tie(anchor), r.through(upper), r.hand(crew))
    return r.build("load")


def self_haul_five(e: float = 1.0, mass: float = 95.0, *, ground: bool = False) -> System:
    """Two sheaves above at a grab, a device and one sheave below; pulled by the climber or from the
    ground."""
    r = Rig(efficiency=e)
    beam = r.point("beam", 0, 9, fixed=True)
    climber = r.point("climber", 0, 1, mass=mass)
    handled = r.point("handled", 0, 3)
    puller = r.point("ground", 0, -2, fixed=True) if ground else climber
    run = (r.tie(beam), r.grab(handled), r.device(climber), r.through(handled), r.through(climber))
    r.rope(*run, r.through(handled), r.hand(puller))
    return r.build("climber")


def over_pulley(e_up: float, e_down: float, mass: float) -> System:
    """A load on a rope that turns back over one sheave above, whose loss may differ by the way it turns."""
    r = Rig()
    anchor = r.point("anchor", 0, 5, fixed=True)
    load = r.point("load", 0, 0, mass=mass)
    crew = r.point("crew", 0, -1, fixed=True)
    up, down = (Drag(0.0, -math.log(e) / math.pi) for e in (e_up, e_down))
    r.rope(r.tie(load), Contact(anchor, "none", up, down), r.hand(crew))
    return r.build("load")


def redirected(build: Callable[..., System], mass: float) -> System:
    """The haul with its rope turned down at the anchor, without loss, to a crew below."""
    system = build(1.0, mass)
    anchor = system.names.index("anchor")
    position = system.position.copy()
    position[system.names.index("crew"), 2] = -1.0
    rope = system.ropes[-1]
    contacts = (*rope.contacts[:-1], Contact(anchor), rope.contacts[-1])
    laid = drawn_lengths(position, contacts, (0.0,) * len(contacts))
    led = replace(rope, contacts=contacts, laid=laid)
    return replace(system, position=position, ropes=(*system.ropes[:-1], led))


def round_bar(mu: float, wrap: float, mass: float, bends: int = 0) -> System:
    """A load on a rope led round a bar through ``wrap`` [rad], drawn as equal bends a metre apart.

    The capstan law multiplies over bends, so their number must not matter.
    """
    count = bends or max(1, math.ceil(wrap / 1.0))
    r = Rig()
    load = r.point("load", 0, 0, mass=mass)
    x, z, heading = 0.0, 5.0, 0.5 * math.pi
    run = [r.tie(load)]
    for k in range(count + 1):
        last = k == count
        node = r.point("hand" if last else f"bend {k + 1}", x, z, y=0.0, fixed=True)
        run.append(r.hand(node) if last else r.edge(node, mu))
        heading -= wrap / count
        x, z = x + math.cos(heading), z + math.sin(heading)
    r.rope(*run)
    return r.build("load")


def hung_between(angles: tuple[float, ...], mass: float, leg: float = 5.0) -> System:
    """A load tied to an anchor on each side by ropes at ``angles`` [rad] from the vertical, left negative."""
    r = Rig()
    load = r.point("load", 0, 0, mass=mass)
    for k, angle in enumerate(angles):
        anchor = r.point(f"anchor {k + 1}", leg * math.sin(angle), leg * math.cos(angle), fixed=True)
        r.rope(r.tie(load), r.tie(anchor), stiffness=UNYIELDING)
    return r.build("load")


def tuned(system: System, slack: Callable[[Rest], bool]) -> Rest:
    """The rig at rest, its ropes shortened together by just so much that it is no longer ``slack``.

    So the ropes are of usual stiffness and the loaded shape is still the one that the case states.
    """
    ropes = tuple(replace(rope, stiffness=STIFF) for rope in system.ropes)
    long, short = 1.0, 0.1
    for _ in range(36):
        share = 0.5 * (long + short)
        cut = tuple(replace(rope, laid=tuple(share * part for part in rope.laid)) for rope in ropes)
        rest = settle(replace(system, ropes=cut))
        assert rest.settled, f"left {rest.residual} N"
        long, short = (share, short) if slack(rest) else (long, share)
    return rest


def as_drawn(system: System) -> Rest:
    """The rig at rest with its ropes shortened until the loaded point hangs at its drawn height."""
    height = float(system.position[system.load, 2])
    return tuned(system, lambda rest: float(rest.position[system.load, 2]) < height)


def two_legs(angle: float, mass: float) -> float:
    """Mean tension [N] of two equal legs of usual rope, ``angle`` [rad] apart once the load hangs on them."""
    return float(as_drawn(hung_between((-0.5 * angle, 0.5 * angle), mass)).tension.mean())


def turned(angle: float, mass: float) -> System:
    """A load on a rope that turns over a sheave to a tie, the two strands ``angle`` [rad] apart."""
    r = Rig()
    load = r.point("load", 0, 0, mass=mass)
    turn = r.point("turn", 0, 5, fixed=True)
    tie = r.point("tie", 3 * math.sin(angle), 5 - 3 * math.cos(angle), fixed=True)
    r.rope(r.tie(load), r.through(turn), r.tie(tie), stiffness=UNYIELDING)
    return r.build("load")


def highline(span: float, sag: float, mass: float, at: float = 0.5) -> System:
    """A load tied into a rope between level anchors, ``sag`` below them at the share ``at`` of the span
    [m]."""
    r = Rig()
    left = r.point("left", 0, 0, fixed=True)
    right = r.point("right", span, 0, fixed=True)
    load = r.point("load", at * span, -sag, mass=mass)
    r.rope(r.tie(left), r.tie(load), r.tie(right), stiffness=UNYIELDING)
    return r.build("load")


def advantage(system: System) -> float:
    """Weight of the load over the hand's pull while it is raised."""
    motion = move(system, +1)
    return float(system.mass[system.load] * GRAVITY / motion.real.hand[0])


def hand_pull(system: System, direction: int) -> float:
    """The hand's pull [N] while the load rises (+1) or sinks (−1)."""
    return float(move(system, direction).real.hand[0])


def rope_pulled(system: System, lift: float) -> float:
    """Rope [m] that the hand takes in while the load rises by ``lift`` [m]."""
    return move(system, +1).hand_travel * lift


def pull_on(system: System, name: str, position: Array, tension: Array) -> Array:
    """Force (3,) [N] that all strands together exert on a point."""
    node, s = system.names.index(name), system.strands
    unit, _ = chord(position, s)
    pull = tension[:, None] * unit
    return np.asarray(pull[s.start == node].sum(axis=0) - pull[s.end == node].sum(axis=0))


def moving_pull_on(system: System, name: str, direction: int) -> float:
    """Size of the force [N] on a point while the load rises or sinks."""
    motion = move(system, direction)
    real = motion.real
    return float(np.linalg.norm(pull_on(motion.system, name, real.position[:, :, 0].T, real.tension[:, 0])))


def resting_pull_on(system: System, name: str, *, hands: bool = True) -> float:
    """Size of the force [N] on a point when the rig has come to rest."""
    rest = settle(system, hands=hands)
    assert rest.settled, f"left {rest.residual} N"
    return float(np.linalg.norm(pull_on(system, name, rest.position, rest.tension)))


def resting_tensions(system: System) -> Array:
    """Tension [N] of every strand of a rig that has come to rest."""
    rest = settle(system)
    assert rest.settled, f"left {rest.residual} N"
    return rest.tension


REEVINGS: dict[str, Callable[[float], System]] = {
    "2:1": two_to_one,
    "3:1": three_to_one,
    "5:1 simple": five_to_one,
    "4:1 (2:1 on 2:1)": four_to_one,
    "6:1 (2:1 on 3:1)": six_to_one,
    "9:1 (3:1 on 3:1)": nine_to_one,
    "self-haul, one sheave above": self_haul,
    "self-haul, two above and one below": self_haul_five,
}
