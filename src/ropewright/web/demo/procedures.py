"""The demo's procedures: the shipped examples."""

from __future__ import annotations

from ropewright.rig.yamltext import load_yaml
from ropewright.web.accounts.models import Account
from ropewright.web.demo.rigs import example_texts
from ropewright.web.procedures.models import Procedure

__all__ = ["fill"]


def fill() -> None:
    """Make a procedure of each example."""
    author = Account.objects.order_by("pk").first()
    for slug, text in example_texts(".procedure.yaml"):
        value = load_yaml(text, slug).value
        made = Procedure.objects.create(slug=slug, rig_slug=str(value["from"]).removesuffix(".rig.yaml"))
        made.save_version(text, author, title=str(value["procedure"]), about=str(value.get("about", "")))
