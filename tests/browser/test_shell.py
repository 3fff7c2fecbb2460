"""The shell as a person meets it: signing in, going places, at a desk and on a phone."""

from __future__ import annotations

from playwright.sync_api import expect

from ropewright.web.demo import PASSWORD
from tests.browser.conftest import PageAs


def test_one_signs_in_and_one_click_leads_to_a_rig_with_its_picture(page_as: PageAs) -> None:
    page = page_as(None)
    page.goto("/")
    page.locator("input[name=username]").fill("ines")
    page.locator("input[name=password]").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
    page.locator("main a[href^='/rigs/']:not([href='/rigs/'])").first.click()
    expect(page.locator("figure.picture svg").first).to_be_visible()


def test_on_a_phone_the_places_fold_away_and_open(page_as: PageAs) -> None:
    page = page_as("ines", "phone")
    page.goto("/today/")
    rigs = page.get_by_role("navigation").get_by_role("link", name="Rigs")
    expect(rigs).to_be_hidden()
    page.get_by_role("button", name="Menu").click()
    rigs.click()
    expect(page.get_by_role("heading", name="Rigs", exact=True)).to_be_visible()


def test_no_page_is_wider_than_a_phone(page_as: PageAs) -> None:
    page = page_as("ines", "phone")
    for path in ("/today/", "/rigs/", "/procedures/", "/gear/", "/people/", "/plans/", "/policy/", "/me/"):
        page.goto(path)
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, f"{path} is {wide} px wider than the phone"
