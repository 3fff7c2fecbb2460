"""Whose turn it is: what somebody still looks at first, and among those the accounts one after another.

However much one account asks for, the next piece is that of the account that was served longest ago.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from heapq import heapify, heappop, heappush

from django.db.models import Max, Q, QuerySet
from django.utils import timezone

from ropewright.web.workings.models import Working

__all__ = ["Waiting", "in_turn", "is_watched", "queue", "served"]

WATCHED = timedelta(seconds=20)
"""For how long somebody who looked is taken to look still; pages ask every few seconds, scripts every ten."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """A piece of work that waits: whose it is, when somebody looked last, when it was asked for."""

    key: str
    who: int | None
    looked: datetime | None
    made: datetime


def is_watched(looked: datetime | None, now: datetime) -> bool:
    """Whether somebody still looks at what was looked at then."""
    return looked is not None and now - looked <= WATCHED


def in_turn(rows: Iterable[Waiting], served: Mapping[int | None, datetime], now: datetime) -> list[str]:
    """The keys of what waits, in the order in which it is done. ``served``: when each account was last."""
    tiers: tuple[list[Waiting], list[Waiting]] = ([], [])
    for row in rows:
        tiers[0 if is_watched(row.looked, now) else 1].append(row)
    last = {who: at.timestamp() for who, at in served.items()}
    turn, out = now.timestamp(), list[str]()
    for tier in tiers:
        own: dict[int | None, deque[Waiting]] = {}
        for row in sorted(tier, key=lambda row: (row.made, row.key)):
            own.setdefault(row.who, deque()).append(row)
        turns = [(last.get(who, 0.0), mine[0].made, mine[0].key, who) for who, mine in own.items()]
        heapify(turns)
        while turns:
            _, _, key, who = heappop(turns)
            out.append(key)
            own[who].popleft()
            turn += 1.0
            last[who] = turn
            if own[who]:
                following = own[who][0]
                heappush(turns, (turn, following.made, following.key, who))
    return out


def queue(free: QuerySet[Working], kinds: Collection[str]) -> list[str]:
    """The keys of rows of one lane, in the order in which they are done. ``kinds``: those of that lane."""
    rows = [Waiting(*row) for row in free.values_list("pk", "who", "looked", "made")]
    return in_turn(rows, served(kinds, {row.who for row in rows}), timezone.now())


def served(kinds: Collection[str], accounts: Collection[int | None]) -> dict[int | None, datetime]:
    """When work was begun last for each account, in one lane; one that never was is not in it."""
    theirs = Q(who__in=[who for who in accounts if who is not None])
    if None in accounts:
        theirs |= Q(who=None)
    begun = Working.objects.filter(theirs, kind__in=kinds, begun__isnull=False)
    return dict(begun.values_list("who").annotate(Max("begun")))
