"""What a table is taken into: the part of an import that each room writes itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from ropewright.web.tables.cells import Manner
from ropewright.web.tables.columns import Column, Matching
from ropewright.web.tables.importing import Fate, Outcome, ReadRow
from ropewright.web.tables.table import Table

__all__ = ["FATES", "Book", "Preview"]

FATES: tuple[Fate, ...] = ("wrong", "changed", "new", "unchanged")


class Book(Protocol):
    """The gear of a team, or its people, as tables see them."""

    name: str
    title: str
    columns: Sequence[Column]

    def state(self, rows: Sequence[ReadRow], *, lock: bool = False) -> Mapping[str, Any]:
        """Everything in the store that the outcomes of these rows follow from; ``lock``: before a change."""

    def outcomes(self, rows: Sequence[ReadRow], state: Mapping[str, Any], manner: Manner) -> list[Outcome]:
        """What each row would do to the store in this state."""

    def take(self, outcomes: Sequence[Outcome], account: Any) -> None:
        """Write the new and the changed ones; inside the caller's transaction."""


@dataclass(frozen=True, slots=True)
class Preview:
    """What a table would do. ``digest`` stands for the file, the choices and the store behind it."""

    table: Table
    matching: Matching
    manner: Manner
    rows: Sequence[ReadRow]
    outcomes: Sequence[Outcome]
    digest: str

    @property
    def row_count(self) -> int:
        """How many rows the table has."""
        return len(self.table.rows)

    def counts(self) -> dict[str, int]:
        """How many rows have each fate, the wrong ones first."""
        fates = [outcome.fate for outcome in self.outcomes]
        return {fate: fates.count(fate) for fate in FATES}

    def of_fate(self, fate: str) -> list[Outcome]:
        """The outcomes of a fate."""
        return [outcome for outcome in self.outcomes if outcome.fate == fate]
