"""Every page that links lead to: nothing on the console, not wider than a phone, clean for the checker of
accessibility, in light and in dark.
"""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.conftest import PageAs, Scheme, Size
from tests.browser.walk import pages_of

WAYS: tuple[tuple[Size, Scheme], ...] = (("desk", "light"), ("phone", "dark"))
"""Both sizes and both schemes; the look of a scheme does not hang on the size."""
TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.mark.parametrize("who", ["ines", "noor", "auditor"])
def test_every_page_is_clean_for_those_who_read_by_ear_or_in_the_sun(page_as: PageAs, who: str) -> None:
    paths = sorted(pages_of(page_as(who)).values())
    assert len(paths) >= 5, f"only {paths} were reached"
    wrong: list[str] = []
    for size, scheme in WAYS if who == "ines" else WAYS[:1]:
        page = page_as(who, size, scheme)
        for path in paths:
            page.goto(path)
            said = Axe().run(page)
            wrong += [
                f"{path} ({size}, {scheme}): {fault['help']}: {fault['nodes'][0]['html'][:160]}"
                for fault in said.response["violations"]
            ]
            wide = page.evaluate(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            )
            if wide > 0:
                wrong.append(f"{path} ({size}): {wide} px wider than the window")
    assert not wrong, "\n".join(wrong)


def test_the_sign_in_page_is_clean_too(page_as: PageAs) -> None:
    for size, scheme in WAYS:
        page = page_as(None, size, scheme)
        page.goto("/sign-in/")
        assert Axe().run(page).response["violations"] == []
