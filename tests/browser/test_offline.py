"""Without a network: pages that were opened stay readable and say how old they are; others say so."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from ropewright.web.demo import PASSWORD
from tests.browser.conftest import PageAs, until


@pytest.fixture
def page(page_as: PageAs) -> Page:
    """A page whose worker is at its work; a failed fetch prints on the console, so that is not looked at."""
    page = page_as("ines", "phone", quiet=False)
    page.goto("/today/")
    until(page, "navigator.serviceWorker.controller !== null")
    return page


def _keep(page: Page, path: str) -> None:
    page.goto(path)
    until(page, f"caches.open('pages').then(c => c.match('{path}')).then(Boolean)")


def test_a_rig_that_was_opened_stays_readable_and_says_how_old_it_is(page: Page) -> None:
    _keep(page, "/rigs/haul-3-1/")
    page.context.set_offline(True)
    page.goto("/rigs/haul-3-1/")
    expect(page.locator("figure.picture svg").first).to_be_visible()
    expect(page.get_by_role("status").first).to_contain_text("This page was kept just now")


def test_a_storyboard_stays_readable_once_its_pictures_are_drawn(page: Page) -> None:
    page.goto("/procedures/lock-off-and-undo/")
    expect(page.locator("figure svg").first).to_be_visible(timeout=60_000)
    _keep(page, "/procedures/lock-off-and-undo/")
    page.context.set_offline(True)
    page.goto("/procedures/lock-off-and-undo/")
    expect(page.locator("figure svg").first).to_be_visible()
    expect(page.get_by_role("status").first).to_contain_text("This page was kept just now")


def test_a_page_never_opened_says_so_and_lists_what_is_kept(page: Page) -> None:
    _keep(page, "/rigs/haul-3-1/")
    page.context.set_offline(True)
    page.goto("/gear/")
    expect(page.get_by_role("heading", name="No network")).to_be_visible()
    expect(page.get_by_role("link", name="Haul 3:1")).to_be_visible()


def test_people_are_kept_on_no_device(page: Page) -> None:
    page.goto("/people/")
    page.wait_for_timeout(300)
    page.context.set_offline(True)
    page.goto("/people/")
    expect(page.get_by_role("heading", name="No network")).to_be_visible()


def test_signing_out_forgets_what_was_kept(page_as: PageAs) -> None:
    page = page_as(None, "phone", quiet=False)
    page.goto("/sign-in/")
    page.locator("input[name=username]").fill("bram")
    page.locator("input[name=password]").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    until(page, "navigator.serviceWorker.controller !== null")
    _keep(page, "/rigs/haul-3-1/")
    page.goto("/me/")
    page.get_by_role("button", name="Sign out here").click()
    page.wait_for_url("**/sign-in/**")
    until(page, "caches.has('pages').then(there => !there)")


def test_it_can_be_installed(page_as: PageAs) -> None:
    page = page_as("ines")
    page.goto("/today/")
    session = page.context.new_cdp_session(page)
    manifest = session.send("Page.getAppManifest")
    assert manifest["errors"] == []
    wrong = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
    assert [w["errorId"] for w in wrong if w["errorId"] != "in-incognito"] == []
