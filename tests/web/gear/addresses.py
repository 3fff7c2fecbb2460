"""Who may open which address of gear; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

ADDRESSES: dict[str, Address] = {
    "list": Address(may("see gear")),
}
