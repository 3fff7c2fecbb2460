"""A first procedure on a rig: a text that can be used as it is, with one step to write on from."""

from __future__ import annotations

from ropewright.rig import Rig
from ropewright.rig.writer import quoted

__all__ = ["first_text"]


def first_text(title: str, rig: Rig, rig_file: str) -> str:
    """The text of a procedure that starts from a rig; its people are those of the rig."""
    people = [load.name for load in rig.loads.values() if load.kind == "person"]
    doers = [*people, *rig.crews]
    stands = [place.name for place in rig.points.values() if place.kind in ("stand", "ground", "edge")]
    lines = [f"procedure: {quoted(title)}", f"from: {quoted(rig_file)}", f"units: {rig.units}"]
    if not doers and stands:
        doers = ["leader"]
        lines += ["", "people:", f"  leader: {{role: team leader, at: {quoted(stands[0])}}}"]
    lines += [
        "",
        "words:",
        "  ready: ready",
        "",
        "steps:",
        f"  - {quoted((doers or ['leader'])[0])}: call ready",
    ]
    return "\n".join(lines) + "\n"
