"""Who may open which address of gear's tables and documents; see `tests.web.addresses`."""

from tests.web.addresses import Address

ADDRESSES: dict[str, Address] = {}
