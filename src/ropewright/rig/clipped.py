"""What is clipped to what: from a piece of gear to the place that it hangs on in the end, and back."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.rig.model import Rig

__all__ = ["clipped_on", "clipped_to", "hangs_on"]


def clipped_to(rig: Rig, part: str) -> Iterator[str]:
    """What a part is clipped to, what that is clipped to, and so on; each once, were it a circle."""
    seen = {part}
    while part in rig.gear:
        place = rig.gear[part].at
        if not isinstance(place, str) or place in seen:
            return
        yield place
        seen.add(place)
        part = place


def hangs_on(rig: Rig, part: str) -> str:
    """What a part hangs on in the end; itself where it is clipped to nothing."""
    for place in clipped_to(rig, part):
        part = place
    return part


def clipped_on(rig: Rig, part: str) -> list[str]:
    """Gear that is clipped to a part, at whatever remove, the nearest first."""
    out = [part]
    for name in out:
        out += [g.name for g in rig.gear.values() if g.at == name and g.name not in out]
    return out[1:]
