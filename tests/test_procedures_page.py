"""The page on procedures names every form of a step, every kind of fault and every key."""

from __future__ import annotations

from pathlib import Path

from ropewright.procedure import KEYS, KINDS
from ropewright.procedure.forms import FORMS

PAGE = (Path(__file__).parents[1] / "docs" / "procedures.md").read_text("utf-8")


def test_every_form_of_a_step_is_on_the_page() -> None:
    assert [form.line for form in FORMS if f"| `{form.line}` | {form.meaning} |" not in PAGE] == []


def test_every_kind_of_fault_is_on_the_page() -> None:
    assert [kind for kind, meaning in KINDS.items() if f"| `{kind}` | {meaning} |" not in PAGE] == []


def test_every_key_of_the_file_is_on_the_page() -> None:
    assert [key for key in KEYS if f"`{key}`" not in PAGE] == []
