"""The due list as a calendar feed, and the addresses by which calendar programs read it.

A calendar program can't sign in, so its address holds a secret. The secret is an `interface.Token` whose
fingerprint is taken with a word of its own: it opens the feed and nothing else, and no other token opens it.
"""

from __future__ import annotations

import logging
import re
import secrets
from collections.abc import Iterable
from datetime import timedelta
from itertools import groupby

import icalendar
from django.db.models import QuerySet
from django.utils import timezone

from ropewright.web.access import allowed
from ropewright.web.accounts.models import Account, fingerprint
from ropewright.web.gear.models import Item
from ropewright.web.interface.models import Token

__all__ = ["WithoutSecrets", "account_of", "addresses_of", "feed", "new_secret", "revoke"]

_PREFIX = "calendar of what is due: "
_MOST_LISTED = 60
_USED_EVERY = timedelta(hours=1)


def _print(secret: str) -> str:
    return fingerprint(f"calendar feed {secret}")


def new_secret(account: Account, name: str) -> str:
    """A new secret for one calendar program, shown this once; only its fingerprint is kept."""
    secret = secrets.token_urlsafe(32)
    Token.objects.create(account=account, name=f"{_PREFIX}{name}"[:80], secret=_print(secret))
    return secret


def addresses_of(account: Account) -> QuerySet[Token]:
    """The calendar addresses of an account that still work."""
    return Token.objects.filter(account=account, name__startswith=_PREFIX, revoked=None)


def revoke(account: Account, pk: int) -> bool:
    """Stop an address of the account's own from working; whether there was one."""
    return bool(addresses_of(account).filter(pk=pk).update(revoked=timezone.now()))


def account_of(secret: str) -> Account | None:
    """Whose feed a secret opens, if it opens any: not revoked, not expired, and the account may see gear."""
    token = Token.objects.select_related("account").filter(secret=_print(secret), revoked=None).first()
    now = timezone.now()
    if token is None or (token.expires and token.expires < now):
        return None
    if not allowed(token.account, "see gear"):
        return None
    if token.used is None or now - token.used > _USED_EVERY:  # not a write for every look
        Token.objects.filter(pk=token.pk).update(used=now)
    return token.account


def feed(items: Iterable[Item], team: str, page: str, host: str) -> bytes:
    """The calendar: one entry for each day on which something is due. ``page`` is the address of the list."""
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//Ropewright//gear due for inspection//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{team}: gear due for inspection")
    calendar.add("refresh-interval", timedelta(hours=12), parameters={"VALUE": "DURATION"})
    now = timezone.now()
    for day, due in groupby(items, key=lambda item: item.next_due):
        if day is None:
            continue
        listed = list(due)
        marks = [item.mark for item in listed]
        more = f" and {len(marks) - _MOST_LISTED} more" if len(marks) > _MOST_LISTED else ""
        event = icalendar.Event()
        event.add("uid", f"due-{day:%Y%m%d}@{host}")
        event.add("dtstamp", now)
        event.add("dtstart", day)
        event.add("dtend", day + timedelta(days=1))
        event.add("summary", f"Inspect {len(listed)} item{'' if len(listed) == 1 else 's'} of gear")
        event.add("description", f"Due: {', '.join(marks[:_MOST_LISTED])}{more}")
        event.add("url", page)
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    whole: bytes = calendar.to_ical()
    return whole


_SECRET = re.compile(r"(/gear/calendar/)[^/\s]+")


class WithoutSecrets(logging.Filter):
    """Keeps the secrets of calendar addresses out of the log."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Write a dash where an address has its secret."""
        text = record.getMessage()
        if "/gear/calendar/" in text:
            record.msg, record.args = _SECRET.sub(r"\1–", text), ()
        return True
