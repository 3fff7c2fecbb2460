"""The list of a thing's documents, for the page of that thing."""

from __future__ import annotations

from typing import Any

from django import template

from ropewright.web.documents.keeping import About
from ropewright.web.documents.listing import add_url, shown

__all__ = ["papers_of", "register"]

register = template.Library()


@register.inclusion_tag("documents/list.html", takes_context=True)
def papers_of(context: dict[str, Any], about: About) -> dict[str, Any]:
    """Everything that is kept about a thing, for whoever reads the page."""
    account = context["user"]
    papers = shown(about, account)
    return {"papers": papers, "reads": papers is not None, "add_url": add_url(about, account)}
