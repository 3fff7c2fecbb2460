"""Taking a table into the cache: what each row would do, and the doing of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.forms import ChoiceField
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from ropewright.web.accounts.models import Account
from ropewright.web.gear.forms import ItemForm
from ropewright.web.gear.kinds import kinds
from ropewright.web.gear.models import Item, Kit, Place
from ropewright.web.gear.states import first_lines
from ropewright.web.gear.table import columns, values_of
from ropewright.web.tables.cells import Cell, Manner, as_typed
from ropewright.web.tables.columns import Column
from ropewright.web.tables.importing import (
    Fate,
    Fault,
    Outcome,
    ReadRow,
    changes_of,
    doubled,
    joined,
    same,
    shown,
)

__all__ = ["GearBook"]

_OF_THE_STATE = ("state", "reason")
_BATCH = 500


class _RowForm(ItemForm):
    """An item's own form for one row of a table; what it asks the store was asked for all rows at once."""

    class Meta(ItemForm.Meta):
        fields = tuple(n for n in ItemForm.Meta.fields if n not in ("place", "kit"))  # type: ignore[assignment]

    def twin_of(self, mark: str) -> str:  # noqa: ARG002 - it is its own
        """Rows with the mark of an item change that item."""
        return ""

    def validate_unique(self) -> None:
        """Rows with the same mark were looked for already."""


class GearBook:
    """The cache, as tables see it."""

    name = "gear"
    title = "Gear"

    def __init__(self) -> None:
        self.columns: Sequence[Column] = columns()
        self._form = _RowForm({})
        self._form.fields["type"] = ChoiceField(choices=[(name, name) for name in kinds()])  # named once
        self._by_key = {column.key: column for column in self.columns}

    def state(self, rows: Sequence[ReadRow], *, lock: bool = False) -> Mapping[str, Any]:
        """The items that have the rows' marks, by their folded marks; the places and kits that there are."""
        wanted = {_folded(row) for row in rows}
        pks = [pk for pk, mark in Item.objects.values_list("pk", "mark") if _fold(mark) in wanted]
        items: dict[str, Any] = {}
        for start in range(0, len(pks), _BATCH):
            found = Item.objects.filter(pk__in=pks[start : start + _BATCH]).order_by("pk")
            if lock:
                found = found.select_for_update(of=("self",))
            for item in found.select_related("cut_from"):
                items[_fold(item.mark)] = {"pk": item.pk, **values_of(item)}
        return {
            "items": items,
            "places": sorted(Place.objects.values_list("pk", "name")),
            "kits": sorted(Kit.objects.values_list("pk", "name")),
        }

    def outcomes(self, rows: Sequence[ReadRow], state: Mapping[str, Any], manner: Manner) -> list[Outcome]:
        """What each row would do."""
        twins = doubled(rows, _folded)
        return [self._outcome(row, state["items"].get(_folded(row)), twins, manner) for row in rows]

    def _outcome(
        self, row: ReadRow, item: Mapping[str, Any] | None, twins: Mapping[int, list[int]], manner: Manner
    ) -> Outcome:
        label = str(row.values.get("mark") or "")
        faults = list(row.faults)
        if row.number in twins:
            others = [number for number in twins[row.number] if number != row.number]
            faults.append(
                Fault("own mark", f"'{label}' also stands in row {joined(others)}; one row an item")
            )
        given, notes = self._given(row, item, manner)
        faults += _state_faults(row, item)
        before = dict(item) if item else {}
        if item and not faults and not changes_of(before, given, self.columns):
            return Outcome(row.number, str(item["mark"]), "unchanged", notes=(*row.notes, *notes))
        values, wrong = self._checked({**before, **given} if item else given)
        seen = {fault.title for fault in faults}
        faults += [fault for fault in wrong if fault.title not in seen]
        if faults:
            return Outcome(row.number, label, "wrong", tuple(faults), notes=row.notes)
        after = {key: values[key] for key in values if item is None or key in given or key == "textile"}
        if item is None:
            after |= {key: row.values.get(key) for key in _OF_THE_STATE if row.values.get(key)}
        changes = changes_of(before, after, self.columns)
        if item is None:
            changes = tuple(change for change in changes if change.after not in ("nothing", "no"))
        fate: Fate = "new" if item is None else "changed" if changes else "unchanged"
        target = item["pk"] if item else None
        if item is not None:
            after = {change.key: after[change.key] for change in changes}
        return Outcome(row.number, label, fate, (), changes, (*row.notes, *notes), target, after)

    def _given(
        self, row: ReadRow, item: Mapping[str, Any] | None, manner: Manner
    ) -> tuple[dict[str, Cell], list[str]]:
        """The values that a row would set, and what is noted of those that it can't."""
        given: dict[str, Cell] = {}
        notes = []
        for key, value in row.values.items():
            column = self._by_key[key]
            if key == "mark" and item:
                continue  # the mark that is on record stays as it is written there
            if column.shown_only or (key == "reason" and item):
                known = item.get(key) if item else None
                if value is not None and not same(value, known):
                    notes.append(f"{column.title}: {shown(value, column)} is not taken: {_where(column)}")
            elif key in _OF_THE_STATE:
                continue
            elif value is not None or (manner.clears and item and column.kind != "yes-no"):
                given[key] = value
        return given, notes

    def _checked(self, values: Mapping[str, Any]) -> tuple[dict[str, Any], list[Fault]]:
        """The values as the item's own form reads them, and what it finds wrong."""
        form, form.instance = self._form, Item()  # one form for all rows: making it is what takes long
        keys = [key for key in values if key in form.fields]
        form.data = {key: as_typed(values[key], self._by_key[key]) for key in keys}
        form.full_clean()
        faults = [
            Fault(self._by_key[name].title if name in self._by_key else "", str(text))
            for name, texts in form.errors.items()
            for text in texts
        ]
        places = {key: values[key] for key in ("place", "kit") if key in values}
        return {**form.cleaned_data, **places}, faults

    def take(self, outcomes: Sequence[Outcome], account: Account) -> None:
        """Write new and changed items, with their history."""
        new = [
            (_made(outcome), str(outcome.values.get("reason", "")))
            for outcome in outcomes
            if outcome.fate == "new"
        ]
        bulk_create_with_history([item for item, _ in new], Item, batch_size=_BATCH, default_user=account)
        first_lines(new, account)
        changed = {outcome.target or 0: outcome.values for outcome in outcomes if outcome.fate == "changed"}
        items = list(Item.objects.filter(pk__in=changed))
        fields = set[str]()
        for item in items:
            for key, value in changed[item.pk].items():
                name = f"{key}_id" if key in ("place", "kit") else key
                setattr(item, name, value)
                fields.add(key)
        if items:
            bulk_update_with_history(items, Item, sorted(fields), batch_size=_BATCH, default_user=account)


