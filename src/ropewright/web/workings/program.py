"""Which program worked something out: its version and a fingerprint of its files.

A result that was kept by another program is worked out anew, be it another release or a change of one file.
"""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

import ropewright

__all__ = ["program"]

_COUNTS = (".py", ".toml")


@cache
def program() -> str:
    """The version and eight digits that change with any file that figures come from."""
    root = Path(ropewright.__file__).parent
    seen = hashlib.sha256()
    for path in sorted(p for p in root.rglob("*") if p.suffix in _COUNTS):
        stat = path.stat()
        seen.update(f"{path.relative_to(root)} {stat.st_size} {stat.st_mtime_ns}\n".encode())
    return f"{ropewright.__version__}-{seen.hexdigest()[:8]}"
