"""Every page that links lead to: nothing on the console, not wider than a phone, clean for the checker of
accessibility, in light and in dark.
"""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.browser.conftest import PageAs, Scheme, Size
from tests.browser.walk import pages_of

WAYS: tuple[tuple[Size, Scheme], ...] = (("desk", "light"), ("phone", "dark"))
"""Both sizes and both schemes; the look of a scheme does not hang on the size."""
WHO = [("ines", *WAYS[0]), ("ines", *WAYS[1]), ("noor", *WAYS[1])]
TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.mark.parametrize(("who", "size", "scheme"), WHO)
def test_every_page_is_clean_for_those_who_read_by_ear_or_in_the_sun(
    page_as: PageAs, who: str, size: Size, scheme: Scheme
) -> None:
    page = page_as(who, size, scheme)
    wrong: list[str] = []

    def look(path: str) -> None:
        expect(page.locator(".waiting")).to_have_count(0, timeout=120_000)  # what is worked out loads itself
        page.wait_for_load_state()
        faults = Axe().run(page).response["violations"]
        wrong.extend(f"{path}: {fault['help']}: {fault['nodes'][0]['html'][:160]}" for fault in faults)
        wide = page.evaluate(TOO_WIDE)
        if wide > 0:
            wrong.append(f"{path}: {wide} px wider than the window")

    seen = pages_of(page, look)
    assert len(seen) >= 5, f"only {sorted(seen.values())} were reached"
    assert not wrong, "\n".join(wrong)


def test_every_page_that_an_auditor_reaches_opens_and_fits(page_as: PageAs) -> None:
    """What they read are the lead's pages without the forms, so the checker has been there."""
    page = page_as("auditor", "phone", "light")
    wide: list[str] = []
    seen = pages_of(page, lambda path: wide.append(path) if page.evaluate(TOO_WIDE) > 0 else None)
    assert len(seen) >= 5
    assert wide == []


def test_the_sign_in_page_is_clean_too(page_as: PageAs) -> None:
    for size, scheme in WAYS:
        page = page_as(None, size, scheme)
        page.goto("/sign-in/")
        assert Axe().run(page).response["violations"] == []