def _where(column: Column) -> str:
    return column.shown_only or "it goes with the state, which is changed on the item's page"


def _fold(mark: str) -> str:
    return " ".join(mark.split()).casefold()


def _folded(row: ReadRow) -> str | None:
    mark = row.values.get("mark")
    return _fold(str(mark)) if mark else None


def _state_faults(row: ReadRow, item: Mapping[str, Any] | None) -> list[Fault]:
    """Whether the state that a row names can be: an item's own, or one in which a new item may come."""
    state = row.values.get("state")
    if state is None:
        return []
    word = Item.State(str(state)).label
    if item:
        known = Item.State(item["state"]).label
        if state == item["state"] or (state == Item.State.IN_SERVICE and item["state"] == Item.State.ISSUED):
            return []
        return [
            Fault(
                "state", f"found '{word}', on record is '{known}'; a state is changed on the item's own page"
            )
        ]
    if state == Item.State.QUARANTINED and not row.values.get("reason"):
        return [Fault("state", "found 'quarantined' without a reason; say it in the column 'why it is so'")]
    if state not in (Item.State.IN_SERVICE, Item.State.QUARANTINED):
        return [Fault("state", f"found '{word}'; a new item comes in service or quarantined")]
    return []


def _made(outcome: Outcome) -> Item:
    """A new item of a row; without a state it comes in service, and due until it is inspected."""
    values = {f"{k}_id" if k in ("place", "kit") else k: v for k, v in outcome.values.items()}
    item = Item(**values)
    if item.state != Item.State.QUARANTINED:
        item.reason = ""
    return item
