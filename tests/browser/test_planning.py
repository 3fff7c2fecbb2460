"""A day planned in a real browser: what is missing, what would repair it, and whether that is true."""

from __future__ import annotations

from datetime import timedelta

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import PageAs, Size, fits, today

both = pytest.mark.parametrize("size", ["desk", "phone"])
SLOW = 60_000  # what is worked out for the first time, on a busy machine
ROPES = "rope-12.5-low-stretch"


def planned(page: Page, title: str) -> None:
    """Two rigs, one of them four times: five long ropes, where the cache has four that may be used."""
    page.goto("/plans/")
    page.get_by_role("link", name="New plan").click()
    page.get_by_label("What for").fill(title)
    page.get_by_label("Day", exact=True).fill(str(today() + timedelta(days=16)))
    for group, rig, count in (("Rig 1", "Haul 2:1", "4"), ("Rig 2", "Haul 3:1", "1")):
        row = page.get_by_role("group", name=group)
        row.get_by_label("Rig", exact=True).select_option(label=rig)
        row.get_by_label("How many").fill(count)
    page.locator("[name=more_instructors]").fill("20")  # hands enough for every rope
    page.get_by_role("button", name="See whether we can").click()
    verdict = page.get_by_role("region", name="Verdict")
    expect(verdict).to_contain_text("No: not as planned", timeout=SLOW)
    expect(verdict).to_contain_text(f"Missing: 1 × {ROPES}, 30.1 m (98.9 ft).")


def repair(page: Page, does: str) -> Locator:
    return page.get_by_role("listitem").filter(has_text=does)


def follow(page: Page, does: Locator) -> None:
    does.get_by_role("link", name="Change the plan so").click()
    expect(page.get_by_role("status")).to_contain_text("Nothing is changed before you press the button.")


def see(page: Page) -> None:
    page.get_by_role("button", name="Keep, and see").click()
    expect(page.get_by_role("region", name="Verdict")).to_contain_text("Yes: it can be rigged", timeout=SLOW)
    expect(page.get_by_role("heading", name="What would repair it")).to_have_count(0)


def ropes_given(page: Page) -> list[str]:
    """The marks of the ropes on the pick list, one for each rig of the plan."""
    page.get_by_role("link", name="Pick list").click()
    expect(page.locator("main")).to_contain_text("can be rigged")
    assert fits(page)
    return [row.get_by_role("rowheader").inner_text() for row in page.get_by_role("row", name=ROPES).all()]


@both
def test_a_rope_that_is_missing_is_lent_down_to_the_reserve_and_not_before_one_says_so(
    page_as: PageAs, size: Size
) -> None:
    page = page_as("bram", size)
    planned(page, f"Hauling at the tower, {size}")
    kept = repair(page, f"{ROPES}, 61 m (200 ft) or longer: the policy keeps 2, the front line holds 4")
    expect(kept).to_contain_text("none is lent for this plan, 2 could be at most")
    short = page.get_by_role("row", name=f"{ROPES}, 30.1 m (98.9 ft)")
    expect(short).to_contain_text("1 short")
    longest = page.get_by_role("row", name=f"{ROPES}, 31.1 m (102 ft)")
    longest.locator("summary").click()
    expect(longest.get_by_text("R60-06")).to_be_visible()
    assert fits(page)
    way = repair(page, "from the front line")
    expect(way).to_contain_text("All of it can be rigged.")
    expect(way).to_contain_text("Training wear then goes back onto the rig: inspect it first.")
    follow(page, way)
    expect(page.get_by_label("The front line may be lent")).to_be_checked()
    see(page)
    expect(page.locator("main")).to_contain_text("Lent from the front line: RESCUE-R-0")
    expect(kept).to_contain_text("lending is allowed for this plan")
    given = ropes_given(page)
    assert len(given) == len(set(given)) == 5
    assert sum(mark.startswith("RESCUE-R-") for mark in given) == 1
    assert not {"R60-05", "R60-06"} & set(given), "one that is quarantined is given"


@both
def test_one_rig_fewer_is_a_way_too_and_takes_nothing_of_the_front_line(page_as: PageAs, size: Size) -> None:
    page, title = page_as("ravi", size), f"Hauling at the quay, {size}"
    planned(page, title)
    way = repair(page, "Rig Haul 2:1 3 times instead of 4 times")
    expect(way).to_contain_text("All the rest can be rigged.")
    follow(page, way)
    first = page.get_by_role("group", name="Rig 1")
    expect(first.get_by_label("How many")).to_have_value("3")
    page.goto("/plans/")
    page.get_by_role("link", name=title).click()
    expect(page.get_by_role("region", name="Verdict")).to_contain_text("No: not as planned")
    follow(page, way)
    see(page)
    stations = [each.inner_text() for each in page.locator("summary b").all()]
    assert stations == ["Haul 2:1 no. 1", "Haul 2:1 no. 2", "Haul 2:1 no. 3", "Haul 3:1"]
    assert sorted(ropes_given(page)) == ["R60-01", "R60-02", "R60-03", "R60-04"]


@both
def test_a_refused_plan_has_the_focus_on_what_is_to_be_mended(page_as: PageAs, size: Size) -> None:
    page = page_as("bram", size)
    page.goto("/plans/new/")
    page.get_by_role("button", name="See whether we can").click()
    faults = page.get_by_role("group", name="These are to be mended first")
    expect(faults).to_be_focused()
    expect(faults).to_be_in_viewport()
    faults.get_by_role("link", name="Day").click()
    expect(page.get_by_label("Day", exact=True)).to_be_in_viewport()
    assert fits(page)
