"""What an act of the tables comes to: a text that could be used still can be, or it is told what it lacks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from ropewright.rig import RigFileError
from ropewright.rig.draft import Found
from ropewright.rig.editing import EditError, Meant, check_meaning
from ropewright.rig.editing.heading import HEADING
from ropewright.rig.editing.motions import MOTIONS
from ropewright.rig.editing.words import FIELDS
from ropewright.rig.reader import Reading, read_so_far
from ropewright.rig.yamltext import Path
from ropewright.web.rigs.done import Done
from ropewright.web.workings.engine import catalogue

__all__ = ["UnusableError", "checked", "place_words"]

_OF_A_RUN = ("add contact", "change contact", "contact up", "contact down", "remove contact", "remove part")


class UnusableError(EditError):
    """An act after which the text could not be used. `field`: the field that is to blame, "" for none."""

    def __init__(self, words: str, field: str) -> None:
        self.field = field
        super().__init__(words)


def checked(text: str, done: Done, asked: Mapping[str, str]) -> Done:
    """What was done, once it means what was meant and can be used if the text could before.

    What else may still mend, as a load that no rope touches yet, is no hindrance and is told: a rig is built
    one act after the other. Errors: EditError, UnusableError.
    """
    if done.text == text:
        return done
    before, after = _read(text), _read(done.text)
    if before.rig and after.rig:
        check_meaning(before.rig, after.rig, _meant(asked))
    if any(each.mends == "itself" for each in before.found):
        return done
    _refuse_unusable(before, after, asked)
    new = [each for each in after.found if each not in before.found]
    if not new:
        return done
    lacks = f"{place_words(new[0].path)}: {new[0].text}"
    return replace(done, told=f"{done.told} The rig can't be worked out yet. {lacks[:1].upper()}{lacks[1:]}.")


@lru_cache(maxsize=32)
def _read(text: str) -> Reading:
    try:
        return read_so_far(text, catalogue())
    except RigFileError as error:
        raise EditError(error.faults[0].text) from None


def _meant(asked: Mapping[str, str]) -> Meant:
    if asked.get("act") == "change part":
        return Meant(renamed=(asked.get("part", ""), asked.get("name", asked.get("part", "")).strip()))
    if asked.get("act", "").endswith(" figure"):
        return Meant(figure=(asked.get("of", ""), asked.get("figure", "")))
    return Meant()


def _refuse_unusable(before: Reading, after: Reading, asked: Mapping[str, str]) -> None:
    stops = [each for each in after.found if each.mends == "itself"]
    runs = [each for each in after.found if each.mends == "run"]
    had = sum(each.mends == "run" for each in before.found)
    if not stops and asked.get("act") not in _OF_A_RUN and len(runs) > had:
        stops = [each for each in runs if each not in before.found]
    if stops:
        told = [_told(each, asked) for each in stops]
        field, words = next((each for each in told if each[0]), told[0])
        raise UnusableError(f"{words}. Nothing was changed", field)


def _told(found: Found, asked: Mapping[str, str]) -> tuple[str, str]:
    """The field of the form that a fault speaks of, "" for none, and the sentence."""
    field, label = _field(found.path, asked)
    return field, f"{label or place_words(found.path)}: {found.text}"


def _field(path: Path, asked: Mapping[str, str]) -> tuple[str, str]:
    """The field in which what stands at a path was typed, and its label; nothing where it was not here."""
    top, *rest = map(str, path or ("",))
    own = (asked.get("name", "").strip(), asked.get("part"))
    if top in FIELDS and len(rest) > 1 and rest[0] in own:
        labels = {each.key: each.label for each in FIELDS[top]}
        return (f"f-{rest[1]}", labels[rest[1]]) if rest[1] in labels else ("", "")
    if asked.get("act") == "change heading":
        return next(((f"f-{top}", each.label) for each in HEADING if each.key == top), ("", ""))
    if top in MOTIONS and rest and asked.get("motion") == top:
        far = "f-far" if "f-far" in asked and rest[0] != "load" else f"f-{rest[0]}"
        return far, next((each.label for each in MOTIONS[top] if each.key == rest[0]), rest[0])
    if top == "assume" and rest[:2] == [asked.get("of"), asked.get("figure")]:
        return "value", rest[1]
    if top == "policy" and rest[:1] == [asked.get("rule")]:
        return "value", rest[0]
    return "", ""


def place_words(path: Path) -> str:
    """Where something stands, as the tables list it: `main, contact 6`, `climber, mass`."""
    if not path:
        return "the rig"
    top, *rest = path
    if top == "ropes" and rest[1:2] == ["run"]:
        return f"{rest[0]}, contact {int(rest[2]) + 1}" if len(rest) > 2 else str(rest[0])
    if top == "assume":
        return ", ".join(["figures of its own", *map(str, rest)])
    if top == "policy":
        return ", ".join(["rules of its own", *map(str, rest)])
    words = rest if top in FIELDS and rest else path
    return ", ".join(f"{word + 1}" if isinstance(word, int) else word for word in words)
