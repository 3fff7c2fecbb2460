"""Who may open which address of planning; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

ADDRESSES: dict[str, Address] = {
    "plans": Address(may("see plans")),
}
