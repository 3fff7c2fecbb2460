"""Every page that links lead to: nothing on the console, not wider than a phone, clean for the checker of
accessibility, in light and in dark.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.checker import faults
from tests.browser.conftest import SIZES, PageAs, Scheme, Size
from tests.browser.walk import pages_of

WAYS: tuple[tuple[Size, Scheme], ...] = (("desk", "light"), ("phone", "dark"))
"""Both sizes and both schemes; the look of a scheme does not hang on the size."""
OF_THE_LOOK = ["color-contrast", "target-size", "scrollable-region-focusable", "link-in-text-block"]
"""What the checker finds by size and scheme; the rest hangs on the page's text alone."""
TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def test_every_page_is_clean_for_those_who_read_by_ear_or_in_the_sun(page_as: PageAs) -> None:
    page = page_as("ines")
    wrong: list[str] = []

    def look(path: str) -> None:
        expect(page.locator(".waiting")).to_have_count(0, timeout=120_000)  # what is worked out loads itself
        page.wait_for_load_state()
        for number, (size, scheme) in enumerate(WAYS):
            width, height = SIZES[size]
            page.set_viewport_size({"width": width, "height": height})
            page.emulate_media(color_scheme=scheme)
            here = faults(page, only=OF_THE_LOOK if number else ())
            wide = page.evaluate(TOO_WIDE)
            here += [f"{wide} px wider than the window"] if wide > 0 else []
            wrong.extend(f"{path}, {size}, {scheme}: {each}" for each in here)

    seen = pages_of(page, look)
    assert len(seen) > 60, f"only {sorted(seen.values())} were reached"
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("who", ["auditor", "noor"])
def test_every_page_that_others_reach_opens_and_fits(page_as: PageAs, who: str) -> None:
    """What they read are the lead's pages without the forms, so the checker has been there."""
    page = page_as(who, "phone", "dark")
    wide: list[str] = []
    seen = pages_of(page, lambda path: wide.append(path) if page.evaluate(TOO_WIDE) > 0 else None)
    assert len(seen) >= 5
    assert wide == []


def test_the_sign_in_page_is_clean_too(page_as: PageAs) -> None:
    for size, scheme in WAYS:
        page = page_as(None, size, scheme)
        page.goto("/sign-in/")
        assert faults(page) == []
