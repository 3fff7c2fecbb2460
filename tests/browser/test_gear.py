"""The cache in a real browser: found and inspected, in an event, from a table, given out and taken back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import PageAs, Size, fits


@pytest.fixture(params=["desk", "phone"])
def size(request: pytest.FixtureRequest) -> Size:
    found: Size = request.param
    return found


@pytest.fixture
def page(page_as: PageAs, size: Size) -> Iterator[Page]:
    page = page_as("ravi", size)
    yield page
    assert fits(page)


def searched(page: Page, words: str) -> None:
    page.goto("/gear/")
    page.get_by_role("searchbox", name="Search").fill(words)
    page.get_by_role("button", name="Show", exact=True).click()


def state_of(page: Page) -> str:
    """The state that stands beside the mark of an item."""
    return page.locator(".page-head .aside").inner_text()


def all_good(page: Page) -> None:
    for good in page.get_by_role("radio", name="good", exact=True).all():
        good.check()


def put_on_record(page: Page, verdict: str) -> None:
    page.get_by_label("Verdict").select_option(label=verdict)
    page.get_by_role("button", name="Put it on record").click()


# --- finding and inspecting


def test_the_list_is_narrowed_by_words_and_by_state(page: Page) -> None:
    searched(page, "200 ft on the rig")
    marks = page.get_by_role("rowheader")
    expect(marks).to_have_count(4)
    assert all(mark.startswith("RESCUE-R") for mark in marks.all_inner_texts())
    page.get_by_role("combobox", name="State").select_option(label="quarantined")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page.get_by_text("No item is like that.")).to_be_visible()
    page.get_by_role("link", name="Clear").click()
    page.get_by_role("list", name="The cache by state").get_by_role("link", name="quarantined").click()
    expect(page.get_by_role("row", name="R60-06")).to_contain_text("history unknown")
    expect(page.get_by_role("rowheader", name="RESCUE-R-01")).to_have_count(0)


def test_an_item_is_looked_at_point_by_point_and_the_policy_says_when_again(page: Page, size: Size) -> None:
    mark = {"desk": "S-11", "phone": "S-12"}[size]
    searched(page, mark)
    page.get_by_role("link", name=mark, exact=True).click()
    page.get_by_role("link", name="Inspect", exact=True).click()
    all_good(page)
    heat = page.get_by_role("group", name="Heat")
    heat.get_by_role("radio", name="not looked at").check()
    put_on_record(page, "fit for service")
    expect(page.get_by_role("alert")).to_contain_text("not looked at: Heat")
    heat.get_by_role("radio", name="to be watched").check()
    heat.get_by_label("Note on Heat").fill("one shiny spot near the end")
    days = int(str(re.search(r"(\d+) days by the policy", page.locator("main").inner_text())[1]))  # type: ignore[index]
    day = date.fromisoformat(page.get_by_label("Day", exact=True).input_value())
    put_on_record(page, "fit, to be watched")
    expect(page.get_by_role("status")).to_contain_text("1 inspection on record.")
    expect(page.get_by_role("row", name="Heat")).to_contain_text("one shiny spot near the end")
    due = str(day + timedelta(days=days))
    expect(page.locator("dl.facts")).to_contain_text(due)
    searched(page, mark)
    expect(page.get_by_role("row", name=mark)).to_contain_text(due)


# --- an event


def test_an_event_takes_all_of_a_rig_out_of_use_and_only_inspections_bring_it_back(
    page: Page, size: Size
) -> None:
    given = given_out_for_a_rig(page, f"Drill of the {size}")
    use = page.url
    page.get_by_role("link", name="Log the use of all").click()
    page.get_by_label("Incident, class or drill").fill(f"haul drill, {size}")
    page.get_by_label("Greatest load").fill("2.4 kN")
    page.get_by_role("button", name="Put it in the log").click()
    page.goto(use)
    page.get_by_role("link", name="Something happened").click()
    expect(page.get_by_text(f"This quarantines {len(given)} items")).to_be_visible()
    page.get_by_label("What it was").select_option(label="a shock load")
    page.get_by_label("What happened").fill("the weight dropped half a metre and was caught")
    page.get_by_role("button", name=f"Report it and quarantine {len(given)} items").click()
    event = page.url
    for mark in given:
        expect(page.get_by_role("row", name=mark)).to_contain_text("quarantined")
    expect(page.locator(".page-head")).to_contain_text(f"{len(given)} items still quarantined")
    rope = given[0]
    page.get_by_role("link", name=rope, exact=True).click()
    expect(page.get_by_text("Not to be used.")).to_be_visible()
    expect(page.get_by_role("row", name=f"haul drill, {size}")).to_contain_text("2.40 kN (540 lbf)")
    expect(page.get_by_role("link", name="Give out")).to_have_count(0)
    page.get_by_role("link", name="Inspect", exact=True).click()
    a_periodic_look_does_not_clear_it(page, rope)
    after_the_event(page)
    page.goto(event)
    expect(page.get_by_role("row", name=rope).get_by_role("link", name="inspection of")).to_be_visible()
    expect(page.locator(".page-head")).to_contain_text("1 item still quarantined")
    page.get_by_role("link", name="inspect it").click()
    all_good(page)
    after_the_event(page)
    page.goto(event)
    expect(page.locator(".page-head")).to_contain_text("no item is quarantined any more")
    page.goto(use)
    page.get_by_role("button", name="Tick all that are still out").click()
    page.get_by_role("button", name="Take back what is ticked").click()
    expect(page.locator(".page-head")).to_contain_text("all back")
    expect(page.get_by_role("row", name=rope)).to_contain_text("in service")


def given_out_for_a_rig(page: Page, what: str) -> list[str]:
    """Give out the rope and the pulley of a rig; give their marks."""
    page.goto("/gear/out/new/")
    page.get_by_role("combobox", name="For a rig").select_option(label="Haul 2:1")
    page.get_by_role("button", name="Show its parts").click()
    for part in page.get_by_role("combobox", name=re.compile("device|join of")).all():
        part.select_option(label="none from the cache")
    page.get_by_label("What for").fill(what)
    page.get_by_role("button", name="Give out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(what)
    rows = {
        row.locator("td[data-label=Part]").inner_text(): row.get_by_role("rowheader").get_by_role("link")
        for row in page.get_by_role("row").all()[1:]
    }
    assert set(rows) == {"main", "traveller"}
    return [rows["main"].inner_text(), rows["traveller"].inner_text()]


def a_periodic_look_does_not_clear_it(page: Page, mark: str) -> None:
    all_good(page)
    put_on_record(page, "fit for service")
    expect(page.get_by_role("alert")).to_contain_text(
        f"{mark} was in an event; only a detailed inspection or one after an event clears it"
    )


def after_the_event(page: Page) -> None:
    page.get_by_label("Which inspection").select_option(label="after an event")
    put_on_record(page, "fit for service")
    expect(page.get_by_role("status")).to_contain_text("1 inspection on record.")


# --- from a table


def test_a_table_is_looked_at_row_by_row_before_it_is_taken_in(
    page: Page, size: Size, tmp_path: Path
) -> None:
    good, lost = f"T-{size}-1", f"T-{size}-2"
    file = tmp_path / "tools.csv"
    file.write_text(
        "own mark,catalogue type,length,made,colour\n"
        f"{good},foot-loop,1.2,2024-05-02,red\n"
        f"{lost},foot-lop,1.2,2024-05-02,red\n"
        f"T-{size}-3,foot-loop,1.2,2024-15-02,red\n"
        f",foot-loop,1.2,2024-05-02,red\n"
    )
    page.goto("/gear/table/in/")
    page.get_by_label("Table", exact=True).set_input_files(file)
    page.get_by_role("button", name="Look at it first").click()
    expect(page.get_by_text("Nothing is written yet.")).to_be_visible()
    fates = page.get_by_role("navigation", name="Rows by what they would do")
    expect(fates.get_by_role("link", name="wrong")).to_have_text("3 wrong")
    rows = page.get_by_role("listitem").filter(has=page.get_by_role("heading", level=3))
    expect(rows.filter(has_text=lost)).to_contain_text("foot-loop")
    expect(rows.filter(has_text=f"T-{size}-3")).to_contain_text("2024-15-02")
    expect(rows.filter(has_text="(no name)")).to_contain_text("own mark")
    fates.get_by_role("link", name="new").click()
    expect(rows).to_have_count(1)
    expect(rows).to_contain_text(good)
    searched_for_none(page.context.new_page(), good)
    page.get_by_label("Leave out the 3 wrong rows").check()
    page.get_by_role("button", name="Take in 1 row").click()
    expect(page.get_by_role("status")).to_contain_text("1 new. 3 wrong left out.")
    searched(page, f"T-{size}")
    expect(page.get_by_role("rowheader")).to_have_text([good])
    expect(page.get_by_role("row", name=good)).to_contain_text("never inspected")


def searched_for_none(page: Page, words: str) -> None:
    """In another window nothing is on record yet."""
    searched(page, words)
    expect(page.get_by_text("No item is like that.")).to_be_visible()
    page.close()


# --- out, back, and labels


def test_what_is_given_out_is_out_until_each_is_ticked_as_back(page: Page, size: Size) -> None:
    marks = {"desk": ("C-31", "C-32"), "phone": ("C-33", "C-34")}[size]
    page.goto("/gear/out/new/")
    page.get_by_label("What for").fill(f"Knots evening, {size}")
    page.get_by_label("Who takes it").select_option(label="Bram Oduya")
    page.get_by_label("Items by mark").fill(", ".join(marks))
    page.get_by_role("button", name="Give out").click()
    expect(page.locator(".page-head")).to_contain_text("2 still out")
    use = page.url
    page.goto("/gear/out/")
    expect(page.get_by_role("row", name=f"Knots evening, {size}")).to_contain_text("2 of 2")
    again(page, marks[0])
    page.goto(use)
    for mark in marks:
        expect(page.get_by_role("checkbox", name=f"{mark} is back")).not_to_be_checked()
    page.get_by_role("button", name="Tick all that are still out").click()
    page.get_by_role("checkbox", name=f"{marks[1]} is back").uncheck()
    page.get_by_role("button", name="Take back what is ticked").click()
    expect(page.locator(".page-head")).to_contain_text("1 still out")
    expect(page.get_by_role("row", name=marks[1])).to_contain_text("still out")
    page.get_by_role("button", name="Take back what is ticked").click()
    expect(page.get_by_role("listitem").filter(has_text="Nothing was ticked")).to_be_visible()
    page.get_by_role("checkbox", name=f"{marks[1]} is back").check()
    page.get_by_role("button", name="Take back what is ticked").click()
    expect(page.locator(".page-head")).to_contain_text("all back")
    page.get_by_role("link", name=marks[0], exact=True).click()
    assert "in service" in state_of(page)


def again(page: Page, mark: str) -> None:
    """What is out can't go out a second time."""
    page.goto("/gear/out/new/")
    page.get_by_label("What for").fill("the same again")
    page.get_by_label("Items by mark").fill(mark)
    page.get_by_role("button", name="Give out").click()
    expect(page.get_by_role("alert")).to_contain_text(f"{mark} is not given out")
    expect(page.get_by_label("What for")).to_have_value("the same again")


def test_labels_of_the_ticked_items_come_as_a_pdf(page: Page) -> None:
    page.goto("/gear/?words=P-0")
    for mark in ("P-01", "P-02"):
        page.get_by_role("checkbox", name=f"choose {mark}").check()
    page.get_by_role("button", name="Print labels").click()
    expect(page.get_by_role("group", name="2 labels")).to_be_visible()
    with page.expect_download() as started:
        page.get_by_role("button", name="Make the PDF").click()
    assert started.value.suggested_filename.endswith(".pdf")
    assert Path(started.value.path()).read_bytes().startswith(b"%PDF-")
