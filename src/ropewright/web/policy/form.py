"""The form of the rules, laid out: every field with its label, what stands in it and what is wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ropewright.rig import POLICY_KEYS
from ropewright.web.policy.shipped import (
    GROUPS,
    INTERVALS,
    RATIOS,
    RECORDS,
    WORDS,
    Given,
    shipped_rules,
    shipped_source,
)
from ropewright.web.policy.telling import NOT_ASKED, rule_words, shown_value
from ropewright.web.policy.texts import row_numbers
from ropewright.web.policy.zones import zone_names

__all__ = ["UNITS_FIRST", "Field", "Group", "Row", "laid_out"]

UNITS_FIRST = (("metric", "metric: kN, kg, m"), ("us", "US: lbf, lb, ft"))
_YES_NO = (("yes", "yes"), ("no", "no"))
_LISTS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "ratio": (("", "Kind of work"), ("value", "Students"), ("source", "Where that comes from")),
    "interval": (("", "Family or type of gear"), ("value", "Days"), ("source", "Where that comes from")),
    "record": (("", "Kind of record"), ("value", "Years"), ("source", "Where that comes from")),
    "word": (("", "Word in the steps"), ("own", "Your word")),
    "reserve": (("", "Type of gear"), ("length", "Least length, m or ft"), ("count", "How many")),
}

_ABOUT: Mapping[str, str] = {
    "rules": f"A force or a length has its unit, as in 4 kN or 900 lbf. ‘{NOT_ASKED}’ asks for nothing.",
    "ratio": "The lead instructor and the safety officer do not count.",
    "interval": "Days between inspections by family or type of gear; a type's own goes before its family's.",
    "record": "In years; empty keeps them for good. The app removes nothing by itself: the law that you are "
    "under asks for more or less, and you decide.",
    "reserve": "What stays on the rig whatever a class needs: type of gear, least length where it has one, "
    "and how many.",
    "word": "Where nothing stands, the trade's word is used. A procedure's own words go before these.",
}


@dataclass(frozen=True, slots=True)
class Field:
    """One input. ``options``: what may be chosen, empty where it is written."""

    name: str
    label: str
    text: str
    fault: str = ""
    help: str = ""
    options: tuple[tuple[str, str], ...] = ()
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Row:
    """Inputs that belong together, under one name; ``about`` says what it is for."""

    words: str
    fields: tuple[Field, ...]
    about: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Rows under one heading. ``anchor`` is where a link leads to it."""

    words: str
    about: str
    rows: tuple[Row, ...]
    anchor: str

    @property
    def wrong(self) -> bool:
        """Whether something in it is at fault."""
        return any(field.fault for row in self.rows for field in row.fields)


def laid_out(texts: Mapping[str, str], faults: Mapping[str, str]) -> tuple[Group, ...]:
    """The whole form with its texts and their faults."""
    return tuple(_Layout(texts, faults).groups())


class _Layout:
    """Makes the fields of one form."""

    def __init__(self, texts: Mapping[str, str], faults: Mapping[str, str]) -> None:
        self.texts, self.faults = texts, faults

    def groups(self) -> Iterator[Group]:
        yield Group("The team", "", (Row("", tuple(self._team())),), "team")
        for n, (heading, keys) in enumerate(GROUPS, 1):
            rows = tuple(self._rule(key) for key in keys)
            yield Group(heading, _ABOUT["rules"] if n == 1 else "", rows, f"rules-{n}")
        for name, heading, given, unit in (
            ("ratio", "Students for one instructor", RATIOS, "students"),
            ("interval", "Inspection and life", INTERVALS, "days"),
            ("record", "How long records are kept", RECORDS, "years"),
        ):
            rows = (*self._counted(name, given, unit), *self._list(name, f"more-{name}"))
            yield Group(heading, _ABOUT[name], rows, f"{name}s")
        yield Group("Kept on the rig", _ABOUT["reserve"], tuple(self._list("reserve", "reserve")), "reserve")
        words = tuple(
            Row(key, (self._field(f"word.{key}", f"Your word for {key}", needed=False),), about)
            for key, about in WORDS
        )
        rows = (*words, *self._list("word", "more-word"))
        yield Group("What is called", _ABOUT["word"], rows, "words")

    def _field(self, name: str, label: str, **more: object) -> Field:
        return Field(name, label, self.texts.get(name, ""), self.faults.get(name, ""), **more)  # type: ignore[arg-type]

    def _team(self) -> Iterator[Field]:
        yield self._field("team", "The team's name", help="Stands at the top of every page.")
        yield self._field(
            "name", "What this policy is called", help="Printed with every verdict, with its version."
        )
        yield self._field("edition", "Standard and its edition", needed=False)
        yield self._field("zone", "Time zone", options=tuple((z, z) for z in zone_names()))
        yield self._field(
            "units",
            "Shown first",
            options=UNITS_FIRST,
            help="Both systems are always printed.",
        )

    def _rule(self, key: str) -> Row:
        kind, name = POLICY_KEYS[key].kind, f"rule.{key}"
        about, words = POLICY_KEYS[key].about, rule_words(key)
        options = _YES_NO if kind == "yes-no" else ()
        shipped, source = shipped_rules().get(key, {}).get("value"), shipped_source(key)
        told = f"Shipped: {shown_value(key, shipped)}{f' ({source})' if source else ''}."
        return Row(
            words,
            (
                self._field(name, words, options=options),
                self._field(f"{name}.source", f"Where it comes from: {words}", help=told, needed=False),
            ),
            f"{about[:1].upper()}{about[1:]}.",
        )

    def _counted(self, name: str, given: tuple[Given, ...], unit: str) -> Iterator[Row]:
        for each in given:
            words = each.words[:1].upper() + each.words[1:]
            begun = "kept for good" if each.value is None else f"{each.value} {unit} ({each.source})"
            yield Row(
                words,
                (
                    self._field(f"{name}.{each.key}", f"{words}, {unit}", needed=False),
                    self._field(
                        f"{name}.{each.key}.source",
                        f"Where it comes from: {words}",
                        help=f"Shipped: {begun}.",
                        needed=False,
                    ),
                ),
            )

    def _list(self, kind: str, rows: str) -> Iterator[Row]:
        for n in row_numbers(self.texts, rows):
            fields = tuple(
                self._field(f"{rows}.{n}{'.' if part else ''}{part}", f"{label}, row {n}", needed=False)
                for part, label in _LISTS[kind]
            )
            filled = any(field.text for field in fields)
            yield Row("" if filled else "Another", fields)
