"""The legs of an anchor: the angle between them and what each carries."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.judgement.geometry import legs
from ropewright.judgement.rules.base import Context, Finding
from ropewright.quantity import show_angle

__all__ = ["find"]


def find(ctx: Context) -> Iterator[Finding]:
    """Leg angles, and those wider than the policy allows, in the state at rest."""
    most = ctx.policy.number("most-leg-angle")
    for case in ctx.still[:1]:
        for meeting in legs(case.assembly, case.found, case.position):
            angle, one, other = meeting.widest
            shares = ", ".join(
                f"{leg.rope} {leg.tension / max(meeting.pull, 1e-9):.2f}" for leg in meeting.legs
            )
            text = (
                f"at {meeting.at} the legs {one.rope} and {other.rope} stand {show_angle(angle)} apart; "
                f"shares of the load: {shares}"
            )
            if most is not None and angle > most + 1e-6:
                text += f"; the policy allows {show_angle(most)}"
                repair = (
                    f"close the angle to {show_angle(most)} or less: longer legs, or anchors closer together"
                )
                yield Finding("stop", "leg-angle-too-wide", text, one.line, repair, meeting.at)
            else:
                yield Finding("note", "leg-angle", text, one.line, "", meeting.at)
