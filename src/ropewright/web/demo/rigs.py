"""The demo's rigs: the shipped examples."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files

from ropewright.rig import read_rig
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
    """Make a rig of each example."""
    author = Account.objects.order_by("pk").first()
    for slug, text in example_texts(".rig.yaml"):
        read = read_rig(text, catalogue())
        Rig.objects.create(slug=slug).save_version(text, author, title=read.rig, about=read.about)
