"""Who may open which address of policy; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

ADDRESSES: dict[str, Address] = {
    "current": Address(may("see policy")),
    "change": Address(may("keep policy"), may("keep policy")),
    "versions": Address(may("see policy")),
    "version": Address(may("see policy"), kwargs={"policy": 1}),
    "take-up": Address(None, may("keep policy"), kwargs={"policy": 1}),
}
