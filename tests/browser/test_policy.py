"""The team's rules in a real browser: a number is changed, and what is judged by it says so."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import PageAs, Size, fits

SLOW = 60_000  # what is worked out for the first time, on a busy machine
RIG = "/rigs/haul-3-1/"


def in_force(page: Page) -> int:
    page.goto("/policy/")
    found = re.search(r"version (\d+)", page.locator(".page-head .aside").inner_text())
    assert found
    return int(found[1])


def stands(page: Page, verdict: str, number: int) -> None:
    """The page of a rig says its verdict and by which version of the policy."""
    page.goto(RIG)
    line = page.locator("#verdict")
    expect(line).to_contain_text(verdict, timeout=SLOW)
    expect(line).to_contain_text(f"by Tern Harbor training policy, version {number}")


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_a_number_changed_is_a_version_that_every_verdict_names_until_the_old_one_is_taken_up(
    page_as: PageAs, size: Size
) -> None:
    page = page_as("ines", size)
    before = in_force(page)
    stands(page, "within policy", before)
    page.goto("/policy/")
    page.get_by_role("link", name="Change the rules").click()
    factor = page.get_by_label("Static factor", exact=True)
    factor.fill("16 kg")
    page.get_by_label("What was changed, and why").fill(f"a winter trial at the {size}")
    save = page.get_by_role("button", name="Save as a new version")
    save.click()
    expect(page.get_by_role("alert").first).to_contain_text("Not saved. Look at Strength")
    expect(factor).to_have_attribute("aria-invalid", "true")
    factor.fill("16")
    page.get_by_label("Where it comes from: Static factor").fill("Tern Harbor winter trial (invented)")
    save.click()
    expect(page.get_by_role("status")).to_contain_text(f"Version {before + 1} is in force.")
    rule = page.get_by_role("row", name="Static factor")
    expect(rule).to_contain_text("16 the team's own")
    expect(rule).to_contain_text("Tern Harbor winter trial (invented)")
    page.get_by_role("link", name="Every version").click()
    newest = page.get_by_role("row", name=f"a winter trial at the {size}")
    expect(newest).to_contain_text("Ines Calloway")
    expect(newest).to_contain_text("in force")
    newest.get_by_role("link").click()
    change = page.get_by_role("region", name="What differs").get_by_role("row", name="Static factor")
    expect(change.get_by_role("cell")).to_have_text(["10", "16", "Tern Harbor winter trial (invented)"])
    assert fits(page)
    stands(page, "outside policy", before + 1)
    expect(page.get_by_role("list", name="What keeps it outside policy")).to_contain_text("16")
    is_taken_up_again(page, before)
    stands(page, "within policy", before + 2)


def is_taken_up_again(page: Page, number: int) -> None:
    page.goto(f"/policy/versions/{number}/")
    page.get_by_label("Why").fill("the trial is over")
    page.get_by_role("button", name=f"Take version {number} up again").click()
    said = f"Version {number + 2} is in force; it says what version {number} said."
    expect(page.get_by_role("status")).to_contain_text(said)


def test_a_student_reads_the_rules_and_changes_none(page_as: PageAs) -> None:
    page = page_as("noor", "phone", quiet=False)
    page.goto("/policy/")
    expect(page.get_by_role("row", name="Static factor")).to_be_visible()
    expect(page.get_by_role("link", name="Change the rules")).to_have_count(0)
    answer = page.goto("/policy/change/")
    assert answer is not None
    assert answer.status == 403
