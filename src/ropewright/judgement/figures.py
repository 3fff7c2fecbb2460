"""Which figure counts for a part: the rig's own, then the type's in the rig, then the catalogue's."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, TypeVar

from ropewright.catalogue import Catalogue
from ropewright.quantity import Range
from ropewright.rig import Rig

_Made = TypeVar("_Made")


@dataclass(frozen=True, slots=True)
class Used:
    """A figure as it was used.

    ``value`` None means not known; ``by`` is what it belongs to (a part or a type).
    """

    part: str
    key: str
    by: str
    value: Range | None
    source: str
    confidence: str
    note: str = ""

    @property
    def name(self) -> str:
        """What the figure is called in a list, as 'efficiency of pulley-single'."""
        return f"{self.key} of {self.by}"


class Figures:
    """Looks figures up and remembers which were used."""

    def __init__(self, rig: Rig, catalogue: Catalogue) -> None:
        self.rig, self.catalogue = rig, catalogue
        self.used: dict[tuple[str, str], Used] = {}
        self._kept: tuple[Rig, dict[Hashable, Any]] = (rig, {})

    def get(self, part: str, type_name: str, key: str) -> Used:
        """The figure ``key`` of ``part``, which is of type ``type_name``; a type without such a figure
        gives None.
        """
        found = self.used.get((part, key))
        if found is None:
            found = self._look(part, type_name, key)
            self.used[part, key] = found
        return found

    def kept(self, rig: Rig, what: Hashable, make: Callable[[], _Made]) -> _Made:
        """What ``make`` makes of a rig with these figures, made once and then found again; of one rig at a
        time, the last that was asked about.
        """
        if self._kept[0] is not rig:
            self._kept = (rig, {})
        known = self._kept[1]
        if what not in known:
            known[what] = make()
        made: _Made = known[what]
        return made

    def _look(self, part: str, type_name: str, key: str) -> Used:
        for by in (part, type_name):
            value = self.rig.assume.get(by, {}).get(key)
            if value is not None:
                return Used(part, key, by, value, "stated in the rig file", "N")
        if type_name in self.catalogue and key in self.catalogue[type_name].figures:
            figure = self.catalogue.figure(type_name, key)
            return Used(part, key, type_name, figure.value, figure.source, figure.confidence, figure.note)
        return Used(part, key, type_name, None, "", "")

    def likely(self, part: str, type_name: str, key: str, default: float) -> float:
        """The central figure, or ``default`` where none is known."""
        used = self.get(part, type_name, key)
        return default if used.value is None else used.value.likely
