"""What a rig file states itself in place of the catalogue's figures and the shipped policy's rules."""

from collections.abc import Mapping
from typing import Any

from ropewright.quantity import QuantityError, Range, System, Units, show_range
from ropewright.rig.draft import Draft, Found
from ropewright.rig.faults import listed, shown, suggestion
from ropewright.rig.fields import figure
from ropewright.rig.figures import EDGE_FIGURES, figures_of, read_figure
from ropewright.rig.model import Gear, Load, Place, PolicyValue, Rope
from ropewright.rig.policy import POLICY_KEYS, PolicyKey
from ropewright.rig.yamltext import hidden_character, is_blank

__all__ = ["read_assume", "read_policy", "read_rule"]


def read_assume(draft: Draft, faults: list[Found]) -> dict[str, dict[str, Range]]:
    """Read the figures stated by type or by a part's name; add what is wrong to `faults`."""
    figures: dict[str, dict[str, Range]] = {}
    for name, entries in draft.assume.items():
        target = _assumed(draft, name)
        if isinstance(target, Found):
            faults.append(target)
        elif not isinstance(entries, dict):
            faults.append(
                Found(("assume", name), f"found {shown(entries)}; write figures, as in {{efficiency: 0.9}}")
            )
        elif target:
            figures[name] = _figures(draft, name, entries, *target, faults)
    return figures


def _assumed(draft: Draft, name: str) -> tuple[bool, tuple[str, ...]] | Found | None:
    """Give whether a rope is named and the figures it has; None where its part is at fault already."""
    part = draft.part(name)
    if isinstance(part, Place):
        return False, EDGE_FIGURES
    if draft.broken(name):
        return None
    if isinstance(part, Gear | Rope) or part is None:
        kind = draft.type_of(part.type if part else name)
        if kind:
            return kind.family == "rope", figures_of(kind.family)
        if part:
            return None
    if part is not None:
        noun = "a load" if isinstance(part, Load) else "a crew"
        return Found(
            ("assume", name), f"`{name}` is {noun}; its figures stand where it is described", key=True
        )
    known = [
        *draft.catalogue,
        *(word for word, section in draft.sections.items() if section in ("gear", "ropes")),
    ]
    right = suggestion(name, known, "Name a catalogue type, a piece of gear, a rope or an edge")
    return Found(("assume", name), f"`{name}` is neither a type nor a part of this rig. {right}", key=True)


def _figures(
    draft: Draft,
    name: str,
    entries: Mapping[str, Any],
    of_rope: bool,
    known: tuple[str, ...],
    faults: list[Found],
) -> dict[str, Range]:
    figures = {}
    for key, value in entries.items():
        path = ("assume", name, key)
        if key not in known:
            right = suggestion(key, known, f"It has {listed(known)}")
            faults.append(Found(path, f"`{name}` has no figure {shown(key)}. {right}", key=True))
            continue
        try:
            figures[key] = read_figure(value, key, draft.system, of_rope=of_rope)
        except QuantityError as error:
            faults.append(Found(path, str(error)))
    return figures


def read_policy(draft: Draft, faults: list[Found]) -> dict[str, PolicyValue]:
    """Read the rules that the file states itself; add what is wrong to `faults`."""
    rules: dict[str, PolicyValue] = {}
    for name, value in draft.policy.items():
        key = POLICY_KEYS.get(name)
        if key is None:
            right = suggestion(name, POLICY_KEYS, f"It may hold {listed(POLICY_KEYS)}")
            faults.append(Found(("policy", name), f"policy has no key {shown(name)}. {right}", key=True))
            continue
        try:
            rules[name] = read_rule(value, key, draft.system)
        except QuantityError as error:
            faults.append(Found(("policy", name), str(error)))
    return rules


LONGEST_GRADE = 20


def _check_list(words: str, key: PolicyKey) -> None:
    """Raise where words with commas between them are too few, too many, too long or told twice."""
    parts = [part.strip() for part in words.split(",")]
    ends = f"{key.least:g} to {key.most:g}"
    if not key.least <= len(parts) <= key.most or len(set(parts)) < len(parts):
        raise QuantityError(f"found {shown(words)}; write {ends} different ones with commas between them")
    if any(not part or len(part) > LONGEST_GRADE for part in parts):
        raise QuantityError(
            f"found {shown(words)}; between commas stand words, {LONGEST_GRADE} characters at most"
        )


def read_rule(value: Any, key: PolicyKey, system: System, units: Units | None = None) -> PolicyValue:
    """Read one rule of a policy into SI. Errors: QuantityError, in one line.

    system: what a bare number means; units: in which the limits are told, left out those of the system.
    """
    if key.kind == "yes-no":
        if not isinstance(value, bool):
            raise QuantityError(f"found {shown(value)}; write true or false")
        return value
    if key.kind == "words":
        words = value.strip() if isinstance(value, str) else ""
        hidden = hidden_character(words)
        if hidden:
            raise QuantityError(f"found the hidden character {hidden}; write words without it")
        if is_blank(words) or len(words) > 200 or "\n" in words:
            raise QuantityError(f"found {shown(value)}; write one line of words, in quotes")
        if key.most:
            _check_list(words, key)
        return words
    if key.kind == "count":
        if isinstance(value, bool) or not isinstance(value, int) or not key.least <= value <= key.most:
            raise QuantityError(
                f"found {shown(value)}; write a whole number from {key.least:g} to {key.most:g}"
            )
        return value
    found = figure(value, key.kind, system, "zero-up")
    if not found.is_single:
        raise QuantityError(f"found {shown(value)}; a rule is one figure, not a range")
    if not key.least <= found.likely <= key.most:
        ends = show_range(Range(key.least, key.least, key.most), key.kind, units or system)
        raise QuantityError(f"found {shown(value)}; it is within {ends}")
    return found.likely
