"""The JSON Schema of a procedure file, for editors."""

from __future__ import annotations

from typing import Any

from ropewright.rig import POLICY_KEYS

from .forms import FORMS, step_pattern
from .reader import KEYS

__all__ = ["procedure_schema"]

_NAME = r"^\w[\w-]*$"
_WORDS = {"type": "string", "minLength": 1, "maxLength": 2000}
_FIGURE = {"anyOf": [{"type": "number"}, {"type": "string", "pattern": r"\d"}]}


def procedure_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of version 1 of the procedure file.

    It knows the shape: keys, and how a step may begin. The rest of a step is for the reader.
    """
    shapes: dict[str, dict[str, Any]] = {
        "procedure": {"type": "string", "minLength": 1, "maxLength": 2000},
        "about": _WORDS,
        "from": {"type": "string", "minLength": 1},
        "units": {"enum": ["metric", "us"]},
        "people": _named({"role": _WORDS, "at": _WORDS}),
        "stands": _map({"type": "string"}),
        "gear": _named({"is": _WORDS, "via": {"type": "array", "items": _WORDS}, "about": _WORDS}, "is"),
        "ropes": _named({"is": _WORDS, "length": _FIGURE, "about": _WORDS}, "is"),
        "words": _map(_WORDS),
        "given": _WORDS,
        "level": _WORDS,
        "standard": _WORDS,
        "minutes": {"type": "integer", "minimum": 1, "maximum": 1000},
        "attempts": {"type": "integer", "minimum": 1, "maximum": 1000},
        "stop-when": {"type": "array", "items": _WORDS},
        "assume": {"type": ["object", "null"]},
        "policy": {
            "type": ["object", "null"],
            "additionalProperties": False,
            "properties": {name: {"description": key.about} for name, key in POLICY_KEYS.items()},
        },
        "steps": _steps(),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Procedure file, version 1",
        "type": "object",
        "additionalProperties": False,
        "required": ["procedure", "from", "steps"],
        "properties": {key: {**shapes[key], "description": KEYS[key]} for key in KEYS},
    }


def _steps() -> dict[str, Any]:
    line = {
        "type": "string",
        "pattern": step_pattern(),
        "description": " | ".join(dict.fromkeys(form.line for form in FORMS)),
    }
    return {
        "type": "array",
        "minItems": 1,
        "items": {
            "type": "object",
            "minProperties": 1,
            "maxProperties": 1,
            "propertyNames": {"pattern": _NAME},
            "additionalProperties": line,
        },
    }


def _map(value: dict[str, Any]) -> dict[str, Any]:
    return {"type": ["object", "null"], "propertyNames": {"pattern": _NAME}, "additionalProperties": value}


def _named(keys: dict[str, Any], *required: str) -> dict[str, Any]:
    part = {"type": "object", "additionalProperties": False, "properties": keys, "required": list(required)}
    return _map(part)
