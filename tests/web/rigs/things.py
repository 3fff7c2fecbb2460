"""Rigs for tests: the shipped examples."""

from __future__ import annotations

from ropewright.web.accounts.models import Account
from ropewright.web.demo.rigs import example_texts
from ropewright.web.rigs.models import Rig
from tests.web.things import Maker

__all__ = ["MAKERS", "make_rig"]


def make_rig(slug: str, author: Account) -> Rig:
    """A rig of the shipped examples."""
    text = dict(example_texts(".rig.yaml"))[slug]
    rig, made = Rig.objects.get_or_create(slug=slug)
    if made:
        rig.save_version(text, author, title=slug)
    rig.refresh_from_db()
    return rig


MAKERS: dict[str, Maker] = {"rig": lambda slug, author: make_rig(slug, author).slug}
