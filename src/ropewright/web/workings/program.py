"""Which program worked something out: its version and a fingerprint of its files.

A result that was kept by another program is worked out anew, be it another release or a change of one file.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import ropewright
from ropewright.files import fingerprint

__all__ = ["program"]

_COUNTS = (".py", ".toml")


@cache
def program() -> str:
    """The version and eight digits that change with any file that figures come from."""
    root = Path(ropewright.__file__).parent
    digest = fingerprint(root, (p for p in root.rglob("*") if p.suffix in _COUNTS))
    return f"{ropewright.__version__}-{digest[:8]}"
