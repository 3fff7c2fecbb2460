"""Who may open which address of gear; see `tests.web.addresses`."""

from tests.web.addresses import OPEN, Address, may
from tests.web.gear import addresses_exchange

_SEE, _KEEP, _LOG, _REPORT = may("see gear"), may("keep gear"), may("log use"), may("report an event")
_ITEM = {"item": "C-1"}

ADDRESSES: dict[str, Address] = {
    "list": Address(_SEE),
    "add": Address(_KEEP, _KEEP),
    "item": Address(_SEE, kwargs=_ITEM),
    "change": Address(_KEEP, _KEEP, kwargs=_ITEM),
    "cut": Address(_KEEP, _KEEP, kwargs=_ITEM),
    "quarantine": Address(_REPORT, _REPORT, kwargs=_ITEM),
    "retire": Address(_KEEP, _KEEP, kwargs=_ITEM),
    "inspect": Address(_LOG, _LOG),
    "inspection": Address(_SEE, kwargs={"inspection": "C-1"}),
    "use": Address(_LOG, _LOG),
    "use-correct": Address(_LOG, _LOG, kwargs={"use": "C-1"}),
    "out": Address(_SEE),
    "give-out": Address(_LOG, _LOG),
    "issue": Address(_SEE, kwargs={"issue": "C-1"}),
    "take-back": Address(None, _LOG, kwargs={"issue": "C-1"}),
    "add-more": Address(None, _LOG, kwargs={"issue": "C-1"}),
    "events": Address(_SEE),
    "event-new": Address(_REPORT, _REPORT),
    "event": Address(_SEE, kwargs={"event": "C-1"}),
    "due": Address(_SEE),
    "calendar": Address(_SEE, _SEE),
    "calendar-revoke": Address(None, _SEE, kwargs={"token": 1}),
    "calendar-feed": Address(OPEN, kwargs={"secret": "nobody-has-this-one"}),
    "labels": Address(_KEEP),
    "labels-file": Address(_KEEP),
    "places": Address(_SEE),
    "place-add": Address(_KEEP, _KEEP),
    "place": Address(_KEEP, _KEEP, kwargs={"place": "Locker"}),
    "kit-add": Address(_KEEP, _KEEP),
    "kit": Address(_KEEP, _KEEP, kwargs={"kit": "Bag"}),
    **addresses_exchange.ADDRESSES,
}
