"""Who may open which address of pages; see `tests.web.addresses`."""

from tests.web.addresses import OPEN, Address, may

ADDRESSES: dict[str, Address] = {
    "front": Address(OPEN),
    "today": Address(may("be signed in")),
    "health": Address(OPEN),
    "offline": Address(OPEN),
    "manifest": Address(OPEN),
    "worker": Address(OPEN),
}
