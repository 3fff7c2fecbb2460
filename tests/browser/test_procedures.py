"""Procedures in a real browser: stepping through, waiting for results, writing with the live proof."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.checker import faults
from tests.browser.conftest import PageAs

PLACE = "/procedures/descent-to-ascent/"
EDIT = f"{PLACE}edit/"
STEPS = 20


def opened(page: Page, address: str = PLACE) -> Page:
    """The storyboard with its pictures, once the process beside the server has drawn them."""
    page.goto(address)
    page.locator(".step.shown .frame").wait_for(timeout=120_000)
    return page


def shown(page: Page) -> str:
    found = page.locator(".step.shown")
    expect(found).to_have_count(1)
    return str(found.get_attribute("id"))


def test_keys_step_through_and_the_address_keeps_the_step(page_as: PageAs) -> None:
    page = opened(page_as("noor"))
    assert shown(page) == "0"
    for key, step in (
        ("ArrowRight", "1"),
        ("ArrowRight", "2"),
        ("ArrowLeft", "1"),
        ("End", str(STEPS)),
        ("Home", "0"),
    ):
        page.keyboard.press(key)
        assert shown(page) == step
    page.keyboard.press("End")
    assert page.url.endswith(f"#{STEPS}")
    page.reload()
    page.locator(".step.shown .frame").wait_for()
    assert shown(page) == str(STEPS)
    expect(page.locator(".strip a[aria-current]")).to_have_text(f"● {STEPS}")


def test_a_mailed_address_opens_at_its_step_and_the_strip_leads_to_any(page_as: PageAs) -> None:
    page = opened(page_as("noor"), f"{PLACE}?step=7")
    assert shown(page) == "7"
    page.locator(".strip a", has_text="12").click()
    assert shown(page) == "12"


def test_a_step_that_changes_nothing_is_shown_with_the_state_that_it_looks_at(page_as: PageAs) -> None:
    page = opened(page_as("noor"), f"{PLACE}#1")
    expect(page.locator(".step.shown .frame svg")).to_be_visible()
    expect(page.locator(".step.shown")).to_contain_text("the picture stays as it was")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_thumbs_are_large_on_a_phone_and_nothing_is_wider_than_it(page_as: PageAs, scheme: str) -> None:
    page = opened(page_as("noor", "phone", scheme))
    on = page.get_by_role("button", name="Next")
    box = on.bounding_box()
    assert box is not None
    assert box["height"] >= 56
    assert box["width"] >= 100
    on.tap()
    on.tap()
    assert shown(page) == "2"
    page.get_by_role("button", name="Back").tap()
    assert shown(page) == "1"
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    assert faults(page) == []


@pytest.mark.parametrize(("width", "height"), [(1280, 640), (1366, 650), (1280, 800)])
def test_the_bar_covers_nothing_of_a_picture_that_was_stepped_to(
    page_as: PageAs, width: int, height: int
) -> None:
    page = page_as("noor")
    page.set_viewport_size({"width": width, "height": height})
    opened(page)
    page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="Next").click()
    frame, bar = page.locator(".step.shown .frame").bounding_box(), page.locator(".thumbs").bounding_box()
    assert frame is not None
    assert bar is not None
    assert frame["height"] > 0.6 * height
    above, below = frame["y"], frame["y"] + frame["height"]
    assert bar["y"] + bar["height"] <= above or below <= bar["y"]
    assert above >= 0
    assert below <= height


def test_a_swipe_steps_too(page_as: PageAs) -> None:
    page = opened(page_as("noor", "phone"))
    page.evaluate(
        """() => {
          const story = document.querySelector("[data-story]");
          const touch = (x) => new Touch({ identifier: 1, target: story, clientX: x, clientY: 300 });
          story.dispatchEvent(new TouchEvent("touchstart", { touches: [touch(300)], bubbles: true }));
          story.dispatchEvent(new TouchEvent("touchend", { changedTouches: [touch(120)], bubbles: true }));
        }"""
    )
    assert shown(page) == "1"


def test_on_paper_and_without_scripts_all_steps_stand_below_each_other(page_as: PageAs) -> None:
    page = opened(page_as("noor"))
    page.emulate_media(media="print")
    assert page.locator(".step:visible").count() == STEPS + 1
    expect(page.locator(".thumbs")).to_be_hidden()


def test_what_is_worked_out_shows_by_itself_and_mistakes_lead_to_their_picture(page_as: PageAs) -> None:
    page = page_as("noor")
    page.goto(f"{PLACE}mistakes/")
    page.get_by_role("heading", name="Critical steps").wait_for(timeout=120_000)
    page.locator("table.mistakes a").first.click()
    page.get_by_role("heading", name="And then").wait_for(timeout=120_000)
    expect(page.locator(".frame svg")).to_have_count(2)
    assert faults(page) == []


def test_whoever_is_signed_out_while_waiting_is_told_so(page_as: PageAs) -> None:
    page = page_as("noor", quiet=False)
    page.route("**/working/**", lambda route: route.continue_())
    page.goto("/procedures/line-transfer/sheets/brief-letter.pdf")
    if page.locator("progress").count():  # a quick machine may have set it by now
        page.context.clear_cookies()
        expect(page.locator("#ageing")).to_contain_text("You are signed out", timeout=30_000)


# --- writing


@pytest.fixture
def desk(page_as: PageAs) -> Iterator[Page]:
    page = page_as()
    page.goto(EDIT)
    expect(page.locator("#checked")).to_contain_text("checked as it stands", timeout=60_000)
    yield page
    page.evaluate("rigEditor.text.value = ''")  # so that nothing asks whether to leave


def test_a_refused_step_shows_at_its_line_while_it_is_written(desk: Page) -> None:
    text = desk.locator("#text").input_value()
    desk.locator("#text").fill(text.replace("  - student: stand in foot up 300 mm\n", ""))
    expect(desk.locator("#verdict")).to_contain_text("refused at step", timeout=60_000)
    reason = desk.locator("#said li", has=desk.locator(".mark-stop")).first
    line = int(str(reason.locator(".line-of").get_attribute("data-line")))
    expect(desk.locator("#numbers b.stop").first).to_have_text(f"✕ {line}")
    written = desk.locator("#text").input_value().splitlines()[line - 1]
    reason.locator(".line-of").click()
    chosen = "(t => t.value.slice(t.selectionStart, t.selectionEnd))(document.getElementById('text'))"
    assert desk.evaluate(chosen) == written


def test_the_newest_text_is_what_the_proof_speaks_of(desk: Page) -> None:
    held: list[Route] = []
    desk.route("**/procedures/live/", lambda route: held.append(route) if not held else route.continue_())
    text = desk.locator("#text").input_value()
    desk.locator("#text").fill(text.replace("sit down", "sit dawn"))
    desk.wait_for_timeout(400)
    desk.locator("#text").fill(text)
    expect(desk.locator("#verdict")).to_contain_text("no step refused", timeout=60_000)
    held[0].continue_()
    desk.wait_for_timeout(500)
    expect(desk.locator("#verdict")).to_contain_text("no step refused")


def test_a_step_moved_in_the_list_moves_in_the_text_and_nothing_else(desk: Page) -> None:
    before = desk.locator("#text").input_value()
    desk.get_by_role("button", name="Steps", exact=True).click()
    desk.get_by_role("button", name="Move step 3 down").click()
    expect(desk.locator("#told")).to_have_text("It is step 4 now.")
    after = desk.locator("#text").input_value()
    assert after != before
    assert sorted(after.splitlines()) == sorted(before.splitlines())
    desk.get_by_role("button", name="Undo the last change").click()
    expect(desk.locator("#told")).to_have_text("Undone.")
    assert desk.locator("#text").input_value() == before


def test_a_form_that_is_chosen_is_there_to_be_filled_in(desk: Page) -> None:
    desk.get_by_role("button", name="Steps", exact=True).click()
    row = desk.locator("details.more")
    row.get_by_label("how it is written").select_option("lock off GEAR")
    field = row.get_by_label("does what")
    expect(field).to_have_value("lock off GEAR")
    desk.keyboard.type("descender")
    expect(field).to_have_value("lock off descender")
    row.get_by_label("who").fill("student")
    row.get_by_role("button", name="Add it").click()
    expect(desk.locator("#told")).to_have_text(f"Step {STEPS + 1} is added.")
    assert desk.locator("#text").input_value().rstrip().endswith("- student: lock off descender")
    assert faults(desk) == []
