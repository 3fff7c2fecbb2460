"""The words of a run: one line for each thing that the rope meets.

    tie X [with KNOT]     grip G     through G[.n]     over P     hand X     tail

Behind any of them may stand `slack LENGTH` and, behind grip and through, `reversed`.
"""

import re
from dataclasses import dataclass, field
from typing import Any

from ropewright.quantity import QuantityError, Range, System, write_quantity
from ropewright.rig.faults import listed, shown, suggestion
from ropewright.rig.fields import figure, is_name
from ropewright.rig.model import Contact, Verb
from ropewright.rig.yamltext import hidden_character

__all__ = ["CONTACT_PATTERN", "ContactError", "read_contact", "write_contact"]

FORMS: dict[Verb, str] = {
    "tie": "`tie X` or `tie X with KNOT`",
    "grip": "`grip G`",
    "through": "`through G` or `through G.2`",
    "over": "`over P`",
    "hand": "`hand X`",
    "tail": "`tail`",
}
# What may stand behind each word.
OPTIONS: dict[Verb, tuple[str, ...]] = {
    "tie": ("with", "slack"),
    "grip": ("slack", "reversed"),
    "through": ("slack", "reversed"),
    "over": ("slack",),
    "hand": ("slack",),
    "tail": (),
}
OPTION_WORDS = ("with", "slack", "reversed")
LONGEST = 300
MOST_SLACK = 1000.0
MOST_SHEAVES = 99
CONTACT_PATTERN = (
    r"^\s*(tail|(tie|grip|through|over|hand)\s+\w[\w-]*(\.[0-9]+)?)"
    r"(\s+(with\s+\w[\w-]*|slack\s+\S+(\s+(m|cm|mm|ft|in|yd))?|reversed))*\s*$"
)
_TARGET = re.compile(r"(?P<name>[^.]+)(?:\.(?P<sheave>.*))?\Z", re.DOTALL)


class ContactError(ValueError):
    """A contact that can't be read: one sentence for each thing wrong."""


@dataclass(slots=True)
class _Reading:
    """A contact on its way to being read: the words left, what has been found and what is wrong."""

    words: list[str]
    verb: Verb
    system: System
    faults: list[str] = field(default_factory=list)
    seen: set[str] = field(default_factory=set)
    knot: str | None = None
    slack: float = 0.0
    reversed: bool = False

    def options(self) -> None:
        while self.words:
            word = self.words.pop(0)
            known = OPTIONS[self.verb]
            if word not in OPTION_WORDS:
                follows = f"{listed(known, 'or')} may follow" if known else "Nothing follows"
                right = suggestion(word, known, f"{follows} {FORMS[self.verb]}")
                self.faults.append(f"found {shown(word)} after the contact. {right}")
                return
            if word not in known:
                self.faults.append(f"`{word}` belongs to {_takers(word)}; here it is {FORMS[self.verb]}")
            if word in self.seen:
                self.faults.append(f"`{word}` stands twice; write it once")
            self.seen.add(word)
            {"with": self._with, "slack": self._slack, "reversed": self._reversed}[word]()

    def _with(self) -> None:
        knot = self.words.pop(0) if self.words else None
        if knot is None:
            self.faults.append("`with` is followed by the knot, as in `tie beam with bowline`")
        self.knot = knot

    def _slack(self) -> None:
        taken = [self.words.pop(0)] if self.words else []
        while taken and self.words and self.words[0] not in OPTION_WORDS:
            taken.append(self.words.pop(0))
        try:
            found = figure(" ".join(taken) or None, "length", self.system, "zero-up")
        except QuantityError as error:
            self.faults.append(f"`slack` is followed by a length, as in `slack 0.5`: {error}")
            return
        if not found.is_single or found.high > MOST_SLACK:
            self.faults.append(
                f"`slack` is one length of at most {MOST_SLACK:,.0f} m; found {shown(' '.join(taken))}"
            )
        self.slack = found.likely

    def _reversed(self) -> None:
        self.reversed = True


def _takers(option: str) -> str:
    return listed([f"`{verb}`" for verb, options in OPTIONS.items() if option in options], "or")


def read_contact(value: Any, system: System = "metric") -> Contact:
    """Read one line of a run; raise ContactError with every fault in it."""
    words = _words(value)
    verb = words.pop(0)
    if verb not in FORMS:
        right = suggestion(verb, FORMS, f"A contact is {', '.join(FORMS.values())}")
        raise ContactError(f"unknown contact {shown(verb)}. {right}")
    reading = _Reading(words, verb, system)
    target, sheave = (None, 1) if verb == "tail" else _target(reading)
    reading.options()
    if reading.faults:
        raise ContactError("; ".join(reading.faults))
    text = " ".join(str(value).split())
    return Contact(verb, target, sheave, reading.knot, reading.slack, reading.reversed, text=text)


def _words(value: Any) -> list[str]:
    if isinstance(value, dict) and value:
        raise ContactError(
            "found a mapping; a contact is one line of words without a colon, as in `tie beam`"
        )
    if not isinstance(value, str) or not value.strip():
        raise ContactError(f"found {shown(value)}; a contact is {', '.join(FORMS.values())}")
    if len(value) > LONGEST or hidden_character(value):
        raise ContactError(f"found {shown(value)}, which is no contact; it is {', '.join(FORMS.values())}")
    return value.split()


def _target(reading: _Reading) -> tuple[str | None, int]:
    if not reading.words:
        reading.faults.append(f"`{reading.verb}` stands alone; write {FORMS[reading.verb]}")
        return None, 1
    word = reading.words.pop(0)
    match = _TARGET.match(word)
    name, number = (match["name"], match["sheave"]) if match else (word, None)
    if not is_name(name):
        reading.faults.append(f"found {shown(word)} where a name is wanted; write {FORMS[reading.verb]}")
        return None, 1
    if number is None:
        return name, 1
    if reading.verb != "through":
        reading.faults.append(f"only `through` picks a sheave; write `{reading.verb} {name}`")
    elif not (number.isascii() and number.isdigit() and 1 <= int(number[:4]) <= MOST_SHEAVES):
        reading.faults.append(f"found {shown(word)}; sheaves count from 1, as in `through {name}.1`")
        return name, 1
    return name, int(number[:4]) if number.isdigit() else 1


def write_contact(contact: Contact, system: System = "metric") -> str:
    """Write a contact in the words that `read_contact` takes."""
    sheave = f".{contact.sheave}" if contact.verb == "through" and contact.sheave != 1 else ""
    words = [contact.verb, f"{contact.target}{sheave}" if contact.target else ""]
    if contact.knot:
        words += ["with", contact.knot]
    if contact.slack:
        words += ["slack", write_quantity(Range.exactly(contact.slack), "length", system)]
    if contact.reversed:
        words.append("reversed")
    return " ".join(filter(None, words))
