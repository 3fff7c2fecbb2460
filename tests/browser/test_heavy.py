"""A rig that is too large for a request: its pages wait in the browser, and open by themselves."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PageAs, Size, fits
from tests.heavy import many_pulleys

SLOW = 120_000  # the process beside the server, on a busy machine
PULLEYS = 20


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_a_large_rig_is_taken_in_waits_and_shows_its_verdict(
    page_as: PageAs, size: Size, tmp_path: Path
) -> None:
    file = tmp_path / f"long-way-round-{size}.rig.yaml"
    file.write_text(many_pulleys(PULLEYS, f"A long way round, {size}"))
    page = page_as("bram", size)
    page.goto("/rigs/upload/")
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_role("button", name="Take it in").click()
    expect(page.get_by_text(f"Taken in as long-way-round-{size}.rig.yaml.")).to_be_visible()
    expect(page.get_by_role("progressbar")).to_be_visible()
    expect(page.get_by_role("link", name="Edit")).to_be_visible()
    assert fits(page)
    expect(page.get_by_role("link", name="Rig card (PDF)")).to_be_visible(timeout=SLOW)
    expect(page.get_by_role("main").get_by_text("policy").first).to_be_visible()
    expect(page.get_by_role("progressbar")).to_have_count(0)
    with page.expect_download(timeout=SLOW) as started:
        page.get_by_role("link", name="Rig card (PDF)").click()
        expect(page.get_by_text("This page is not the file")).to_be_visible()
        assert fits(page)
    assert Path(started.value.path()).read_bytes().startswith(b"%PDF-")
    expect(page.get_by_role("status").filter(has_text="worked out")).to_be_visible()


def test_a_large_rig_stands_in_the_library_and_fills_in(page_as: PageAs, tmp_path: Path) -> None:
    file = tmp_path / "another-way-round.rig.yaml"
    file.write_text(many_pulleys(PULLEYS, "Another way round"))
    page = page_as("bram")
    page.goto("/rigs/upload/")
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_role("button", name="Take it in").click()
    page.goto("/rigs/?words=another+way")
    listed = page.get_by_role("listitem").filter(has_text="Another way round")
    expect(listed).to_be_visible()
    expect(listed.get_by_text("policy")).to_be_visible(timeout=SLOW)
