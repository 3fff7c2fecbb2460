"""The signs of the drawing, one small function each, on a sketch in page units."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from .geometry import unit
from .ink import GREY, INK, PAPER, TINT, Sketch

__all__ = [
    "HANGS",
    "SOLES",
    "anchor",
    "bite",
    "bundle",
    "clamp",
    "crew",
    "device",
    "downward",
    "edge",
    "ground",
    "hand",
    "hitch",
    "joins",
    "knot",
    "litter",
    "loop_round",
    "person",
    "plate",
    "pulley",
    "stander",
    "test_weight",
]

HEAD = 7.5
HANGS = 15.0
"""Radius of what hangs, seen from above."""
SOLES: Mapping[str, float] = {"person": 46.0, "litter": 40.0, "object": 36.0, "pack": 36.0}
"""How far below the point that ropes are tied to a load stands on the ground, by kind."""


def anchor(ink: Sketch, at: complex, way: complex) -> None:
    """A fixed point: a plate on something solid, hatched, and a ring on the side that is pulled."""
    n = way * 1j
    back = at - way * 7
    ink.shape(
        [back - n * 15, back + n * 15, back + n * 15 - way * 8, back - n * 15 - way * 8], TINT, 0, "ground"
    )
    for k in range(-2, 4):
        foot = back + n * (k * 5 - 2)
        ink.line(foot, foot - way * 7 - n * 5, 0.9, "ground", GREY)
    ink.line(back - n * 15, back + n * 15, 2.2, "gear")
    ink.line(back, at - way * 3, 2.2, "gear")
    ink.circle(at, 3.4, PAPER, 1.6, "gear")


def ground(ink: Sketch, at: complex, half: float = 38.0) -> None:
    """Ground or a place to stand."""
    ink.line(at - half, at + half, 1.6, "ground")
    for k in range(int(-half), int(half), 9):
        ink.line(at + complex(k + 7, 1), at + complex(k, 8), 0.9, "ground", GREY)


def edge(
    ink: Sketch, at: complex, coming: complex, going: complex, sense: int, radius: float, protection: str
) -> None:
    """Something solid with the rope over it: its two faces run a little inside the strands."""
    turn = 0.14 * sense
    inward = unit(going - coming, 1j)
    left, right = coming * -1j * sense, going * -1j * sense
    corner = at + unit(left + right, left) * (radius - 3.0)
    a = corner - coming * complex(math.cos(turn), -math.sin(turn)) * 52
    b = corner + going * complex(math.cos(turn), math.sin(turn)) * 52
    ink.shape([a, corner, b], PAPER, 1.6, "ground", closed=False)
    for far in (a, b):
        for k in range(1, 7):
            foot = corner + (far - corner) * (k + 0.3) / 7
            ink.line(foot, foot + unit(inward + unit(corner - far) * -0.4) * 8, 0.9, "ground", GREY)
    if protection == "roller":
        ink.circle(at, radius - 1.4, PAPER, 1.6, "gear")
        ink.circle(at, 1.8, INK, 0, "gear")
    elif protection:
        under = radius - 2.4
        ink.shape(
            [
                at - coming * 20 + left * under,
                at + left * under,
                at + right * under,
                at + going * 20 + right * under,
            ],
            PAPER,
            3.6,
            "gear",
            closed=False,
            colour=GREY,
        )


def pulley(ink: Sketch, centres: Sequence[complex], hung: complex, radius: float, way: complex) -> None:
    """Sheaves with a cheek plate each, or one block for several, hung from one point."""
    for centre in centres:
        out = unit(centre - hung, way)
        n = out * 1j
        ink.circle(centre, radius - 1.4, TINT, 1.4, "gear")
        if len(centres) > 1:
            continue
        ink.shape(
            [hung - n * 2.6, hung + n * 2.6, centre + n * 4.2, centre + out * 4.6, centre - n * 4.2],
            PAPER,
            1.3,
            "front",
        )
        ink.circle(centre, 1.7, INK, 0, "front")
    if len(centres) > 1:
        middle = (centres[0] + centres[-1]) / 2
        ink.oval(middle, hung, 3.0, 1.3, "front")
        ink.oval(centres[0], centres[-1], 3.4, 1.3, "front")
        for centre in centres:
            ink.circle(centre, 1.7, INK, 0, "front")


def device(
    ink: Sketch,
    centres: Sequence[complex],
    hung: complex,
    radius: float,
    way: complex,
    form: str,
    straight: Sequence[bool],
) -> None:
    """A device that controls a running rope. form: 'jaw', 'bars' or 'eight'; straight: rope runs on."""
    for centre, through in zip(centres, straight, strict=True):
        out = unit(centre - hung, way)
        n = out * 1j
        if form == "bars":
            far, wide = out * (radius + 7), n * (radius - 2)
            ink.shape(
                [centre - far + wide, centre + far + wide, centre + far - wide, centre - far - wide],
                TINT,
                1.8,
                "gear",
            )
            for k in (-1.5, -0.5, 0.5, 1.5):
                bar = centre + out * k * 6.6
                ink.line(bar - n * (radius + 1), bar + n * (radius + 1), 2.4, "front")
        elif form == "eight":
            ink.circle(centre, radius - 1.4, PAPER, 2.6, "gear")
            ink.circle(centre - out * (radius + 4), 4.6, PAPER, 2.2, "gear")
            ink.line(centre - n * radius * 0.75, centre - n * (radius + 5) - out * 3, 2.2, "gear")
            ink.line(centre + n * radius * 0.75, centre + n * (radius + 5) - out * 3, 2.2, "gear")
        else:
            wide = radius + 5.5
            corner = [complex(-1.25, 0.35), complex(-0.7, 1), complex(0.6, 1), complex(1.05, 0.45)]
            outline = [centre + (c.real * out + c.imag * n) * wide for c in corner]
            outline += [centre + (c.real * out - c.imag * n) * wide for c in reversed(corner)]
            ink.shape(outline, TINT, 1.6, "gear")
            if through:  # a jaw on either side of the rope
                ink.circle(centre + n * 8.5, 5.4, PAPER, 1.4, "gear")
                ink.circle(centre + n * 8.5, 1.8, INK, 0, "gear")
                ink.shape(
                    [centre - n * 4 - out * 6, centre - n * 4 + out * 6, centre - n * 10], INK, 0, "gear"
                )
            else:
                ink.circle(centre, radius - 1.4, PAPER, 1.4, "gear")
                ink.circle(centre, 3.4, INK, 0, "front")


def clamp(ink: Sketch, at: complex, along: complex, handled: bool = False, wheel: bool = False) -> None:
    """A mechanical grab round a rope that runs `along`."""
    n = along * 1j
    if wheel:
        ink.circle(at, 11.5, TINT, 1.6, "gear")
        return
    ink.shape(
        [at - along * 12 - n * 9, at + along * 12 - n * 9, at + along * 12 + n * 6, at - along * 12 + n * 6],
        TINT,
        1.6,
        "gear",
    )
    if handled:
        ink.shape(
            [
                at - along * 12 - n * 9,
                at - along * 18 - n * 20,
                at + along * 14 - n * 20,
                at + along * 10 - n * 9,
            ],
            PAPER,
            2.2,
            "gear",
            closed=False,
        )


def hitch(ink: Sketch, at: complex, along: complex, coils: int) -> None:
    """A friction hitch: turns of cord round the rope."""
    n = along * 1j
    for k in range(coils):
        where = at + along * ((k - (coils - 1) / 2) * 5)
        ink.line(where - n * 5.5 - along * 2, where + n * 5.5 + along * 2, 3.0, "front", PAPER)
        ink.line(where - n * 5.5 - along * 2, where + n * 5.5 + along * 2, 2.0, "front")


def bite(ink: Sketch, at: complex, way: complex, beside: complex) -> None:
    """The way in which a grab bites when its gear is pulled: a solid wedge beside the rope."""
    middle = at + beside * 4.6
    tip = middle + way * 9
    ink.shape([tip, middle - way * 7 + beside * 3.6, middle - way * 7 - beside * 3.2], INK, 0, "front")


def joins(ink: Sketch, a: complex, b: complex, kinds: Sequence[str]) -> None:
    """What joins gear to its place, from a to b."""
    run = b - a
    if abs(run) < 4:
        return
    way = unit(run)
    ink.line(a, b, 1.2, "gear")
    step = run / max(len(kinds), 1)
    for k, kind in enumerate(kinds):
        p, q = a + step * k, a + step * (k + 1)
        middle, reach = (p + q) / 2, min(abs(step) / 2 - 1, 9.0)
        if kind in ("lanyard", "sling"):
            ink.line(p, q, 3.4, "gear")
            ink.line(p, q, 1.2, "gear", PAPER)
        elif kind == "plate":
            ink.oval(middle - way * 2, middle + way * 2, 5, 1.4, "gear", TINT)
        elif kind == "swivel":
            ink.circle(middle, 4, PAPER, 1.4, "gear")
            ink.line(middle - way * 4, middle + way * 4, 1.4, "gear")
        else:
            ink.oval(middle - way * max(reach - 3.2, 1), middle + way * max(reach - 3.2, 1), 3.6, 1.5, "gear")


def knot(ink: Sketch, at: complex, to: complex, colour: str, style: str) -> None:
    """A knot at the end of a rope, its loop round what it is tied to."""
    way = unit(to - at)
    n = way * 1j
    end = to + way * 2.5
    ink.curve([at, at + way * 4 + n * 6, end + n * 6, end], 1.6, "rope", colour)
    ink.curve([at, at + way * 4 - n * 6, end - n * 6, end], 1.6, "rope", colour)
    if style == "butterfly":
        ink.circle(at - n * 3.6, 3.0, PAPER, 1.7, "front", colour)
        ink.circle(at + n * 3.6, 3.0, PAPER, 1.7, "front", colour)
    elif style == "bowline":
        ink.circle(at, 3.8, PAPER, 1.9, "front", colour)
    else:
        ink.circle(at - way * 2.6, 3.0, PAPER, 1.7, "front", colour)
        ink.circle(at + way * 2.6, 3.0, PAPER, 1.7, "front", colour)


def loop_round(ink: Sketch, at: complex, colour: str) -> None:
    """A rope wound round what holds it, without a knot in the loaded strand."""
    for r in (7.0, 9.6, 12.2):
        ink.circle(at, r, "none", 1.5, "front", colour)


def plate(ink: Sketch, at: complex, way: complex) -> None:
    """A rigging plate."""
    n = way * 1j
    ink.shape(
        [at - n * 13 + way * 4, at + n * 13 + way * 4, at + n * 9 - way * 8, at - n * 9 - way * 8],
        TINT,
        1.6,
        "gear",
    )
    for k in (-8, 0, 8):
        ink.circle(at + n * k + way * 0.5, 1.9, PAPER, 1.1, "gear")


def person(ink: Sketch, at: complex, side: int, hands: Sequence[complex]) -> None:
    """Somebody who sits in a harness, leaning back from the ropes."""

    def p(x: float, y: float) -> complex:
        return at + complex(x * side, y)

    for a, b, w in (
        (p(2, 1), p(33, -19), 7.0),
        (p(4, 2), p(-22, 8), 6.0),
        (p(-22, 8), p(-27, 40), 5.0),
        (p(-27, 40), p(-36, 41), 4.0),
    ):
        ink.line(a, b, w, "gear")
        ink.line(a, b, w - 2.6, "gear", PAPER)
    ink.circle(p(44, -28), HEAD, PAPER, 1.5, "gear")
    ink.curve([p(36, -31), p(38, -42), p(51, -41), p(52, -30)], 3.0, "gear")
    for wrist in hands or (p(14, -2),):
        shoulder = p(31, -17)
        elbow = (shoulder + wrist) / 2 + complex(4 * side, 7)
        ink.shape([shoulder, elbow, wrist], PAPER, 3.4, "gear", closed=False)
        hand(ink, wrist)
    ink.line(p(-3, -4), p(7, 5), 2.6, "front")
    ink.circle(at, 3.2, PAPER, 1.6, "front")


def stander(ink: Sketch, at: complex, side: int, hands: Sequence[complex]) -> None:
    """Somebody in a harness who stands upright on the ground line `SOLES` below."""

    def p(x: float, y: float) -> complex:
        return at + complex(x * side, y)

    soles = SOLES["person"] - 2.0
    for a, b, w in (
        (p(8, 2), p(9, -24), 7.0),
        (p(9, 2), p(15, 22), 5.0),
        (p(15, 22), p(14, soles), 4.6),
        (p(7, 2), p(3, 22), 5.0),
        (p(3, 22), p(0, soles), 4.6),
        (p(14, soles), p(7, soles), 4.0),
        (p(0, soles), p(-7, soles), 4.0),
    ):
        ink.line(a, b, w, "gear")
        ink.line(a, b, w - 2.6, "gear", PAPER)
    ink.circle(p(9, -38), HEAD, PAPER, 1.5, "gear")
    ink.curve([p(1, -39), p(2, -50), p(16, -50), p(17, -39)], 3.0, "gear")
    for wrist in hands or (p(-6, -2),):
        shoulder = p(8, -22)
        elbow = (shoulder + wrist) / 2 + complex(-3 * side, 5)
        ink.shape([shoulder, elbow, wrist], PAPER, 3.4, "gear", closed=False)
        hand(ink, wrist)
    ink.line(p(0, 0), p(12, 2), 2.6, "front")
    ink.circle(at, 3.2, PAPER, 1.6, "front")


def hand(ink: Sketch, at: complex) -> None:
    """A fist round a rope."""
    ink.circle(at, 4.2, PAPER, 1.7, "front")
    ink.line(at + complex(-2.2, -1.2), at + complex(2.2, -1.2), 0.9, "front")
    ink.line(at + complex(-2.2, 1.2), at + complex(2.2, 1.2), 0.9, "front")


def crew(ink: Sketch, at: complex, side: int, hands: Sequence[complex]) -> None:
    """Somebody who stands and pulls, leaning back."""

    def p(x: float, y: float) -> complex:
        return at + complex(x * side, y)

    for a, b, w in (
        (p(26, 6), p(32, 34), 7.0),
        (p(32, 34), p(20, 52), 5.0),
        (p(20, 52), p(16, 70), 4.6),
        (p(32, 34), p(36, 54), 5.0),
        (p(36, 54), p(34, 70), 4.6),
    ):
        ink.line(a, b, w, "gear")
        ink.line(a, b, w - 2.6, "gear", PAPER)
    ink.circle(p(27, -7), HEAD, PAPER, 1.5, "gear")
    for wrist in hands or (at,):
        ink.shape([p(26, 8), p(14, 9), wrist], PAPER, 3.4, "gear", closed=False)
        hand(ink, wrist)


def litter(ink: Sketch, at: complex) -> None:
    """A patient in a litter, hung level by two legs."""
    ink.line(at, at + complex(-38, 28), 1.4, "gear")
    ink.line(at, at + complex(38, 28), 1.4, "gear")
    ink.circle(at + complex(-32, 26), 5.0, PAPER, 1.4, "gear")
    ink.line(at + complex(-24, 28), at + complex(36, 28), 5.4, "gear")
    ink.line(at + complex(-24, 28), at + complex(36, 28), 2.8, "gear", PAPER)
    hull = [complex(-46, 28), complex(-42, 40), complex(42, 40), complex(46, 28)]
    ink.shape([at + p for p in hull], TINT, 1.8, "gear")
    for x in (-24, 0, 24):
        ink.line(at + complex(x, 29), at + complex(x, 40), 1.0, "gear")
    ink.circle(at, 3.4, PAPER, 1.6, "front")


def test_weight(ink: Sketch, at: complex) -> None:
    """A test weight with a ring."""
    hull = [complex(-10, 10), complex(10, 10), complex(17, 36), complex(-17, 36)]
    ink.line(at, at + 10j, 2.2, "gear")
    ink.shape([at + p for p in hull], TINT, 1.8, "gear")
    ink.circle(at, 3.4, PAPER, 1.6, "front")


def downward(ink: Sketch, at: complex, radius: float) -> None:
    """A pull away from whoever looks down on a plan: the feathers of an arrow seen from behind."""
    arm = radius * 2**-0.5
    ink.circle(at, radius, TINT, 1.8, "gear")
    for way in (1 + 1j, 1 - 1j):
        ink.line(at - way * arm, at + way * arm, 1.6, "gear")


def bundle(ink: Sketch, at: complex) -> None:
    """A pack."""
    hull = [
        complex(-13, 12),
        complex(-9, 6),
        complex(9, 6),
        complex(13, 12),
        complex(13, 36),
        complex(-13, 36),
    ]
    ink.line(at, at + 6j, 2.2, "gear")
    ink.shape([at + p for p in hull], TINT, 1.8, "gear")
    ink.line(at + complex(-13, 20), at + complex(13, 20), 1.2, "gear")
    ink.circle(at, 3.4, PAPER, 1.6, "front")
