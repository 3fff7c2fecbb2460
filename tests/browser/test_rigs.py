"""Rigs in a real browser: found, compared, tried with other figures, their versions, and the card."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PageAs, Size, fits, until

both = pytest.mark.parametrize("size", ["desk", "phone"])
SLOW = 60_000  # what is worked out for the first time, on a busy machine


@both
def test_the_library_is_narrowed_by_words_and_by_what_a_rig_does(page_as: PageAs, size: Size) -> None:
    page = page_as("noor", size)
    page.goto("/rigs/")
    page.get_by_role("searchbox", name="Title, purpose or gear type").fill("bar rack slows")
    page.get_by_role("button", name="Show", exact=True).click()
    titles = page.get_by_role("list").get_by_role("heading", level=3)
    expect(titles.filter(has_text="Descent on a bar rack")).to_be_visible()
    expect(titles.filter(has_text="Haul 3:1")).to_have_count(0)
    expect(page.get_by_text("being worked out")).to_have_count(0, timeout=SLOW)
    page.get_by_label("What it does").select_option(label="lowers")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(titles.filter(has_text="Descent on a bar rack")).to_be_visible()
    page.get_by_label("Verdict").select_option(label="within policy")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page.get_by_text("No rig answers to that.")).to_be_visible()
    assert fits(page)
    page.get_by_role("link", name="show every rig").click()
    expect(titles.filter(has_text="Haul 3:1 with the grab on backwards")).to_be_visible()


@both
def test_two_rigs_and_then_three_stand_side_by_side(page_as: PageAs, size: Size) -> None:
    page = page_as("noor", size)
    page.goto("/rigs/haul-2-1/")
    page.get_by_role("link", name="Compare", exact=True).click()
    expect(page.get_by_text("Choose another rig to set beside Haul 2:1.")).to_be_visible()
    page.get_by_label("with", exact=True).select_option(label="Haul 3:1")
    page.get_by_role("button", name="Compare").click()
    table = page.get_by_role("table")
    expect(table.get_by_role("columnheader")).to_have_text(["Haul 2:1", "Haul 3:1"], timeout=SLOW)
    counted = table.get_by_role("row", name="Counted").get_by_role("cell")
    expect(counted).to_have_text(["2:1", "3:1"])
    said = page.get_by_role("listitem").filter(has_text="Counted")
    expect(said).to_have_text("Counted: “Haul 2:1” 2:1, “Haul 3:1” 3:1.")
    in_window = table.get_by_role("columnheader", name="Haul 3:1").bounding_box()
    assert in_window is not None
    assert in_window["x"] + in_window["width"] <= page.evaluate("innerWidth")
    page.get_by_label("and", exact=False).last.select_option(label="Haul 5:1, simple")
    page.get_by_role("button", name="Compare").click()
    expect(counted).to_have_text(["2:1", "3:1", "5:1"], timeout=SLOW)
    expect(table.get_by_role("row", name="Picture").get_by_role("region")).to_have_count(3)
    assert fits(page)


@both
def test_figures_are_tried_by_the_arrow_keys_and_nothing_is_saved(page_as: PageAs, size: Size) -> None:
    page = page_as("bram", size)
    page.goto("/rigs/haul-3-1/")
    head = page.locator(".page-head .aside").inner_text()
    page.get_by_role("link", name="What if").click()
    caption = page.get_by_role("caption")
    expect(caption).to_have_text("As it is saved")
    table, hand = page.get_by_role("table"), page.get_by_role("row", name="hand force")
    expect(hand).to_contain_text("0.41 kN (93 lbf)")
    for label, key, presses, to in (
        ("mass of weight", "ArrowUp", 5, "105"),
        ("people at haulers", "ArrowDown", 2, "1"),
        ("efficiency of pulley-single", "ArrowDown", 3, "0.82"),
        ("frame, up", "ArrowUp", 4, "12.4"),
    ):
        before = table.inner_text()
        field = page.get_by_label(label)
        for _press in range(presses):
            field.press(key)
        expect(field).to_have_value(to)
        expect(caption).to_contain_text("nothing is saved")
        until(page, f"document.querySelector('table').innerText !== {before!r}")
    expect(page.get_by_role("row", name="at haulers")).to_contain_text("too few")
    expect(page.get_by_role("row", name="angle at frame")).not_to_contain_text("–")
    assert fits(page)
    assert page.evaluate(
        "(t => t.scrollWidth <= t.parentElement.clientWidth)(document.querySelector('table'))"
    )
    page.get_by_role("link", name="Back to the saved figures").click()
    expect(page.get_by_label("mass of weight")).to_have_value("100")
    page.goto("/rigs/haul-3-1/")
    assert page.locator(".page-head .aside").inner_text() == head


@both
def test_a_change_is_a_version_and_what_differs_is_shown(page_as: PageAs, size: Size) -> None:
    slug = "anchor-two-legs"
    page = page_as("bram", size)
    page.goto(f"/rigs/{slug}/edit/")
    text = page.get_by_label("The text of the rig")
    text.fill(text.input_value() + f"# tried at the {size}\n")
    page.get_by_label("Note").fill(f"a note from the {size}")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("#kept")).to_contain_text("Kept as version", timeout=SLOW)
    page.goto(f"/rigs/{slug}/versions/")
    newest = page.get_by_role("row", name=f"a note from the {size}")
    expect(newest).to_contain_text("Bram Oduya")
    expect(newest).to_contain_text("counts")
    assert fits(page)
    newest.get_by_role("radio", name="as the one after").check()
    page.get_by_role("radio", name="version 1 as the one before").check()
    page.get_by_role("button", name="Show what differs").click()
    differs = page.get_by_role("region", name="What differs")
    expect(differs).to_contain_text(f"+ # tried at the {size}")
    expect(differs.get_by_text("−")).to_have_count(0)


@both
def test_the_card_of_a_rig_is_a_pdf(page_as: PageAs, size: Size) -> None:
    page = page_as("noor", size)
    page.goto("/rigs/haul-2-1/")
    with page.expect_download(timeout=SLOW) as started:
        page.get_by_role("link", name="Rig card (PDF)").click()
    assert started.value.suggested_filename.endswith(".pdf")
    paper = Path(started.value.path()).read_bytes()
    assert paper.startswith(b"%PDF-")
    assert len(paper) > 10_000


@both
def test_the_verdict_of_each_margin_is_seen_without_scrolling_aside(page_as: PageAs, size: Size) -> None:
    page = page_as("noor", size)
    page.goto("/rigs/parapet-bare/")
    place = page.get_by_role("region", name="Margins of every part")
    expect(place).to_be_visible(timeout=SLOW)
    assert place.evaluate("box => box.scrollWidth - box.clientWidth") <= 0
    table = place.get_by_role("table")
    expect(table.get_by_role("columnheader")).to_have_text(
        ["Part", "Load", "When", "Strength", "Factor", "Asked", "Verdict"]
    )
    row = table.get_by_role("row", name="grab").first
    expect(row.get_by_role("cell")).to_have_count(7)
    verdict, part = row.get_by_text("too little"), row.get_by_role("link", name="grab")
    first, second = verdict.bounding_box(), part.bounding_box()
    assert first is not None
    assert second is not None
    before = first["x"] < second["x"] and abs(first["y"] - second["y"]) < first["height"]
    assert before == (size == "phone")
