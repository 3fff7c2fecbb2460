"""Who may open which address of procedures; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

SEES = may("see procedures")
EDITS = may("edit procedures")
ONE = {"procedure": "ascent-to-descent"}

ADDRESSES: dict[str, Address] = {
    "library": Address(SEES),
    "first-picture": Address(SEES, kwargs={"key": "0" * 64}),
    "find": Address(EDITS, EDITS),
    "way": Address(SEES, kwargs={"key": "0" * 64}),
    "way-keep": Address(None, EDITS, kwargs={"key": "0" * 64}),
    "open": Address(SEES, kwargs=ONE),
    "proof": Address(SEES, kwargs=ONE),
    "mistakes": Address(SEES, kwargs=ONE),
    "mistake": Address(SEES, kwargs={**ONE, "number": 3}),
    "sheets": Address(SEES, kwargs=ONE),
    "sheet": Address(SEES, kwargs={**ONE, "sheet": "skill-sheet", "paper": "a4"}),
    "sheet-waits": Address(SEES, kwargs={**ONE, "sheet": "skill-sheet", "paper": "a4"}),
    "versions": Address(SEES, kwargs=ONE),
    "version": Address(SEES, kwargs={**ONE, "number": 1}),
    "differences": Address(SEES, kwargs=ONE),
    "text": Address(SEES, kwargs=ONE),
    "put-away": Address(None, EDITS, kwargs=ONE),
    "bring-back": Address(None, EDITS, kwargs=ONE),
    "start": Address(EDITS, EDITS),
    "upload": Address(EDITS, EDITS),
    "live": Address(None, EDITS),
    "tables": Address(None, EDITS),
    "edit": Address(EDITS, kwargs=ONE),
    "save": Address(None, EDITS, kwargs=ONE),
    "beside": Address(EDITS, EDITS, kwargs={**ONE, "number": 1}),
}
