"""The roster in a real browser: who reads a mass, what runs out, and people from a table."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import PageAs, Size, fits, today

both = pytest.mark.parametrize("size", ["desk", "phone"])


def added(page: Page, name: str, **figures: str) -> str:
    """Put a student on the roster; give the address of the entry."""
    page.goto("/people/")
    page.get_by_role("link", name="Add somebody").click()
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Duty").fill("student")
    for label, text in figures.items():
        page.get_by_label(label).fill(text)
    page.get_by_role("button", name="Keep it").click()
    return page.url


@both
def test_a_mass_is_read_by_those_who_teach_and_by_nobody_else(page_as: PageAs, size: Size) -> None:
    name = f"Wren Halloran {size}"
    page = page_as("ines", size)
    added(page, name, **{"Mass with gear": "3000 kg"})
    fault = page.get_by_role("alert")
    expect(fault).to_contain_text("within 25–300 kg (55–661 lb)")
    expect(page.get_by_label("Duty")).to_have_value("student")
    page.get_by_label("Mass with gear").fill("187 lb")
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_role("status")).to_contain_text(f"{name} is on the roster.")
    mass = page.get_by_text("84.8 kg (187 lb)")
    expect(mass).to_be_visible()
    assert fits(page)
    address = page.url
    page = page_as("auditor", size)
    page.goto(address)
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    expect(page.locator("main")).not_to_contain_text("Mass with gear")
    expect(page.locator("main")).not_to_contain_text("kg")
    student = page_as("noor", size, quiet=False)
    for closed in (address, "/people/"):
        student.goto(closed)
        expect(student.locator("main")).not_to_contain_text(name)
    student.goto("/me/")
    expect(student.locator("main")).to_contain_text("78 kg (172 lb)")


@both
def test_what_runs_out_soon_is_told_until_a_later_one_replaces_it(page_as: PageAs, size: Size) -> None:
    name = f"Isla Thornquist {size}"
    page = page_as("ines", size)
    address = added(page, name)
    has(page, name, "medical", 700, 20)
    expect(page.get_by_role("row", name="medical")).to_contain_text("expires in 20 days")
    page.goto("/people/?q=Thornquist")
    expect(page.get_by_role("row", name=name)).to_contain_text("expires in 20 days medical")
    page.get_by_role("link", name="What runs out").click()
    told = page.get_by_role("row", name=name)
    expect(told).to_contain_text(str(today() + timedelta(days=20)))
    assert told.get_by_text("expires in 20 days").is_visible()
    assert fits(page)
    page.goto(address)
    has(page, name, "medical", 0, 400)
    expect(page.get_by_role("row", name="expires in 20 days")).to_have_count(0)
    expect(page.get_by_role("row", name="replaced by a later one")).to_have_count(1)
    page.goto("/people/running-out/")
    expect(page.get_by_role("row", name="Ravi Marchetti")).to_contain_text("expired 10 days ago")
    expect(page.get_by_role("row", name=name)).to_have_count(0)


def has(page: Page, name: str, what: str, since: int, left: int) -> None:
    page.get_by_role("link", name=f"Add what {name} has").click()
    page.get_by_label("What", exact=True).fill(what)
    page.get_by_label("Since").fill(str(today() - timedelta(days=since)))
    page.get_by_label("Expires").fill(str(today() + timedelta(days=left)))
    page.get_by_role("button", name="Keep it").click()


@both
def test_people_from_a_table_are_looked_at_before_they_are_taken_in(
    page_as: PageAs, size: Size, tmp_path: Path
) -> None:
    name = f"Piet Sandoval {size}"
    file = tmp_path / "people.csv"
    file.write_text(
        f"name,own number,duty,mass (lb)\n{name},N-{size},student,176\n"
        f"Lina Farquhar {size},M-{size},student,heavy\n,O-{size},student,150\n"
    )
    page = page_as("ines", size)
    page.goto("/people/")
    page.get_by_role("link", name="From a table").click()
    page.get_by_label("Table", exact=True).set_input_files(file)
    page.get_by_role("button", name="Look at it first").click()
    rows = page.get_by_role("listitem").filter(has=page.get_by_role("heading", level=3))
    expect(rows).to_have_count(2)
    expect(rows.filter(has_text=f"Lina Farquhar {size}")).to_contain_text("'heavy'")
    expect(rows.filter(has_text="(no name)")).to_contain_text("name")
    page.get_by_role("link", name="1 new").click()
    expect(rows).to_contain_text("79.8 kg (176 lb)")
    assert fits(page)
    page.get_by_label("Leave out the 2 wrong rows").check()
    page.get_by_role("button", name="Take in 1 row").click()
    expect(page.get_by_role("status")).to_contain_text("1 new. 2 wrong left out.")
    page.goto(f"/people/?q={size}")
    expect(page.get_by_role("rowheader").filter(has_text=name)).to_have_count(1)
    expect(page.get_by_role("rowheader").filter(has_text="Farquhar")).to_have_count(0)
