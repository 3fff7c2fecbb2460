"""Things that addresses are asked for: a rig, a procedure, an item, a person; made where they are needed.

A room registers its maker under the keyword that its addresses take (see `MAKERS`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ropewright.web.accounts.models import Account
from ropewright.web.demo.rigs import example_texts
from ropewright.web.rigs.models import Rig

__all__ = ["MAKERS", "make_rig", "make_things"]


def make_rig(slug: str, author: Account) -> Rig:
    """A rig of the shipped examples."""
    text = dict(example_texts(".rig.yaml"))[slug]
    rig, made = Rig.objects.get_or_create(slug=slug)
    if made:
        rig.save_version(text, author, title=slug)
    rig.refresh_from_db()
    return rig


def _slug(slug: str, author: Account) -> str:
    return make_rig(slug, author).slug


MAKERS: dict[str, Callable[[Any, Account], Any]] = {"slug": _slug}
"""For each keyword of an address: makes the thing and gives what the address is called with."""


def make_things(kwargs: dict[str, Any], author: Account) -> dict[str, Any]:
    """Make what an address needs; give the keywords that it is then called with."""
    return {key: MAKERS[key](value, author) if key in MAKERS else value for key, value in kwargs.items()}
