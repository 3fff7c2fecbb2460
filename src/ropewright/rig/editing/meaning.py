"""What a rig means before and after an act of the tables: no figure but what was meant may have changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ropewright.rig.editing.page import EditError
from ropewright.rig.faults import listed
from ropewright.rig.model import Rig
from ropewright.rig.stated_of import Thing, stated_of

__all__ = ["Meant", "check_meaning"]


@dataclass(frozen=True, slots=True)
class Meant:
    """What an act is to change beside the shape of the rig: a part's name (old, new), or the figure of a part
    or of a type (its name, which figure).
    """

    renamed: tuple[str, str] | None = None
    figure: tuple[str, str] | None = None

    def after(self, thing: Thing) -> Thing:
        """How a thing is called once the act is done."""
        if self.renamed and thing.part == self.renamed[0]:
            return thing._replace(part=self.renamed[1])
        return thing


def check_meaning(before: Rig, after: Rig, meant: Meant) -> None:
    """Make sure that everything that stayed has the figures that it had. Errors: EditError."""
    others = dict.fromkeys(_changed(before, after, meant))
    if others:
        told = listed(list(others)[:8])
        raise EditError(
            f"this would change what is stated of {told} as well, so nothing was changed; "
            "say in the text, under `assume`, whom each figure is meant for"
        )


def _changed(before: Rig, after: Rig, meant: Meant) -> Iterator[str]:
    now = stated_of(after)
    is_part = meant.figure is not None and any(part.name == meant.figure[0] for part in after.parts())
    for thing, had in stated_of(before).items():
        has = now.get(meant.after(thing))
        if has is None:
            continue
        differ = {key for key in had.keys() | has.keys() if had.get(key) != has.get(key)}
        if meant.figure and meant.figure[0] == (thing.part if is_part else thing.type):
            differ.discard(meant.figure[1])
        if differ:
            yield str(thing)
