"""The gallery page is the one that the examples give today."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

ROOT = Path(__file__).parents[2]
NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")


def words(svg: str) -> list[str]:
    return re.findall(r"<text[^>]*>([^<]*)</text>", svg)


def test_the_gallery_is_current() -> None:
    """Words and elements to the letter; places to a hair, since another machine's last digit may differ."""
    wanted: dict[Path, str] = runpy.run_path(str(ROOT / "tools" / "gallery.py"))["gallery"]()
    for path, text in wanted.items():
        assert path.exists(), f"{path.name} is missing: run tools/gallery.py"
        found = path.read_text("utf-8")
        assert words(found) == words(text), f"{path.name} is not current: run tools/gallery.py"
        assert NUMBERS.sub("#", found) == NUMBERS.sub("#", text), f"{path.name} is not current"
        old, new = ([float(n) for n in NUMBERS.findall(t)] for t in (found, text))
        assert all(abs(a - b) <= 0.05 for a, b in zip(old, new, strict=True)), f"{path.name} is not current"
    assert set((ROOT / "docs" / "gallery").glob("*")) <= set(wanted)
