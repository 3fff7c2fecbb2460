"""Who may open which address of people; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

ADDRESSES: dict[str, Address] = {
    "roster": Address(may("see people")),
}
