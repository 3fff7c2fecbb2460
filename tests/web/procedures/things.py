"""Procedures for tests: the shipped examples, with the rigs that they start from."""

from __future__ import annotations

from ropewright.web.accounts.models import Account
from ropewright.web.demo.rigs import example_texts
from ropewright.web.procedures.models import Procedure
from ropewright.web.procedures.source import RIG_ENDING, called_rig
from tests.web.rigs.things import make_rig
from tests.web.things import Maker

__all__ = ["MAKERS", "make_procedure"]


def make_procedure(slug: str, author: Account, text: str = "") -> Procedure:
    """A procedure of the shipped examples, or of a text; its rig stands in the library."""
    text = text or dict(example_texts(".procedure.yaml"))[slug]
    rig = called_rig(text).removesuffix(RIG_ENDING)
    if rig in dict(example_texts(RIG_ENDING)):
        make_rig(rig, author)
    procedure, made = Procedure.objects.get_or_create(slug=slug, defaults={"rig_slug": rig})
    if made:
        procedure.save_version(text, author, title=slug)
    procedure.refresh_from_db()
    return procedure


MAKERS: dict[str, Maker] = {"procedure": lambda slug, author: make_procedure(slug, author).slug}
