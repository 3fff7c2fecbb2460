"""Who may open which address of planning; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

ADDRESSES: dict[str, Address] = {
    "plans": Address(may("see plans")),
    "new": Address(may("plan"), may("plan")),
    "open": Address(may("see plans"), kwargs={"plan": "Saturday"}),
    "change": Address(may("plan"), may("plan"), kwargs={"plan": "Saturday"}),
    "give-out": Address(None, may("plan"), kwargs={"plan": "Saturday"}),
    "pick-list": Address(may("see plans"), kwargs={"plan": "Saturday"}),
    "pick-list-pdf": Address(may("see plans"), kwargs={"plan": "Saturday"}),
}
