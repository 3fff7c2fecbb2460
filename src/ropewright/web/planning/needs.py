"""What the rigs of a plan take, and how each was judged: worked out once for a text, the rules and a mass."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from typing import Any

from ropewright.allotting import Need, Unit, Worn, limits_of, needs_of, worst_needs, worst_worn
from ropewright.effort import prepare
from ropewright.errors import RopewrightError
from ropewright.judgement.findings import keeps_outside
from ropewright.quantity import Range
from ropewright.rig import Rig, RigFileError
from ropewright.web.policy.now import TeamRules
from ropewright.web.rigs.models import RigVersion
from ropewright.web.workings.engine import catalogue, judged, read_for_team, summary_of
from ropewright.web.workings.models import Working
from ropewright.web.workings.results import digest, kept
from ropewright.web.workings.waiting import leave_to_worker

__all__ = ["AtMass", "RigNeeds", "needs_of_rigs", "worked_out"]

_KIND = "needs of a rig"
Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class AtMass:
    """How a rig is judged with everybody in it at one mass [kg]; ``wrong``: what keeps it outside."""

    mass: float
    within: bool
    wrong: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RigNeeds:
    """One rig: its pieces, whose mass counts against what, and how it was judged.

    ``fault``: why its text can't be used; then it has no needs, and nothing of it can be planned.
    ``within``: as it is written. ``people``: its loads that are persons. ``hands``: how many people its crews
    are. ``at``: how it is judged with people of other masses in their places; the needs are then those of the
    worst.
    """

    needs: tuple[Need, ...] = ()
    worn: tuple[Worn, ...] = ()
    within: bool = False
    fault: str = ""
    people: tuple[str, ...] = ()
    hands: int = 0
    at: tuple[AtMass, ...] = ()

    @property
    def beyond(self) -> tuple[AtMass, ...]:
        """The masses at which it is outside policy, though it is within it as it is written."""
        return tuple(one for one in self.at if self.within and not one.within)


def needs_of_rigs(
    versions: Sequence[RigVersion], rules: TeamRules, masses: Collection[float] = ()
) -> dict[int, RigNeeds]:
    """The needs of each version, by its key: one query, or two, for all that were worked out before.

    masses [kg]: a rig that holds people is worked out at each of them too.
    """
    written = _found([(version, None) for version in versions], rules)
    held = [version for version in versions if written[version.pk, None].get("people")]
    at = _found([(version, mass) for version in held for mass in masses], rules)
    return {
        version.pk: _read(
            written[version.pk, None],
            [(mass, at[version.pk, mass]) for mass in masses if (version.pk, mass) in at],
        )
        for version in versions
    }


_Asked = tuple[RigVersion, float | None]


def _found(asked: Iterable[_Asked], rules: TeamRules) -> dict[tuple[int, float | None], Data]:
    """The result for each version and mass; one query for all that were worked out before."""
    keys = {(version, mass): digest(_KIND, *_parts(version, rules, mass)) for version, mass in asked}
    if not keys:
        return {}
    rows = Working.objects.filter(key__in=keys.values(), state=Working.State.DONE)
    done = dict(rows.values_list("key", "data"))
    return {
        (version.pk, mass): done.get(key) or _work(version, rules, mass)
        for (version, mass), key in keys.items()
    }


def _parts(version: RigVersion, rules: TeamRules, mass: float | None) -> tuple[object, ...]:
    return version.text, rules.number, rules.name, *([] if mass is None else [mass])


def _work(version: RigVersion, rules: TeamRules, mass: float | None) -> Data:
    """Errors: StillWorkingError where a large rig was not worked out before."""
    parts = _parts(version, rules, mass)

    def work() -> Data:
        with suppress(RigFileError):  # which the summary tells
            rig = read_for_team(version.text, rules)
            asked = {"text": version.text, "rules": rules.number, "mass": mass}
            leave_to_worker(rig, _KIND, parts, asked)
        return worked_out(version.text, rules, mass)

    return kept(_KIND, parts, work)


def worked_out(text: str, rules: TeamRules, mass: float | None = None) -> Data:
    """What a rig takes and how it is judged, worked out here and now, in the form that is kept.

    mass [kg]: with everybody in it at this mass; None as it is written.
    """
    if mass is not None:
        return _at(_with_people(read_for_team(text, rules), mass), rules)
    summary = summary_of(text, rules)
    if summary.get("faults"):
        first = summary["faults"][0]
        return {"fault": f"line {first['line']}: {first['text']}" if first["line"] else first["text"]}
    return {"within": summary["within"], **_taken(read_for_team(text, rules), summary["report"])}


def _at(rig: Rig, rules: TeamRules) -> Data:
    """What can't even be set up with people so heavy or so light is outside policy, and says why."""
    try:
        found, report = judged(rig, rules)
        taken = _taken(rig, report)
    except RopewrightError as error:
        return {"within": False, "wrong": [str(error)], "needs": [], "worn": []}
    wrong = [f.text for f in keeps_outside(found)]
    return {"within": not wrong, "wrong": list(dict.fromkeys(wrong)), **taken}


def _taken(rig: Rig, report: Data) -> Data:
    prepared = prepare(rig, catalogue())
    return {
        "needs": [asdict(need) for need in needs_of(prepared, report)],
        "worn": [asdict(worn) for worn in limits_of(prepared)],
        "people": [name for name, load in rig.loads.items() if load.kind == "person"],
        "hands": sum(crew.people for crew in rig.crews.values()),
    }


def _with_people(rig: Rig, mass: float) -> Rig:
    """The rig with every person in it at one mass; litters and weights stay as they are written."""
    loads = {
        name: replace(load, mass=Range.exactly(mass)) if load.kind == "person" else load
        for name, load in rig.loads.items()
    }
    return replace(rig, loads=loads)


def _read(data: Data, at: Sequence[tuple[float, Data]]) -> RigNeeds:
    if "fault" in data:
        return RigNeeds(fault=str(data["fault"]))
    several = [data, *(one for _, one in at)]
    return RigNeeds(
        worst_needs([_needs(one) for one in several]),
        worst_worn([[Worn(**worn) for worn in one["worn"]] for one in several]),
        bool(data["within"]),
        people=tuple(data["people"]),
        hands=int(data["hands"]),
        at=tuple(AtMass(mass, bool(one["within"]), tuple(one["wrong"])) for mass, one in at),
    )


def _needs(data: Data) -> tuple[Need, ...]:
    return tuple(Need(**{**need, "unit": Unit(0), "parts": tuple(need["parts"])}) for need in data["needs"])
