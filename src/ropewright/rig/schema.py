"""The JSON Schema of a rig file, for editors."""

from typing import Any

from ropewright.rig.document import Document

__all__ = ["rig_schema"]


def rig_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of version 1 of the rig file.

    It knows the shape: keys, kinds of value, the words of a run. Names, types and figures are for the
    reader to check.
    """
    schema = Document.model_json_schema(by_alias=True)
    schema["required"] = ["rig", "ropes"]
    schema["properties"]["ropes"]["minProperties"] = 1
    # A section whose every line is commented out reads as nothing.
    for name in ("points", "loads", "crews", "gear", "assume", "policy"):
        section = schema["properties"][name]
        section["type"] = ["object", "null"]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Rig file, version 1",
        **_untitled(schema),
    }


def _untitled(schema: Any) -> Any:
    """Take out the titles that only repeat a key, and defaults that say that nothing is written."""
    if isinstance(schema, list):
        return [_untitled(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    kept = schema.items()
    if "type" in schema or "anyOf" in schema or "enum" in schema or "$ref" in schema:
        kept = {
            key: value for key, value in kept if key != "title" and (key, value) != ("default", None)
        }.items()
    return {key: _untitled(value) for key, value in kept}
