"""What may slip in the catch of a load that one failure drops: it then comes lower than its drop says."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ropewright.judgement.examine import Failure
from ropewright.judgement.loads import grip_difference
from ropewright.judgement.parts import ALIKE

__all__ = ["Slip", "slips"]


@dataclass(frozen=True, slots=True)
class Slip:
    """A grab or device that a catch asks for more [N] than what it slips from [N]."""

    part: str
    asked: float
    slips_from: float
    line: int


def slips(failure: Failure, load: str = "") -> tuple[Slip, ...]:
    """Each piece of gear that may slip in the catch after a failure, where it is asked most; with a
    ``load`` of what hangs together with that alone.
    """
    after = failure.after
    pulls = after.pulls
    if pulls is None:
        return ()
    out = dict[str, Slip]()
    contacts = after.assembly.system.contacts
    for flat, (wire, contact) in enumerate(zip(after.assembly.wires, contacts, strict=True)):
        catch = failure.catch_on(wire.rope)
        if load and failure.lane.get(wire.rope) != failure.lane[load]:
            continue
        if catch <= 1.0 or contact.holds == "none" or math.isinf(contact.slips):
            continue
        asked = catch * abs(float(grip_difference(after.assembly, pulls, flat)[0]))
        name = wire.contact.target or ""
        known = out.get(name)
        if asked > contact.slips and (known is None or asked > known.asked * (1 + ALIKE)):
            out[name] = Slip(name, asked, contact.slips, wire.contact.line)
    return tuple(out.values())
