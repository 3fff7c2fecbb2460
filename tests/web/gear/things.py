"""Gear for tests."""

from __future__ import annotations

from typing import Any

from ropewright.web.accounts.models import Account
from ropewright.web.gear.models import Item
from tests.web.things import Maker

__all__ = ["MAKERS", "make_item"]


def make_item(mark: str, **known: Any) -> Item:
    """An item with a mark, made where there is none: a locking carabiner, unless told otherwise."""
    found, _made = Item.objects.get_or_create(mark=mark, defaults={"type": "carabiner-locking", **known})
    return found


def _item(mark: Any, _author: Account) -> Any:
    return make_item(mark).pk


MAKERS: dict[str, Maker] = {"item": _item}
