"""Who may open which address of rigs; see `tests.web.addresses`."""

from tests.web.addresses import Address, may
from tests.web.rigs import addresses_edit

ADDRESSES: dict[str, Address] = {
    "library": Address(may("see rigs")),
    "open": Address(may("see rigs"), kwargs={"rig": "haul-3-1"}),
    **addresses_edit.ADDRESSES,
}
