"""Taking a table into the roster: what each row would do, and the doing of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from ropewright.web.accounts.models import Account
from ropewright.web.people.forms import PersonForm
from ropewright.web.people.matching import Match, fold, match_rows
from ropewright.web.people.models import Person
from ropewright.web.people.table import columns, values_of
from ropewright.web.tables.cells import Cell, Manner, as_typed
from ropewright.web.tables.columns import Column
from ropewright.web.tables.importing import Fate, Fault, Outcome, ReadRow, changes_of

__all__ = ["PeopleBook"]

_BATCH = 500
_TAKEN_AS: Mapping[str, Cell] = {"on_rope": True, "hauls": True, "active": True}
"""What somebody new is taken as where the table does not say."""


class PeopleBook:
    """The roster, as tables see it; only those who keep it take a table into it, and they read all of it."""

    name = "people"
    title = "People"

    def __init__(self) -> None:
        self.columns: Sequence[Column] = columns(private=True)
        self._form = PersonForm({}, private=True)  # one for all rows: making it is what takes long
        self._by_key = {column.key: column for column in self.columns}

    def state(self, rows: Sequence[ReadRow], *, lock: bool = False) -> Mapping[str, Any]:
        """The people who have a name or a number of the rows."""
        names = {fold(row.values.get("name")) for row in rows}
        marks = {fold(row.values.get("mark")) for row in rows} - {""}
        pks = [
            pk
            for pk, name, mark in Person.objects.values_list("pk", "name", "mark")
            if fold(name) in names or fold(mark) in marks
        ]
        found: list[dict[str, Any]] = []
        for start in range(0, len(pks), _BATCH):
            people = Person.objects.filter(pk__in=pks[start : start + _BATCH]).order_by("pk")
            if lock:
                people = people.select_for_update()
            found += [{"pk": person.pk, **values_of(person)} for person in people]
        return {"people": found}

    def outcomes(self, rows: Sequence[ReadRow], state: Mapping[str, Any], manner: Manner) -> list[Outcome]:
        """What each row would do."""
        matched = match_rows(rows, state["people"])
        return [self._outcome(row, matched[row.number], manner) for row in rows]

    def _outcome(self, row: ReadRow, match: Match, manner: Manner) -> Outcome:
        label, entry = str(row.values.get("name") or ""), match.entry
        faults, notes = [*row.faults, *match.faults], (*row.notes, *match.notes)
        given = {
            key: value
            for key, value in row.values.items()
            if not (key == "name" and entry)  # a name stays as it is written on the roster
            if value is not None or (manner.clears and entry and self._by_key[key].kind != "yes-no")
        }
        before = dict(entry) if entry else {}
        if entry and not faults and not changes_of(before, given, self.columns):
            return Outcome(row.number, str(entry["name"]), "unchanged", notes=notes)
        values, wrong = self._checked({**before, **given} if entry else {**_TAKEN_AS, **given})
        seen = {fault.title for fault in faults}
        told = [Fault(self._by_key[key].title if key in self._by_key else "", text) for key, text in wrong]
        faults += [fault for fault in told if fault.title not in seen]
        if faults:
            return Outcome(row.number, label, "wrong", tuple(faults), notes=notes)
        after = {key: value for key, value in values.items() if entry is None or key in given}
        changes = changes_of(before, after, self.columns)
        if entry is None:
            changes = tuple(change for change in changes if change.after != "nothing")
        fate: Fate = "new" if entry is None else "changed" if changes else "unchanged"
        target = entry["pk"] if entry else None
        if entry is not None:
            after = {change.key: after[change.key] for change in changes}
        return Outcome(row.number, label, fate, (), changes, notes, target, after)

    def _checked(self, values: Mapping[str, Any]) -> tuple[dict[str, Any], list[tuple[str, str]]]:
        """The values as a person's own form reads them, and what it finds wrong, each with its key."""
        typed = {key: as_typed(values[key], self._by_key[key]) for key in values if key in self._by_key}
        form, form.instance = self._form, Person(pk=values.get("pk"))
        form.data = typed
        form.full_clean()
        faults = [(name, str(text)) for name, texts in form.errors.items() for text in texts]
        return {**form.cleaned_data, "active": values["active"]}, faults

    def take(self, outcomes: Sequence[Outcome], account: Account) -> None:
        """Write new and changed people, with their history."""
        new = [Person(**outcome.values) for outcome in outcomes if outcome.fate == "new"]
        bulk_create_with_history(new, Person, batch_size=_BATCH, default_user=account)
        changed = {outcome.target or 0: outcome.values for outcome in outcomes if outcome.fate == "changed"}
        people = list(Person.objects.filter(pk__in=changed))
        for person in people:
            for key, value in changed[person.pk].items():
                setattr(person, key, value)
        fields = sorted({key for values in changed.values() for key in values})
        if people:
            bulk_update_with_history(people, Person, fields, batch_size=_BATCH, default_user=account)
