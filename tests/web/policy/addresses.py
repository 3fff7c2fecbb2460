"""Who may open which address of policy; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

ADDRESSES: dict[str, Address] = {
    "current": Address(may("see policy")),
}
