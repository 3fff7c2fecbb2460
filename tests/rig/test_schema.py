"""The JSON Schema agrees with the reader about the shape of a file."""

from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from ropewright.rig import rig_schema
from ropewright.rig.yamltext import load_yaml

FILES = Path(__file__).parent / "files"
EXAMPLES = Path(__file__).parents[2] / "examples"
GOOD = sorted([*(FILES / "valid").glob("*.yaml"), *EXAMPLES.glob("*.yaml")])
# Files at fault in their shape alone; what names refer to and what figures can be is the reader's to check.
BAD = sorted(
    path
    for path in (FILES / "invalid").glob("shape-*.yaml")
    if path.stem not in ("shape-about-ten-thousand",)
)
VALIDATOR = Draft202012Validator(rig_schema())


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(rig_schema())
    assert rig_schema()["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_files_that_read_agree_with_the_schema(path: Path) -> None:
    value = load_yaml(path.read_text("utf-8-sig")).value
    assert [error.message for error in VALIDATOR.iter_errors(value)] == []


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_files_of_a_wrong_shape_do_not(path: Path) -> None:
    assert not VALIDATOR.is_valid(load_yaml(path.read_text("utf-8")).value)


@pytest.mark.parametrize(
    "contact",
    ["tye a", "tie", "tie a wiht b", "through p.x", "tail tail", "tie a.b", "tie <script>", ""],
)
def test_contacts_of_a_wrong_shape_do_not(contact: str) -> None:
    rig = {"rig": "x", "ropes": {"m": {"is": "cord-8", "run": ["tie a", contact]}}}
    assert not VALIDATOR.is_valid(rig)


def test_every_key_is_described() -> None:
    schema = rig_schema()
    for part in [schema, *schema["$defs"].values()]:
        for name, entry in part["properties"].items():
            assert entry.get("description"), name
