"""Long lists in forms, written in one go: a template for each choice takes longer than all of the page."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from html import escape
from typing import Any

from django import forms
from django.forms.renderers import DjangoTemplates
from django.forms.utils import flatatt
from django.utils.choices import BaseChoiceIterator
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

__all__ = ["QuickRenderer", "QuickSelect", "QuickTicks", "Ready"]

_INPUTS = frozenset(
    f"django/forms/widgets/{kind}.html" for kind in ("text", "number", "hidden", "checkbox", "date", "input")
)


class Ready(BaseChoiceIterator):
    """Choices in their last form, pairs of key and label. A list of them is looked through for each field."""

    def __init__(self, *pairs: tuple[Any, str]) -> None:
        self.pairs = pairs

    def __iter__(self) -> Iterator[tuple[Any, str]]:
        """Each pair."""
        return iter(self.pairs)

    def __deepcopy__(self, _memo: object) -> Ready:
        """Itself: nothing in it changes."""
        return self


def _markup(words: object) -> str:
    """Words as they stand in markup; what is marked as markup already stays."""
    return str(words) if isinstance(words, SafeString) else escape(str(words))


@lru_cache(maxsize=8192, typed=True)  # words and markup that read alike are not alike
def _option(value: str, label: str, chosen: bool) -> str:
    return f'<option value="{_markup(value)}"{" selected" if chosen else ""}>{_markup(label)}</option>'


class QuickSelect(forms.Select):
    """One of many choices."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:  # noqa: ARG002
        """The list, with what is chosen."""
        chosen = "" if value is None else str(value)
        keys = (("" if key is None else str(key), str(label)) for key, label in self.choices)
        options = mark_safe("".join(_option(key, label, key == chosen) for key, label in keys))
        frame = flatatt({"name": name} | self.build_attrs(self.attrs, attrs))
        return format_html("<select{}>{}</select>", frame, options)


class QuickTicks(forms.CheckboxSelectMultiple):
    """Any of many choices, each with a box to tick."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:  # noqa: ARG002
        """The boxes in a list."""
        own = self.build_attrs(self.attrs, attrs)
        frame = own.pop("id", f"id_{name}")
        chosen = {str(one) for one in (value or ())}
        rest = flatatt(own)
        boxes = []
        for n, (key, label) in enumerate(self.choices):
            at, tick = _markup(f"{frame}_{n}"), " checked" if str(key) in chosen else ""
            boxes.append(
                f'<div><label for="{at}"><input type="checkbox" name="{_markup(name)}" value="{_markup(key)}"'
                f' id="{at}"{rest}{tick}> {_markup(label)}</label></div>'
            )
        return format_html('<div id="{}">{}</div>', frame, mark_safe("".join(boxes)))


class QuickRenderer(DjangoTemplates):
    """Plain inputs written in one go, everything else by its template."""

    def render(self, template_name: str, context: Any, request: Any = None) -> str:
        """The markup of a widget."""
        if template_name not in _INPUTS:
            return super().render(template_name, context, request)
        widget = context["widget"]
        value = "" if widget["value"] is None else f' value="{_markup(widget["value"])}"'
        attrs = "".join(f" {key}" if v is True else f' {key}="{_markup(v)}"' for key, v in _kept(widget))
        frame = f'type="{_markup(widget["type"])}" name="{_markup(widget["name"])}"'
        return mark_safe(f"<input {frame}{value}{attrs}>")


def _kept(widget: Any) -> list[tuple[str, Any]]:
    return [(key, value) for key, value in widget["attrs"].items() if value is not False]
