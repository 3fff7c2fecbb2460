"""The demo's rigs: the shipped examples."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files

from ropewright.rig import read_rig
from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.models import Rig
from ropewright.web.workings.engine import catalogue

__all__ = ["example_texts", "fill"]


def example_texts(ending: str) -> Iterator[tuple[str, str]]:
    """Names and texts of the shipped files that end so."""
    root = files("ropewright") / "examples"
    for folder in (root, root / "procedures"):
        for path in sorted(folder.iterdir(), key=lambda p: p.name):
            if path.name.endswith(ending):
                yield path.name.removesuffix(ending), path.read_text(encoding="utf-8")


def fill() -> None:
    """Make a rig of each example; one of them with a history, so that versions can be seen."""
    author = Account.objects.order_by("pk").first()
    for slug, text in example_texts(".rig.yaml"):
        read = read_rig(text, catalogue())
        rig = Rig.objects.create(slug=slug)
        if slug == "haul-3-1":
            lighter = text.replace("mass: 100", "mass: 80")
            rig.save_version(lighter, author, note="first drawn", title=read.rig, about=read.about)
        rig.save_version(text, author, title=read.rig, about=read.about)
        if slug == "haul-3-1":
            another = Account.objects.filter(role=Role.INSTRUCTOR).first() or author
            far = text.replace("at: [6, 12]", "at: [9, 12]")
            rig.save_version(far, another, base=1, note="the crew further back, for the long deck")
