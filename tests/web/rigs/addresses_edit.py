"""Who may open which address where rigs are begun, edited and saved; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

ADDRESSES: dict[str, Address] = {
    "start": Address(may("edit rigs"), may("edit rigs")),
    "start-look": Address(may("edit rigs")),
    "start-picture": Address(may("edit rigs"), kwargs={"kind": "haul-2-1"}),
    "live": Address(None, may("edit rigs")),
    "tables": Address(None, may("edit rigs")),
    "signed-in": Address(may("be signed in")),
    "edit": Address(may("edit rigs"), kwargs={"rig": "haul-3-1"}),
    "save": Address(None, may("edit rigs"), kwargs={"rig": "haul-3-1"}),
    "beside": Address(may("edit rigs"), may("edit rigs"), kwargs={"rig": "haul-3-1", "number": 1}),
}
