"""The names of a rig's parts: where each is used, and giving one another name everywhere at once."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from ropewright.catalogue import Catalogue
from ropewright.rig.document import NOUNS, SECTIONS
from ropewright.rig.editing.page import EditError, Page, Splice
from ropewright.rig.editing.splices import new_key, new_value
from ropewright.rig.editing.words import in_words
from ropewright.rig.faults import shown
from ropewright.rig.fields import is_name
from ropewright.rig.yamltext import Path

__all__ = [
    "Use",
    "check_apart",
    "check_free",
    "names",
    "part_at",
    "renamed",
    "section_of",
    "target_of",
    "uses",
]

Kind = Literal["contact", "clipped", "edge", "motion", "figures"]
_TARGET = re.compile(r"(\s*(?:tie|grip|through|over|hand)\s+)([^\s.]+)")


@dataclass(frozen=True, slots=True)
class Use:
    """A place that names a part: how, where, and in words for people who look at the tables."""

    kind: Kind
    path: Path
    text: str


def names(page: Page) -> dict[str, str]:
    """Every name of a part with its section, in the order of the file."""
    return {str(name): section for section in SECTIONS for name in _section(page, section)}


def _section(page: Page, section: str) -> dict[str, Any]:
    found = page.value.get(section)
    return found if isinstance(found, dict) else {}


def section_of(page: Page, name: str) -> str:
    """The section that a part stands in. Errors: EditError."""
    found = names(page).get(name)
    if found is None:
        raise EditError(f"nothing is called {shown(name)} here; it may have been renamed or removed")
    return found


def part_at(page: Page, section: str, name: str) -> dict[str, Any]:
    """A part's keys and values. Errors: EditError."""
    part = _section(page, section).get(name)
    if section not in SECTIONS or not isinstance(part, dict):
        raise EditError(f"{shown(name)} is not under {section}; it may have been renamed or removed")
    return part


def target_of(words: Any) -> str | None:
    """The name in a contact's words."""
    found = _TARGET.match(words) if isinstance(words, str) else None
    return found[2] if found else None


def uses(page: Page, name: str) -> list[Use]:
    """Every place that names a part, in the order of the file."""
    found = [*_in_gear(page, name), *_in_runs(page, name), *_in_motions(page, name)]
    if name in _section(page, "assume"):
        found.append(Use("figures", ("assume", name), f"figures of its own: {name}"))
    return found


def _in_gear(page: Page, name: str) -> Iterator[Use]:
    for gear, part in _section(page, "gear").items():
        if not isinstance(part, dict):
            continue
        at = part.get("at")
        if isinstance(at, str | int) and not isinstance(at, bool) and str(at) == name:
            yield Use("clipped", ("gear", gear, "at"), f"`{gear}` is clipped to it")
        over = part.get("over")
        for index, edge in enumerate(over if isinstance(over, list) else ()):
            if edge == name:
                yield Use("edge", ("gear", gear, "over", index), f"what joins `{gear}` lies over it")


def _in_runs(page: Page, name: str) -> Iterator[Use]:
    for rope, part in _section(page, "ropes").items():
        run = part.get("run") if isinstance(part, dict) else None
        for index, words in enumerate(run if isinstance(run, list) else ()):
            if target_of(words) == name:
                path: Path = ("ropes", rope, "run", index)
                text = f"{rope}, contact {index + 1}: `{' '.join(words.split())}`"
                yield Use("contact", path, text)


def _in_motions(page: Page, name: str) -> Iterator[Use]:
    for word in ("haul", "lower"):
        motion = page.value.get(word)
        load = motion.get("load") if isinstance(motion, dict) else None
        if isinstance(load, str | int) and not isinstance(load, bool) and str(load) == name:
            yield Use("motion", (word, "load"), f"`{word}` moves it")


def check_free(page: Page, name: str, known: Catalogue) -> None:
    """Make sure that a new part may have a name, which no type of the catalogue has. Errors: EditError."""
    if not is_name(name):
        rule = "a name is one word of at most 60 letters, digits, - and _, as in `edge-line`"
        raise EditError(f"found {shown(name)} as a name; {rule}")
    section = names(page).get(name)
    if section is not None:
        raise EditError(f"`{name}` is {NOUNS[section]} already; names are told apart across the whole rig")
    if name in known:
        right = f"figures of the type would count for the part as well. Take another name, as in `{name}-1`"
        raise EditError(f"`{name}` is a type of the catalogue; {right}")
    if name in _section(page, "assume"):
        raise EditError(f"figures of a type `{name}` are stated here already; take another name")


def check_apart(page: Page, name: str, known: Catalogue) -> None:
    """Make sure that the figures stated of a part are not those of a type as well. Errors: EditError."""
    if name in names(page) and name in known and name in _section(page, "assume"):
        right = "In the text, give the part another name and say under `assume` whom they are meant for"
        raise EditError(
            f"`{name}` is the name of a part and of a type of the catalogue, and the figures stated of it "
            f"count for both, so nothing was changed. {right}"
        )


def renamed(page: Page, name: str, new: str, known: Catalogue) -> str:
    """The text with a part called otherwise, wherever it is named. Errors: EditError."""
    section = section_of(page, name)
    check_free(page, new, known)
    check_apart(page, name, known)
    whole = copy.deepcopy(page.value)
    whole[section] = _with_key(whole[section], name, new)
    splices = [new_key(page, (section, name), in_words(new))]
    for use in uses(page, name):
        path = tuple(new if use.path[0] == section and step == name else step for step in use.path[:2])
        path = (*path, *use.path[2:])
        if use.kind == "figures":
            splices.append(new_key(page, use.path, in_words(new)))
            whole["assume"] = _with_key(whole["assume"], name, new)
        else:
            splices.append(_new_name(page, use, new, whole, path))
    return page.changed(splices, whole)


def _new_name(page: Page, use: Use, new: str, whole: dict[str, Any], path: Path) -> Splice:
    """The splice that puts another name where one is used; puts it into the plain value too."""
    value: Any = new
    if use.kind == "contact":
        before = page.value
        for step in use.path:
            before = before[step]  # type: ignore[index]
        value = _TARGET.sub(lambda found: found[1] + new, str(before), count=1)
    at: Any = whole
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    return new_value(page, use.path, in_words(str(value)))


def _with_key(entries: dict[str, Any], name: str, new: str) -> dict[str, Any]:
    return {new if key == name else key: value for key, value in entries.items()}
