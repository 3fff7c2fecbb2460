"""Making a procedure of a text: its name, its first version, the rig that it starts from."""

from __future__ import annotations

import json
from typing import Any

from django.db import transaction

from ropewright.rig import RigFileError
from ropewright.rig.yamltext import load_yaml
from ropewright.web.accounts.models import Account
from ropewright.web.procedures.models import Procedure
from ropewright.web.procedures.names import free_name
from ropewright.web.procedures.source import RIG_ENDING, called_rig

__all__ = ["begin", "heads", "titled"]


def heads(text: str) -> tuple[str, str, str]:
    """Title, line and the slug of the rig, as far as a text says them."""
    try:
        value: Any = load_yaml(text, "procedure file").value
    except RigFileError:
        value = None
    found = value if isinstance(value, dict) else {}
    title, about = (found[key] if isinstance(found.get(key), str) else "" for key in ("procedure", "about"))
    return title, about, called_rig(text).removesuffix(RIG_ENDING)[:80]


def begin(text: str, author: Account, *, note: str = "") -> Procedure:
    """Make a procedure with its first version, named after its title."""
    title, about, rig = heads(text)
    with transaction.atomic():
        made = Procedure.objects.create(slug=free_name(title), rig_slug=rig)
        made.save_version(text, author, note=note, title=title, about=about)
    return made


def titled(text: str, title: str) -> str:
    """A text that was written by the search, under another title: its first line is that."""
    _, _, rest = text.partition("\n")
    return f"procedure: {json.dumps(title, ensure_ascii=False)}\n{rest}"
