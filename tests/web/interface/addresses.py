"""Who may open which address of the interface; see `tests.web.addresses`.

A session opens none of the addresses for programs: those ask for a token (see `test_api`).
"""

from tests.web.addresses import OPEN, Address, may

NOBODY: frozenset[None] = frozenset()

ADDRESSES: dict[str, Address] = {
    "tokens": Address(may("read by program"), may("read by program")),
    "revoke": Address(None, may("read by program"), {"token": 1}),
    "openapi-json": Address(OPEN),
    "rigs": Address(NOBODY),
    "rig": Address(NOBODY, kwargs={"name": "haul-3-1"}),
    "gear": Address(NOBODY),
    "item": Address(NOBODY, kwargs={"mark": "R-1"}),
    "people": Address(NOBODY),
    "person": Address(NOBODY, kwargs={"number": 1}),
}
