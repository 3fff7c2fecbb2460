"""The page on checking names every code, every key and every option."""

from __future__ import annotations

import re
from pathlib import Path

from ropewright.cli.commands.check import command
from ropewright.judgement.report import report
from ropewright.judgement.rules import CODES
from tests.judgement.texts import HAUL, LOWER, examined

PAGE = (Path(__file__).parents[1] / "docs" / "checking.md").read_text("utf-8")


def test_the_table_of_codes_is_the_programs() -> None:
    table = PAGE.split("## Codes of findings")[1]
    assert re.findall(r"^\| `([a-z-]+)` \| (.+) \|$", table, re.MULTILINE) == list(CODES.items())


def test_every_key_is_named() -> None:
    keys = {"file", "caution"}
    for data in (report(examined(HAUL)), report(examined(LOWER))):
        keys |= set(data) | set(data["parts"][0]) | set(data["findings"][0]) | set(data["holding"])
        keys |= set(data["haul"] or data["lower"]) | set(data["holding"]["single_failures"][0])
    told_in_words = {"strength_source", "kind", "line", "load_range_N"}
    assert not {key for key in keys - told_in_words if f"`{key}`" not in PAGE}


def test_every_option_is_named() -> None:
    options = {name for option in command.params for name in option.opts if name.startswith("--")}
    assert not {name for name in options if f"`{name}" not in PAGE}
