"""The rules that a rig is judged by: the shipped ones, each with its source, overridden by the rig file's
own.
"""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.rig import Rig


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: its value in SI and where that comes from. None: the policy does not ask for it."""

    key: str
    value: float | int | bool | None
    source: str


SHIPPED: tuple[Rule, ...] = (
    Rule(
        "static-factor", 10.0, "minimum taught by several mountain and fire rescue sources on the real load"
    ),
    Rule("chains", 2, "common practice: two independent anchored ropes for each person"),
    Rule(
        "hands-off-chains", 1, "common practice: one of them holds by itself before any hand leaves a brake"
    ),
    Rule(
        "brake-hand",
        209.0,
        "mean grip of one gloved hand on a moving rope, Moyer, ITRS 2006 (46 to 425 N measured)",
    ),
    Rule(
        "hauler-pull",
        133.0,
        "one hauler, sustained or limited by grip: 30 lbf, Bassett (50 lbf for a short pull)",
    ),
    Rule("most-drop", 1.0, "belay competence test, ASTM F2436 and its Canadian origin: stopped within 1 m"),
    Rule("most-catch-force", 8000.0, "fall-arrest limit on a person in the US and Canada; 6 kN in the EU"),
    Rule("most-litter-catch", 15000.0, "belay competence test, ASTM F2436: 200 kg caught with 15 kN at most"),
    Rule("most-leg-angle", 2.0944, "at 120 degrees each of two legs carries the whole load"),
    Rule(
        "protect-edges", True, "edges cut ropes and slings: first cause in published lists of rope failures"
    ),
    Rule("rate-anchors", True, "an anchor nobody rated is an open question"),
    Rule("reach-on-rope", 0.9, "this project's own planning figure: an arm's length from the harness"),
    Rule("reach-standing", 2.0, "this project's own planning figure: an arm's length and a step"),
    Rule(
        "tend-loaded-devices",
        True,
        "lock-off comes before hands off: bulletins on rescue-training descents that ran away",
    ),
    Rule(
        "test-before-last",
        True,
        "no connection goes before its replacement was loaded: reports of falls in change-overs",
    ),
    Rule(
        "slip-margin",
        2.0,
        "this project's own rule: a grab should not be asked for half the force at which it slips",
    ),
)


class Policy:
    """The rules in force for one rig: the file's own over the team's over the shipped ones."""

    def __init__(self, rig: Rig) -> None:
        own = {k: v for k, v in rig.policy.items() if k not in ("name", "source")}
        stated = str(rig.policy.get("source") or rig.policy.get("name") or "stated in the rig file")
        team = rig.team.rules if rig.team else {}
        self.rules = (
            {r.key: r for r in SHIPPED}
            | {k: Rule(k, v, source) for k, (v, source) in team.items() if not isinstance(v, str)}
            | {k: Rule(k, v, stated) for k, v in own.items() if not isinstance(v, str)}
        )
        self._own = tuple(sorted(own))
        self._stated = {*team, *own}
        self._house = rig.team.name if rig.team else "the shipped policy"
        self._named = str(rig.policy.get("name") or "")
        self._beside_team = rig.team is not None
        self.name = self._named or self._house

    @property
    def told(self) -> str:
        """Whose rules these are, in full: where the file has its own, they come first and are said so."""
        if self._named:
            rest = f", the rig file's own, before {self._house}" if self._beside_team else ""
            return self._named + rest
        return f"{self._house} with the file's own {', '.join(self._own)}" if self._own else self._house

    def stated(self, key: str) -> bool:
        """Whether the file or the team states a rule, instead of leaving it to the shipped ones."""
        return key in self._stated

    def number(self, key: str) -> float | None:
        """A rule's figure in SI, None where the policy has no such rule."""
        rule = self.rules.get(key)
        return None if rule is None or rule.value is None else float(rule.value)

    def asks(self, key: str) -> bool:
        """Whether a yes-or-no rule is on."""
        rule = self.rules.get(key)
        return bool(rule and rule.value)
