"""Long lists in forms, written in one go: a template for each choice takes longer than all of the page."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from django import forms
from django.forms.renderers import DjangoTemplates
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

__all__ = ["QuickRenderer", "QuickSelect", "QuickTicks"]

_INPUTS = frozenset(
    f"django/forms/widgets/{kind}.html" for kind in ("text", "number", "hidden", "checkbox", "date", "input")
)
_SELECTED, _CHECKED = mark_safe(" selected"), mark_safe(" checked")


@lru_cache(maxsize=8192)
def _option(value: str, label: str, chosen: bool) -> SafeString:
    return format_html('<option value="{}"{}>{}</option>', value, _SELECTED if chosen else "", label)


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
        boxes = [
            format_html(
                '<div><label for="{0}_{1}"><input type="checkbox" name="{2}" value="{3}" id="{0}_{1}"{4}{5}> '
                "{6}</label></div>",
                frame,
                n,
                name,
                key,
                rest,
                _CHECKED if str(key) in chosen else "",
                label,
            )
            for n, (key, label) in enumerate(self.choices)
        ]
        return format_html('<div id="{}">{}</div>', frame, mark_safe("".join(boxes)))


class QuickRenderer(DjangoTemplates):
    """Plain inputs written in one go, everything else by its template."""

    def render(self, template_name: str, context: Any, request: Any = None) -> str:
        """The markup of a widget."""
        if template_name not in _INPUTS:
            return super().render(template_name, context, request)
        widget = context["widget"]
        value = "" if widget["value"] is None else format_html(' value="{}"', str(widget["value"]))
        attrs = format_html_join(
            "",
            " {}{}",
            ((key, "" if v is True else format_html('="{}"', str(v))) for key, v in _kept(widget)),
        )
        return format_html('<input type="{}" name="{}"{}{}>', widget["type"], widget["name"], value, attrs)


def _kept(widget: Any) -> list[tuple[str, Any]]:
    return [(key, value) for key, value in widget["attrs"].items() if value is not False]
