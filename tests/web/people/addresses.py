"""Who may open which address of people; see `tests.web.addresses`."""

from tests.web.addresses import Address, may
from tests.web.people import addresses_exchange

SEE, KEEP = may("see people"), may("keep people")
SOMEBODY = {"person": "Alma Vintner"}

ADDRESSES: dict[str, Address] = {
    "roster": Address(SEE),
    "running-out": Address(SEE),
    "add": Address(KEEP, KEEP),
    "person": Address(SEE, kwargs=SOMEBODY),
    "change": Address(KEEP, KEEP, kwargs=SOMEBODY),
    "active": Address(None, KEEP, kwargs=SOMEBODY),
    "history": Address(SEE, kwargs=SOMEBODY),
    "add-prerequisite": Address(KEEP, KEEP, kwargs=SOMEBODY),
    "change-prerequisite": Address(KEEP, KEEP, kwargs={"prerequisite": "medical"}),
    "remove-prerequisite": Address(None, KEEP, kwargs={"prerequisite": "medical"}),
    "add-skill": Address(KEEP, KEEP, kwargs=SOMEBODY),
    "change-skill": Address(KEEP, KEEP, kwargs={"skill": "knot pass"}),
    "remove-skill": Address(None, KEEP, kwargs={"skill": "knot pass"}),
    **addresses_exchange.ADDRESSES,
}
