"""The checker of accessibility, asked about a page as it stands."""

from __future__ import annotations

from collections.abc import Sequence

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

__all__ = ["faults"]

_ASK = """options => axe.run(document, options).then(
  found => found.violations.map(fault => `${fault.help}: ${fault.nodes[0].html.slice(0, 160)}`))"""


def faults(page: Page, *, only: Sequence[str] = ()) -> list[str]:
    """What the checker has against a page, by all its rules or ``only`` some."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(Axe().axe_script)
    options = {"resultTypes": ["violations"], **({"runOnly": list(only)} if only else {})}
    found: list[str] = page.evaluate(_ASK, options)
    return found
