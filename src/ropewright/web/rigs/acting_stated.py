"""What the tables ask for beside the parts: motions, figures and rules stated, changed and removed."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.http import QueryDict

from ropewright.rig import editing
from ropewright.rig.editing.motions import MOTIONS
from ropewright.rig.editing.page import open_page
from ropewright.rig.editing.stated import rule_rows
from ropewright.web.rigs.done import Done
from ropewright.web.rigs.table_rules import rule_read, rule_told
from ropewright.web.workings.engine import catalogue

__all__ = ["ACTS_STATED"]


def _motion(asked: QueryDict) -> tuple[str, dict[str, str]]:
    """Which motion is asked for and its fields; a new one's way is told before it is known which it is."""
    word = asked.get("motion", "")
    keys = [each.key for each in MOTIONS.get(word, ())]
    values = {key: asked.get(f"f-{key}", "") for key in keys if f"f-{key}" in asked}
    if keys and "f-far" in asked:
        values[keys[1]] = asked.get("f-far", "")
    return word, values


def _add_motion(text: str, asked: QueryDict) -> Done:
    word, values = _motion(asked)
    return Done(editing.add_motion(text, word, values), f"{word} is stated.", f"motion-{word}")


def _change_motion(text: str, asked: QueryDict) -> Done:
    word, values = _motion(asked)
    new = editing.change_motion(text, word, values)
    return Done(new, _changed(word, text, new), f"motion-{word}")


def _remove_motion(text: str, asked: QueryDict) -> Done:
    word = asked.get("motion", "")
    return Done(editing.remove_motion(text, word), f"{word} is removed.")


def _figure(asked: QueryDict) -> tuple[str, str, str]:
    return asked.get("of", ""), asked.get("figure", ""), asked.get("value", "")


def _add_figure(text: str, asked: QueryDict) -> Done:
    name, key, value = _figure(asked)
    new = editing.add_figure(text, name, key, value, catalogue())
    return Done(new, f"{key} of {name} is stated.", f"figure-{name}-{key}")


def _change_figure(text: str, asked: QueryDict) -> Done:
    name, key, value = _figure(asked)
    new = editing.change_figure(text, name, key, value, catalogue())
    return Done(new, _changed(f"{key} of {name}", text, new), f"figure-{name}-{key}")


def _remove_figure(text: str, asked: QueryDict) -> Done:
    name, key, _ = _figure(asked)
    return Done(editing.remove_figure(text, name, key, catalogue()), f"{key} of {name} is removed.")


def _add_rule(text: str, asked: QueryDict) -> Done:
    key = asked.get("rule", "")
    new = editing.add_rule(text, key, asked.get("value", ""))
    return Done(new, f"{key} is stated.{_beside_the_teams(new, key)}", f"rule-{key}")


def _change_rule(text: str, asked: QueryDict) -> Done:
    key = asked.get("rule", "")
    new = editing.change_rule(text, key, asked.get("value", ""))
    return Done(new, f"{_changed(key, text, new)}{_beside_the_teams(new, key)}", f"rule-{key}")


def _remove_rule(text: str, asked: QueryDict) -> Done:
    key = asked.get("rule", "")
    return Done(editing.remove_rule(text, key), f"{key} is removed; the team's rule holds.")


def _changed(what: str, before: str, after: str) -> str:
    return f"{what} is changed." if after != before else f"{what} is as it was."


def _beside_the_teams(text: str, key: str) -> str:
    """How a rule that is stated stands to the team's; nothing where it still can't be read."""
    page = open_page(text)
    row = next(row for row in rule_rows(page) if row.key == key)
    found = rule_told(key, rule_read(row, page.system))
    return f" {found.said}." if found else ""


ACTS_STATED: Mapping[str, Callable[[str, QueryDict], Done]] = {
    "add motion": _add_motion,
    "change motion": _change_motion,
    "remove motion": _remove_motion,
    "add figure": _add_figure,
    "change figure": _change_figure,
    "remove figure": _remove_figure,
    "add rule": _add_rule,
    "change rule": _change_rule,
    "remove rule": _remove_rule,
}
