"""What is to be mended in a form that was refused: every fault with the field that it stands at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.forms import BaseForm, BaseFormSet

__all__ = ["Fault", "faults_of", "is_long"]

FEW = 5
"""Fields that one looks over at a glance, so that a list above them says nothing new."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: the field's words and its place in the page; neither where it is of the form as a whole."""

    field: str
    place: str
    text: str


def is_long(parts: Iterable[BaseForm | BaseFormSet[BaseForm]]) -> bool:
    """Whether a form of these parts has more fields than one looks over at a glance."""
    return any(isinstance(part, BaseFormSet) or len(part.visible_fields()) > FEW for part in parts)


def faults_of(parts: Iterable[BaseForm | BaseFormSet[BaseForm]]) -> list[Fault]:
    """Every fault, in the order of the fields. A set of rows may say what a row is called: ``row_words``."""
    return [fault for part in parts for fault in _of(part)]


def _of(part: BaseForm | BaseFormSet[BaseForm]) -> Iterator[Fault]:
    if isinstance(part, BaseForm):
        yield from _of_form(part)
        return
    yield from (Fault("", "", str(text)) for text in part.non_form_errors())
    for number, row in enumerate(part.forms, 1):
        yield from _of_form(row, f"{getattr(part, 'row_words', 'Row')} {number}")


def _of_form(form: BaseForm, row: str = "") -> Iterator[Fault]:
    if not form.errors:
        return
    yield from (Fault(row, "", str(text)) for text in form.non_field_errors())
    for field in form:
        words = ", ".join(filter(None, (row, str(field.label))))
        place = "" if field.is_hidden else field.id_for_label or str(field.auto_id)
        yield from (Fault(words, place, str(text)) for text in field.errors)
