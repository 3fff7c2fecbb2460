"""Rules of a rig's own laid out as a table, each beside the team's: `policy`."""

from __future__ import annotations

from ropewright.judgement.own_rules import OwnRule, own_rule, team_rule
from ropewright.quantity import QuantityError, System
from ropewright.rig import POLICY_KEYS
from ropewright.rig.editing.rows import Tables
from ropewright.rig.editing.rules import YES_NO
from ropewright.rig.editing.stated import StatedRow
from ropewright.rig.model import PolicyValue
from ropewright.rig.overrides import read_rule
from ropewright.web.policy.now import rules_now
from ropewright.web.policy.shipped import GROUPS
from ropewright.web.policy.telling import shown_value
from ropewright.web.rigs.table_cells import Cell, Choice, Group, Statement, Statements

__all__ = ["rule_read", "rule_told", "rules"]


def rules(tables: Tables) -> Statements:
    """The rules that the rig states itself."""
    return Statements(
        "rule",
        "Rules of its own",
        "Each replaces the team's for this rig alone, and is told beside its verdict.",
        "None: the team's rules hold.",
        "State a rule",
        tuple(_rule(tables, row) for row in tables.rules),
        _new_rule(tables),
    )


def _rule(tables: Tables, row: StatedRow) -> Statement:
    key = f"rule-{row.key}"
    if not row.readable:
        return Statement(key, "policy", "", row.line, "rule")
    own = {"rule": row.key}
    written = row.typed[row.key]
    value = rule_read(row, tables.system)
    if value is None:
        cell = Cell("value", row.key, (written,), needed=True)
        return Statement(key, row.key, f"{written}, which can't be read", row.line, "rule", own, (cell,))
    known = POLICY_KEYS[row.key]
    cell = Cell("value", known.about, (written,), needed=True)
    if known.kind == "yes-no":
        cell = Cell("value", known.about, (YES_NO["yes" if value else "no"],), _yes_no(), needed=True)
    differs = rule_told(row.key, value)
    words = differs.said.removeprefix(f"{row.key} ") if differs else _alike(row.key, value)
    mark = "looser than the team's" if differs and differs.way == "looser" else ""
    words = words.removesuffix(" (looser)")  # the mark says it
    return Statement(key, row.key, words, row.line, "rule", own, (cell,), mark)


def rule_read(row: StatedRow, system: System) -> PolicyValue | None:
    """What a stated rule asks, in SI; None where it can't be read."""
    try:
        return read_rule(row.value, POLICY_KEYS[row.key], system)
    except (KeyError, QuantityError):
        return None


def rule_told(key: str, value: PolicyValue | None) -> OwnRule | None:
    """A rule beside the team's; None where both say the same, and where it can't be read."""
    team = rules_now()
    return own_rule(key, value, team.for_engine, team.units) if value is not None else None


def _alike(key: str, value: PolicyValue) -> str:
    shown = shown_value(key, value, rules_now().units)
    return shown if key in ("name", "source") else f"{shown}, as the team has it"


def _yes_no() -> tuple[Group, ...]:
    return (Group("", (Choice(YES_NO["yes"], "yes"), Choice(YES_NO["no"], "no"))),)


def _new_rule(tables: Tables) -> tuple[Cell, ...]:
    stated = {row.key for row in tables.rules}
    groups = [Group("", (Choice("", "choose"),))]
    for heading, keys in (*GROUPS, ("Whose they are", ("name", "source"))):
        listed = tuple(Choice(key, _offered(key)) for key in keys if key not in stated)
        groups += [Group(heading, listed)] if listed else []
    return (
        Cell("rule", "which rule", ("",), tuple(groups), needed=True),
        Cell("value", "what it asks, with its unit; or yes, or no", ()),
    )


def _offered(key: str) -> str:
    """A rule as it is offered: what the team has, and what it is about."""
    if key in ("name", "source"):
        return f"{key}: {POLICY_KEYS[key].about}"
    team = rules_now()
    theirs, _ = team_rule(key, team.for_engine)
    shown = "nothing" if theirs is None else shown_value(key, theirs, team.units)
    return f"{key} (team: {shown}): {POLICY_KEYS[key].about}"
