"""Who may open which address of the roster's tables and documents; see `tests.web.addresses`."""

from ropewright.web.access import Role
from tests.web.addresses import Address, may

_UPLOAD = {"upload": "0f3c5a52-1df3-4e6b-9d0c-3f2f3a9d2b11"}
_READS: frozenset[Role | None] = frozenset({Role.LEAD, Role.INSTRUCTOR, Role.AUDITOR})
_KEEP = may("keep people")

ADDRESSES: dict[str, Address] = {
    "export": Address(may("see people")),
    "import": Address(_KEEP, _KEEP),
    "import-look": Address(_KEEP, kwargs=_UPLOAD),
    "import-choose": Address(None, _KEEP, _UPLOAD),
    "import-take": Address(None, _KEEP, _UPLOAD),
    "import-drop": Address(None, _KEEP, _UPLOAD),
    "import-wrong": Address(_KEEP, kwargs=_UPLOAD),
    "document-add": Address(_KEEP, _KEEP, {"person": "Alma Vintner"}),
    "document": Address(_READS, kwargs={"document": "person:Alma Vintner"}),
    "document-withdraw": Address(_KEEP, _KEEP, {"document": "person:Alma Vintner"}),
}
