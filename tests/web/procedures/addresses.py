"""Who may open which address of procedures; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

ADDRESSES: dict[str, Address] = {
    "library": Address(may("see procedures")),
}
