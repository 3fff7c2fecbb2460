"""Who may open which address of what is being worked out; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

SEES = may("be signed in")
ROW = {"key": "0" * 64}

ADDRESSES: dict[str, Address] = {
    "working": Address(SEES, kwargs=ROW),
    "retry": Address(None, SEES, kwargs=ROW),
}
