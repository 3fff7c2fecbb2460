"""Who may open which address where rigs are begun, edited and saved; see `tests.web.addresses`."""

from tests.web.addresses import Address

ADDRESSES: dict[str, Address] = {}
