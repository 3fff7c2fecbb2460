"""The library of procedures: what is searched for, and what was worked out about each that is shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet

from ropewright.procedure.prove import told_cautions
from ropewright.web.policy.now import TeamRules
from ropewright.web.procedures.models import Procedure
from ropewright.web.procedures.source import sources_of
from ropewright.web.rigs.models import Rig
from ropewright.web.workings.background import ask_all
from ropewright.web.workings.models import Working
from ropewright.web.workings.results import digest

__all__ = ["Entry", "entries", "searched"]


@dataclass(frozen=True)
class Entry:
    """A procedure as it is listed. ``short`` is empty while it is being worked out."""

    procedure: Procedure
    rig: Rig | None
    short: dict[str, Any]
    picture: str

    @property
    def mark(self) -> tuple[str, str]:
        """The state, and its words."""
        verdict = self.short.get("verdict", "")
        if verdict == "refused":
            n = self.short["refused"]
            return "refused", f"refused at step {n}" if n else "refused at the start"
        if verdict == "unusable":
            return "unusable", "unusable"
        if verdict == "proved":
            return "proved", f"no step refused{told_cautions(self.short['cautions'])}"
        return "being worked out", "being worked out"


def searched(words: str, rig: str, *, away: bool = False) -> QuerySet[Procedure]:
    """Procedures whose title, line or name holds every word; ``rig``: only those that start from it."""
    found = Procedure.objects.filter(put_away__isnull=not away)
    for word in words.split()[:8]:
        found = found.filter(
            Q(title__icontains=word)
            | Q(about__icontains=word)
            | Q(slug__icontains=word)
            | Q(rig_slug__icontains=word)
        )
    return found.filter(rig_slug=rig) if rig else found


def entries(procedures: Iterable[Procedure], rules: TeamRules) -> list[Entry]:
    """What is shown of each, in a handful of queries; what is not worked out yet is asked for."""
    listed = list(procedures)
    sources = sources_of(listed, rules)
    short = {p.pk: digest("procedure-short", *sources[p.pk].parts) for p in listed}
    first = {p.pk: digest("procedure-first", *sources[p.pk].parts) for p in listed}
    known = dict(Working.objects.filter(key__in=short.values()).values_list("key", "data"))
    drawn = set(Working.objects.filter(key__in=first.values()).values_list("key", flat=True))
    rigs = Rig.objects.in_bulk({p.rig_slug for p in listed}, field_name="slug")
    missing = [sources[p.pk] for p in listed if short[p.pk] not in known]
    if missing:
        ask_all("procedure", [(source.parts, source.asked) for source in missing])
    return [
        Entry(
            p,
            rigs.get(p.rig_slug),
            known.get(short[p.pk], {}),
            first[p.pk] if first[p.pk] in drawn else "",
        )
        for p in listed
    ]
