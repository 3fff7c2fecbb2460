"""Who may open which address of gear's tables and documents; see `tests.web.addresses`."""

from tests.web.addresses import Address, may

_UPLOAD = {"upload": "0f3c5a52-1df3-4e6b-9d0c-3f2f3a9d2b11"}

ADDRESSES: dict[str, Address] = {
    "export": Address(may("see gear")),
    "import": Address(may("keep gear"), may("keep gear")),
    "import-look": Address(may("keep gear"), kwargs=_UPLOAD),
    "import-choose": Address(None, may("keep gear"), _UPLOAD),
    "import-take": Address(None, may("keep gear"), _UPLOAD),
    "import-drop": Address(None, may("keep gear"), _UPLOAD),
    "import-wrong": Address(may("keep gear"), kwargs=_UPLOAD),
    "document-add": Address(may("log use"), may("log use"), {"item": "C-1"}),
    "document-add-inspection": Address(may("log use"), may("log use"), {"inspection": "C-1"}),
    "document": Address(may("see gear"), kwargs={"document": "C-1"}),
    "document-withdraw": Address(may("keep gear"), may("keep gear"), {"document": "C-1"}),
}
