"""Who may open which address of accounts; see `tests.web.addresses`."""

from tests.web.addresses import OPEN, Address, may

ADDRESSES: dict[str, Address] = {
    "sign-in": Address(OPEN, OPEN),
    "sign-out": Address(None, OPEN),
    "first": Address(OPEN, OPEN),
    "me": Address(may("be signed in")),
}
