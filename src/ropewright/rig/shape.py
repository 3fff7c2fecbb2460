"""From plain values to a document of the right shape, with every fault told and set aside."""

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from ropewright.quantity import System
from ropewright.rig.document import (
    NOUNS,
    SECTIONS,
    UNREAD,
    CrewIn,
    Document,
    GearIn,
    HaulIn,
    LoadIn,
    LowerIn,
    PlaceIn,
    RopeIn,
    keys_of,
)  # fmt: skip
from ropewright.rig.draft import Found
from ropewright.rig.faults import listed, nearest, shown
from ropewright.rig.yamltext import Path

__all__ = ["motion_faults", "part_faults", "read_shape"]

_MODELS: dict[str, type[BaseModel]] = {
    "points": PlaceIn, "loads": LoadIn, "crews": CrewIn, "gear": GearIn, "ropes": RopeIn,
    "haul": HaulIn, "lower": LowerIn,
}  # fmt: skip
_STAND_IN = "without a title"


def read_shape(value: dict[str, Any], system: System, refused: set[Path]) -> tuple[Document, list[Found]]:
    """Read a document without what is at fault or was refused by the loader, and say what is wrong."""
    # A section whose every line is commented out reads as nothing and is as good as left out.
    whole = {key: part for key, part in value.items() if part is not None or key not in Document.model_fields}
    faults: list[Found] = []
    if not whole.get("ropes") and not refused:  # what was refused may be where the ropes stand
        path: Path = ("ropes",) if "ropes" in value else ()
        faults.append(Found(path, "a rig has at least one rope under `ropes`", mends="more"))
    for path in refused:
        _leave_out(whole, path)
    try:
        return Document.model_validate(whole, context={"system": system}), faults
    except ValidationError as error:
        details = error.errors(include_url=False)
    faults += [_told(detail) for detail in details if not _within(detail["loc"], refused)]
    for detail in details:
        _leave_out(whole, detail["loc"])
    whole.setdefault("rig", _STAND_IN)
    return Document.model_validate(whole, context={"system": system}), faults


def part_faults(section: str, name: str, part: dict[str, Any], system: System) -> list[Found]:
    """Say what is wrong with the shape of one part, each thing with its path in the document."""
    return _faults((section, name), part, system)


def motion_faults(word: str, motion: dict[str, Any], system: System) -> list[Found]:
    """Say the same of a `haul` or a `lower`."""
    return _faults((word,), motion, system)


def _faults(at: Path, part: dict[str, Any], system: System) -> list[Found]:
    try:
        _MODELS[str(at[0])].model_validate(part, context={"system": system})
    except ValidationError as error:
        details = error.errors(include_url=False)
        return [_told({**detail, "loc": (*at, *detail["loc"])}) for detail in details]
    return []


def _within(path: Path, refused: set[Path]) -> bool:
    return any(path[: len(other)] == other for other in refused if other)


def _leave_out(whole: dict[str, Any], path: Path) -> None:
    """Take out the smallest thing that can be missing: a contact, a key, a named part, else a section."""
    if not path or path[0] not in whole:
        return
    top = str(path[0])
    section = whole[top]
    if top not in SECTIONS or len(path) == 1 or not isinstance(section, dict):
        del whole[top]
    elif path[1] in section:
        part = _without(_MODELS[top], section[path[1]], path[2:])
        others = {name: other for name, other in section.items() if name != path[1]}
        whole[top] = others if part is None else {**others, path[1]: part}


def _without(model: type[BaseModel], part: Any, path: Path) -> dict[str, Any] | None:
    """Give a part without what stands at a path inside it, or None where it is nothing without that."""
    if not isinstance(part, dict) or not path or path[0] not in part:
        return part if path and isinstance(part, dict) and path[0] not in _needed(model) else None
    key, value = str(path[0]), part[path[0]]
    if key == "run" and len(path) > 1 and isinstance(value, list):
        return {**part, key: [UNREAD if index == path[1] else item for index, item in enumerate(value)]}
    # Gear whose place can't be read is not gear without a place, so the part goes with it.
    needed = key == "at" or key in _needed(model)
    return None if needed else {name: other for name, other in part.items() if name != key}


def _needed(model: type[BaseModel]) -> set[str]:
    return {field.alias or name for name, field in model.model_fields.items() if field.is_required()}


def _told(detail: ErrorDetails) -> Found:
    """Turn the document model's error into a sentence and the place where it stands."""
    path: Path = detail["loc"]
    kind, found = detail["type"], detail["input"]
    if kind == "stated":
        return Found(path, detail["ctx"]["text"])
    if kind == "missing":
        what = _keys(path[:-1]).get(str(path[-1]), "")
        text = (
            f"`{path[-1]}` is missing: {what}"
            if len(path) > 1
            else f"`{path[-1]}:` is missing at the top: {what}"
        )
        return Found(path[:-1], text, key=True)
    if kind == "extra_forbidden":
        return Found(path, _unknown_key(path), key=True)
    if kind in ("model_type", "dict_type"):
        return Found(path, f"found {shown(found)}; {_wanted(path)}")
    if kind == "list_type":
        return Found(path, f"found {shown(found)}; write a list, one contact in a line, each behind `- `")
    return Found(path, f"found {shown(found)}, which does not belong here")


def _keys(path: Path) -> Mapping[str, str]:
    if not path:
        return keys_of(Document)
    model = _MODELS.get(str(path[0]))
    return keys_of(model) if model else {}


def _unknown_key(path: Path) -> str:
    word, keys = str(path[-1]), _keys(path[:-1])
    close = nearest(word, keys)
    noun = NOUNS.get(str(path[0]), f"`{path[0]}`") if len(path) > 1 else "a rig file"
    return f"unknown key {shown(word)}. " + (
        f"Did you mean `{close}`?" if close else f"{noun.capitalize()} takes {listed(keys)}"
    )


def _wanted(path: Path) -> str:
    if len(path) == 2 and path[0] in NOUNS:
        return f"{NOUNS[str(path[0])]} is written {{{', '.join(f'{key}: …' for key in _keys(path))}}}"
    if path and path[0] in ("haul", "lower"):
        return f"write {{{', '.join(f'{key}: …' for key in _keys(path))}}}"
    return "write names, each with what it is, one in a line"
