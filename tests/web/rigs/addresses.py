"""Who may open which address of rigs; see `tests.web.addresses`."""

from tests.web.addresses import Address, may
from tests.web.rigs import addresses_edit

RIG = {"rig": "haul-3-1"}
SEE, EDIT = may("see rigs"), may("edit rigs")

ADDRESSES: dict[str, Address] = {
    "library": Address(SEE),
    "compare": Address(SEE),
    "open": Address(SEE, kwargs=RIG),
    "card": Address(SEE, kwargs=RIG),
    "small": Address(SEE, kwargs=RIG),
    "versions": Address(SEE, kwargs=RIG),
    "version": Address(SEE, kwargs={**RIG, "number": 1}),
    "crew": Address(SEE, kwargs={**RIG, "number": 1}),
    "take-up": Address(None, EDIT, kwargs={**RIG, "number": 1}),
    "what-if": Address(SEE, kwargs=RIG),
    "what-if-figures": Address(SEE, kwargs=RIG),
    "what-if-text": Address(EDIT, kwargs=RIG),
    "differences": Address(SEE, kwargs=RIG),
    "card-pdf": Address(SEE, kwargs=RIG),
    "picture": Address(SEE, kwargs={**RIG, "ending": "svg"}),
    "text": Address(SEE, kwargs=RIG),
    "upload": Address(EDIT, EDIT),
    "put-away": Address(None, EDIT, kwargs=RIG),
    "bring-back": Address(None, EDIT, kwargs=RIG),
    **addresses_edit.ADDRESSES,
}
