"""What the rigs of a plan take, and how each was judged: worked out once for a text and the rules."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from typing import Any

from ropewright.allotting import Need, Unit, Worn, limits_of, needs_of
from ropewright.effort import prepare
from ropewright.rig import RigFileError
from ropewright.web.policy.now import TeamRules
from ropewright.web.rigs.models import RigVersion
from ropewright.web.workings.engine import catalogue, read_for_team, summary_of
from ropewright.web.workings.models import Working
from ropewright.web.workings.results import digest, kept
from ropewright.web.workings.waiting import leave_to_worker

__all__ = ["RigNeeds", "needs_of_rigs", "worked_out"]

_KIND = "needs of a rig"


@dataclass(frozen=True, slots=True)
class RigNeeds:
    """One rig: its pieces, whose mass counts against what, and how it was judged.

    ``fault``: why its text can't be used; then it has no needs, and nothing of it can be planned.
    """

    needs: tuple[Need, ...] = ()
    worn: tuple[Worn, ...] = ()
    within: bool = False
    fault: str = ""


def needs_of_rigs(versions: Sequence[RigVersion], rules: TeamRules) -> dict[int, RigNeeds]:
    """The needs of each version, by its key: one query for all that were worked out before."""
    keys = {version.pk: digest(_KIND, *_parts(version, rules)) for version in versions}
    found = dict(
        Working.objects.filter(key__in=keys.values(), state=Working.State.DONE).values_list("key", "data")
    )
    return {version.pk: _read(found.get(keys[version.pk]) or _work(version, rules)) for version in versions}


def _parts(version: RigVersion, rules: TeamRules) -> tuple[object, ...]:
    return version.text, rules.number, rules.name


def _work(version: RigVersion, rules: TeamRules) -> dict[str, Any]:
    """Errors: StillWorkingError where a large rig was not worked out before."""
    parts = _parts(version, rules)

    def work() -> dict[str, Any]:
        with suppress(RigFileError):  # which the summary tells
            rig = read_for_team(version.text, rules)
            leave_to_worker(rig, _KIND, parts, {"text": version.text, "rules": rules.number})
        return worked_out(version.text, rules)

    return kept(_KIND, parts, work)


def worked_out(text: str, rules: TeamRules) -> dict[str, Any]:
    """What a rig takes and how it is judged, worked out here and now, in the form that is kept."""
    summary = summary_of(text, rules)
    if summary.get("faults"):
        first = summary["faults"][0]
        return {"fault": f"line {first['line']}: {first['text']}" if first["line"] else first["text"]}
    prepared = prepare(read_for_team(text, rules), catalogue())
    return {
        "within": summary["within"],
        "needs": [asdict(need) for need in needs_of(prepared, summary["report"])],
        "worn": [asdict(worn) for worn in limits_of(prepared)],
    }


def _read(data: dict[str, Any]) -> RigNeeds:
    if "fault" in data:
        return RigNeeds(fault=str(data["fault"]))
    needs = tuple(Need(**{**need, "unit": Unit(0), "parts": tuple(need["parts"])}) for need in data["needs"])
    return RigNeeds(needs, tuple(Worn(**worn) for worn in data["worn"]), bool(data["within"]))
