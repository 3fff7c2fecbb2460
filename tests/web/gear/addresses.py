"""Who may open which address of gear; see `tests.web.addresses`."""

from tests.web.addresses import Address, may
from tests.web.gear import addresses_exchange

ADDRESSES: dict[str, Address] = {
    "list": Address(may("see gear")),
    **addresses_exchange.ADDRESSES,
}
