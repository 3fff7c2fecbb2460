"""Words that every template knows: figures in both systems, marks of states, ages."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import template
from django.forms import BaseForm, BaseFormSet
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from ropewright.web.mending import faults_of, is_long
from ropewright.web.shown import shown

__all__ = ["register"]

register = template.Library()

# Every state has its own sign beside its word, so that no meaning hangs on a colour.
_SIGNS = {
    "within policy": ("●", "good"),
    "outside policy": ("✕", "stop"),
    "unusable": ("?", "stop"),
    "in service": ("●", "good"),
    "issued": ("→", "plain"),
    "front line": ("▲", "plain"),
    "due": ("!", "caution"),
    "quarantined": ("✕", "stop"),
    "retired": ("▪", "plain"),
    "fit for service": ("●", "good"),
    "fit, to be watched": ("!", "caution"),
    "quarantine": ("✕", "stop"),
    "retire": ("▪", "plain"),
    "proved": ("●", "good"),
    "not proved": ("✕", "stop"),
    "refused": ("✕", "stop"),
    "stop": ("✕", "stop"),
    "question": ("?", "caution"),
    "caution": ("!", "caution"),
    "note": ("–", "plain"),
    "ok": ("●", "good"),
    "current": ("●", "good"),
    "expired": ("✕", "stop"),
    "being worked out": ("…", "plain"),
}


@register.simple_tag
def mark(words: str, shown: str = "") -> SafeString:
    """A state as a mark: its sign and its words. ``shown`` replaces the words."""
    sign, kind = _SIGNS.get(words, ("–", "plain"))
    return format_html(
        '<span class="mark mark-{}"><span aria-hidden="true">{}</span> {}</span>', kind, sign, shown or words
    )


@register.filter
def force(value: float | None) -> str:
    """Newtons in both systems; what nobody stated is said to be so."""
    return "not stated" if value is None else shown(value, "force")


@register.filter
def long(value: float | None) -> str:
    """Metres in both systems."""
    return "not stated" if value is None else shown(value, "length")


@register.filter
def mass(value: float | None) -> str:
    """Kilograms in both systems."""
    return "not stated" if value is None else shown(value, "mass")


@register.filter
def drawn(svg: str) -> SafeString:
    """A picture that our own drawing made, put into the page as it is; never a file that somebody sent."""
    return SafeString(svg)


@register.filter
def when(moment: datetime | None) -> str:
    """A time by the team's clock."""
    return "" if moment is None else f"{timezone.localtime(moment):%Y-%m-%d %H:%M}"


@register.simple_tag(takes_context=True)
def link_with(context: dict[str, Any], **changed: Any) -> str:
    """The page's own query with some of its words changed; None takes one out."""
    query = context["request"].GET.copy()
    for key, value in changed.items():
        if value is None or value == "":
            query.pop(key, None)
        else:
            query[key] = str(value)
    return f"?{query.urlencode()}"


@register.inclusion_tag("faults.html")
def faults(*parts: BaseForm | BaseFormSet[BaseForm]) -> dict[str, Any]:
    """What is to be mended in a refused form, at its head: as a list with links where the form is long."""
    found, long = faults_of(parts), is_long(parts)
    return {"faults": found, "long": long, "listed": long and any(fault.field for fault in found)}
