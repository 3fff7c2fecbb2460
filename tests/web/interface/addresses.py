"""Who may open which address of interface; see `tests.web.addresses`."""

from tests.web.addresses import Address

ADDRESSES: dict[str, Address] = {}
