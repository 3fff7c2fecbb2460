"""Who may open which address of accounts; see `tests.web.addresses`."""

from tests.web.addresses import OPEN, Address, may

KEEP = may("keep accounts")

ADDRESSES: dict[str, Address] = {
    "sign-in": Address(OPEN, OPEN),
    "sign-out": Address(None, OPEN),
    "first": Address(OPEN, OPEN),
    "join": Address(OPEN, OPEN, kwargs={"secret": "nobody-made-this"}),
    "new-password": Address(OPEN, OPEN, kwargs={"secret": "nobody-made-this"}),
    "me": Address(may("be signed in")),
    "password": Address(may("be signed in"), may("be signed in")),
    "leave-everywhere": Address(None, may("be signed in")),
    "accounts": Address(KEEP),
    "account": Address(KEEP, kwargs={"account": "somebody"}),
    "role": Address(None, KEEP, kwargs={"account": "somebody"}),
    "active": Address(None, KEEP, kwargs={"account": "somebody"}),
    "person": Address(None, KEEP, kwargs={"account": "somebody"}),
    "reset": Address(None, KEEP, kwargs={"account": "somebody"}),
    "invitations": Address(KEEP),
    "invite": Address(KEEP, KEEP),
    "withdraw": Address(None, KEEP, kwargs={"invitation": "open"}),
}
