"""Rules of a rig's own: stated under `policy:` in its text, changed and taken out."""

from __future__ import annotations

from typing import Any

from ropewright.quantity import QuantityError
from ropewright.rig.editing.page import EditError, Page, open_page
from ropewright.rig.editing.sections import add_section, without_trace
from ropewright.rig.editing.splices import new_entry, new_value
from ropewright.rig.editing.words import Field, typed, written
from ropewright.rig.faults import shown, suggestion
from ropewright.rig.overrides import read_rule
from ropewright.rig.policy import POLICY_KEYS

__all__ = ["YES_NO", "add_rule", "change_rule", "remove_rule"]

YES_NO = {"yes": "true", "true": "true", "no": "false", "false": "false"}
"""How yes and no may be typed, and how each is written."""


def add_rule(text: str, key: str, rule: str) -> str:
    """State a rule that the rig states none of so far. Errors: EditError."""
    page = open_page(text)
    if key in _rules(page):
        raise EditError(f"`{key}` is stated already, among the rules; change it there")
    flow, value = _written(page, key, rule)
    whole = {**page.value, "policy": {**_rules(page), key: value}}
    if "policy" not in page.value:
        block = f"policy:\n  {key}: {flow}"
        return add_section(page, "policy", whole["policy"], f"{{{key}: {flow}}}", block)
    return page.changed([new_entry(page, ("policy",), key, flow)], whole)


def change_rule(text: str, key: str, rule: str) -> str:
    """State a rule otherwise. Errors: EditError."""
    page = _stated(text, key)
    path = ("policy", key)
    if " ".join(rule.split()) == typed(page, path):
        return page.text
    flow, value = _written(page, key, rule)
    if isinstance(value, bool) and value is _rules(page)[key]:  # as `True` for `true`
        return page.text
    whole = {**page.value, "policy": {**_rules(page), key: value}}
    return page.changed([new_value(page, path, flow)], whole)


def remove_rule(text: str, key: str) -> str:
    """Take a rule out, so that the team's holds again. Errors: EditError."""
    return without_trace(_stated(text, key), ("policy", key))


def _rules(page: Page) -> dict[str, Any]:
    rules = page.value.get("policy")
    if rules is not None and not isinstance(rules, dict):
        raise EditError("`policy` holds no rules by name here; mend it in the text first")
    return rules or {}


def _stated(text: str, key: str) -> Page:
    page = open_page(text)
    if key not in _rules(page):
        raise EditError(f"no rule {shown(key)} is stated here; it may have been removed")
    return page


def _written(page: Page, key: str, rule: str) -> tuple[str, Any]:
    """What was typed as YAML and as a plain value, once it reads as this rule."""
    known = POLICY_KEYS.get(key)
    if known is None:
        raise EditError(f"there is no rule {shown(key)}. {suggestion(key, POLICY_KEYS, 'Choose one')}")
    if not rule.strip():
        raise EditError(f"{key}: found nothing; write what it asks for, or leave it to the team's rules")
    if known.kind == "yes-no":
        flow = YES_NO.get(rule.strip().lower())
        if flow is None:
            raise EditError(f"{key}: found {shown(rule.strip())}; write yes or no")
        return flow, flow == "true"
    flow, value = written(Field(key, "words" if known.kind == "words" else "figure", key), rule)
    try:
        read_rule(value, known, page.system)
    except QuantityError as error:
        raise EditError(f"{key}: {error}") from None
    return flow, value
