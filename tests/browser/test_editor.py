"""The editor in a real browser: writing, the look at it, the tables, and saving when things go wrong."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Dialog, Locator, Page, Route, expect

from tests.browser.checker import faults
from tests.browser.conftest import PageAs, Scheme, Size, until

RIG = "haul-2-1"
EDIT = f"/rigs/{RIG}/edit/"
COUNTER = iter(range(1, 10_000))


def opened(page: Page, address: str = EDIT) -> Page:
    page.goto(address)
    expect(page.locator("#checked")).to_contain_text("checked as it stands")
    return page


def text_of(page: Page) -> str:
    return page.locator("#text").input_value()


def write(page: Page, text: str) -> None:
    page.locator("#text").fill(text)


def with_note(text: str) -> str:
    """The text with a comment that no other test writes."""
    return f"{text}# note {next(COUNTER)}\n"


@pytest.fixture
def desk(page_as: PageAs) -> Iterator[Page]:
    page = opened(page_as())
    yield page
    page.evaluate("rigEditor.text.value = ''")  # so that nothing asks whether to leave


def test_a_text_is_checked_while_it_is_written(desk: Page) -> None:
    text = text_of(desk)
    write(desk, text.replace("pulley-single", "pulley-sinle", 1))
    expect(desk.locator("#verdict")).to_contain_text("1 fault")
    expect(desk.locator("#said")).to_contain_text("Did you mean `pulley-single`?")
    line = next(n for n, each in enumerate(text.splitlines(), 1) if "pulley-single" in each)
    expect(desk.locator("#numbers b")).to_have_text(f"✕ {line}")
    expect(desk.locator("#old-picture")).to_be_visible()
    write(desk, text)
    expect(desk.locator("#verdict")).to_contain_text("policy")
    expect(desk.locator("#old-picture")).to_be_hidden()


def test_a_finding_selects_its_line(desk: Page) -> None:
    write(desk, text_of(desk).replace("pulley-single", "pulley-sinle", 1))
    expect(desk.locator("#said")).to_contain_text("pulley-sinle")  # what was found before stood there too
    desk.locator("#said .line-of").click()
    chosen = desk.evaluate(
        "rigEditor.text.value.slice(rigEditor.text.selectionStart, rigEditor.text.selectionEnd)"
    )
    assert chosen.startswith("pulley-sinle")
    assert desk.evaluate("document.activeElement.id") == "text"


def test_the_picture_opens_large_by_keyboard_and_closes_again(desk: Page) -> None:
    small = desk.locator("#picture svg").bounding_box()
    button = desk.get_by_role("button", name="Show the picture large")
    button.focus()
    desk.keyboard.press("Enter")
    expect(desk.locator("#large")).to_be_visible()
    large = desk.locator("#large svg").bounding_box()
    assert small
    assert large
    assert large["width"] > 1.5 * small["width"]
    desk.keyboard.press("Escape")
    expect(desk.locator("#large")).to_be_hidden()
    expect(button).to_be_focused()


def test_the_counts_of_findings_are_seen_at_first_sight(desk: Page) -> None:
    counts = desk.locator("#verdict .counted")
    expect(counts).to_contain_text("no stops")
    expect(counts).to_be_in_viewport()


def test_only_the_newest_answer_is_shown(desk: Page) -> None:
    text, held = text_of(desk), list[Route]()

    def hold(route: Route) -> None:
        if "sinle" in (route.request.post_data or "") and not held:
            held.append(route)
        else:
            route.continue_()

    desk.route("**/rigs/live/", hold)
    write(desk, text.replace("pulley-single", "pulley-sinle", 1))
    until(desk, "document.getElementById('checked').textContent === 'checking…'")
    desk.wait_for_timeout(400)
    write(desk, with_note(text))
    expect(desk.locator("#checked")).to_contain_text("checked as it stands")
    for route in held:
        route.abort()
    expect(desk.locator("#verdict")).not_to_contain_text("fault")


def test_the_tab_key_is_no_trap_and_a_new_line_keeps_its_indent(desk: Page) -> None:
    desk.locator("#text").focus()
    desk.keyboard.press("Tab")
    assert desk.evaluate("document.activeElement.id") != "text"
    write(desk, "ropes:\n  main:\n    run:\n      - tie beam")
    desk.locator("#text").press("Control+End")
    desk.locator("#text").press("Enter")
    assert text_of(desk).endswith("\n      - tie beam\n      - ")
    desk.locator("#text").press("Enter")
    assert text_of(desk).endswith("\n      - tie beam\n      ")


def test_numbers_stand_beside_their_lines(desk: Page) -> None:
    heights = desk.evaluate("[document.getElementById('numbers').scrollHeight, rigEditor.text.clientHeight]")
    rows = desk.evaluate("parseFloat(getComputedStyle(rigEditor.text).lineHeight)")
    assert abs(heights[0] - heights[1]) <= rows + 1


def test_a_save_is_a_version_and_the_same_again_is_none(desk: Page) -> None:
    write(desk, with_note(text_of(desk)))
    desk.get_by_label("Note").fill("from the browser")
    desk.get_by_role("button", name="Save").click()
    expect(desk.locator("#kept")).to_contain_text("Kept as version")
    desk.get_by_role("button", name="Save").click()
    expect(desk.locator("#kept")).to_contain_text("Nothing has changed")
    assert desk.evaluate("Object.keys(localStorage).filter((k) => k.startsWith('ropewright:'))") == []


def test_two_at_once_both_stay_and_the_second_chooses(page_as: PageAs) -> None:
    one, two = opened(page_as("ines")), opened(page_as("bram"))
    mine = with_note(text_of(two))
    write(one, with_note(text_of(one)))
    one.get_by_role("button", name="Save").click()
    expect(one.locator("#kept")).to_contain_text("Kept as version")
    write(two, mine)
    two.get_by_role("button", name="Save").click()
    expect(two.locator("#kept")).to_contain_text("Ines Calloway saved version")
    two.get_by_role("link", name="See both and choose").click()
    expect(two.get_by_role("heading", level=1)).to_contain_text("stands beside")
    two.get_by_role("button", name=re.compile("Let version .* count")).click()
    two.wait_for_url(f"**/rigs/{RIG}/")
    assert text_of(opened(two)) == mine


def test_a_server_that_is_gone_loses_nothing_and_the_save_arrives_once(page_as: PageAs) -> None:
    page = opened(page_as(quiet=False))
    sent = list[str]()

    def lose(route: Route) -> None:
        sent.append(route.request.post_data or "")
        if len(sent) == 1:
            route.abort()  # never arrived
        elif len(sent) == 2:
            route.fetch()  # arrived, and the answer was lost
            route.abort()
        else:
            route.continue_()

    page.route("**/edit/save/", lose)
    write(page, with_note(text_of(page)))
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#kept")).to_contain_text("The server can't be reached. Not saved yet")
    expect(page.locator("#kept")).to_contain_text("Kept as version", timeout=20_000)
    assert len(sent) == 3
    number = re.search(r"version (\d+)", page.locator("#kept").inner_text())
    assert number
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#kept")).to_contain_text(f"version {number[1]} holds this text already")


def test_a_busy_store_is_waited_for(page_as: PageAs) -> None:
    page = opened(page_as(quiet=False))
    tries = list[int]()

    def busy(route: Route) -> None:
        tries.append(1)
        if len(tries) == 1:
            route.fulfill(status=503, body="busy")
        else:
            route.continue_()

    page.route("**/edit/save/", busy)
    write(page, with_note(text_of(page)))
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#kept")).to_contain_text("The store can't be written just now. Not saved yet")
    expect(page.locator("#kept")).to_contain_text("Kept as version")


def test_a_session_that_is_over_keeps_the_text_until_somebody_is_back(page_as: PageAs) -> None:
    page = opened(page_as("bram", quiet=False))
    session = page.context.cookies()
    text = with_note(text_of(page))
    write(page, text)
    page.context.clear_cookies(name="sessionid")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#kept")).to_contain_text("You are signed out. Not saved yet")
    assert text_of(page) == text
    page.context.add_cookies([each for each in session if each["name"] == "sessionid"])  # type: ignore[misc]
    with page.context.expect_page() as other:
        page.get_by_role("link", name="Sign in in another tab").click()
    expect(other.value.get_by_role("heading", level=1)).to_have_text("Signed in")
    expect(page.locator("#kept")).to_contain_text("Kept as version")


def test_an_unsaved_text_is_found_again_and_forgotten_at_sign_out(page_as: PageAs) -> None:
    page = opened(page_as("bram"))
    text = with_note(text_of(page))
    write(page, text)
    until(page, "Object.keys(localStorage).some((k) => k.startsWith('ropewright:text:'))")
    page.on("dialog", lambda dialog: dialog.accept())  # leaving with unsaved text asks first
    opened(page)
    expect(page.locator("#found")).to_be_visible()
    page.get_by_role("button", name="Go on from it").click()
    assert text_of(page) == text
    page.evaluate("document.body.insertAdjacentHTML('beforeend', '<form data-sign-out id=out></form>')")
    page.evaluate("document.getElementById('out').addEventListener('submit', (e) => e.preventDefault())")
    page.evaluate("document.getElementById('out').requestSubmit()")
    assert page.evaluate("Object.keys(localStorage).filter((k) => k.startsWith('ropewright:'))") == []


def test_leaving_with_unsaved_text_asks_first(page_as: PageAs) -> None:
    page = opened(page_as())
    asked = list[str]()

    def answer(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.accept()

    page.on("dialog", answer)
    page.locator("#text").click()
    page.keyboard.type("# ")
    page.goto("/rigs/")
    assert asked == ["beforeunload"]


def test_the_tables_change_the_same_text(desk: Page) -> None:
    before = text_of(desk)
    desk.get_by_role("button", name="Ropes and gear").click()
    desk.locator("[data-key=contact-main-0]").get_by_role("button", name=re.compile("down")).click()
    expect(desk.locator("#told")).to_contain_text("Moved towards the end of main.")
    assert text_of(desk) != before
    assert sorted(text_of(desk).splitlines()) == sorted(before.splitlines())
    assert desk.evaluate("document.activeElement.closest('[data-key]').dataset.key") == "contact-main-1"
    desk.get_by_role("button", name="Undo the last change").click()
    expect(desk.locator("#told")).to_have_text("Undone.")
    assert text_of(desk) == before


def test_a_figure_that_cannot_be_is_told_at_its_field_and_changes_nothing(desk: Page) -> None:
    before = text_of(desk)
    desk.get_by_role("button", name="Ropes and gear").click()
    load = desk.get_by_role("region", name="Loads").locator("details.part").first
    load.locator("summary").click()
    mass = load.get_by_label("mass")
    mass.fill("90000")
    load.get_by_role("button", name="Change it").click()
    expect(mass).to_be_focused()
    expect(mass).to_have_attribute("aria-invalid", "true")
    expect(mass).to_have_accessible_description(
        re.compile("^.*found 90000 kg; the mass of an? .* is between")
    )
    expect(load.locator(".field-wrong + .wrong")).to_be_visible()
    assert text_of(desk) == before
    mass.fill("70")
    load.get_by_role("button", name="Change it").click()
    expect(desk.locator("#told")).to_contain_text("is changed.")
    expect(desk.locator("[aria-invalid]")).to_have_count(0)


def test_what_is_stated_is_written_through_the_tables_and_goes_again(desk: Page) -> None:
    before = text_of(desk)
    desk.get_by_role("button", name="Ropes and gear").click()
    rules = desk.get_by_role("region", name="Rules of its own")
    rules.get_by_text("State a rule").click()
    rules.get_by_label("which rule").select_option("static-factor")
    rules.get_by_label("what it asks").fill("2")
    desk.keyboard.press("Enter")
    expect(desk.locator("[data-key=rule-static-factor]")).to_contain_text("looser than the team's")
    expect(desk.locator("#verdict")).to_contain_text("own rules, looser")
    figures = desk.get_by_role("region", name="Figures of its own")
    figures.get_by_text("State a figure").click()
    figures.get_by_label("of what").select_option("concrete")
    assert offered(figures.get_by_label("which figure")) == ["", "friction"]
    figures.get_by_label("which figure").select_option("friction")
    figures.get_by_label("with its unit").fill("0.3 kN")
    figures.get_by_role("button", name="State it").click()
    expect(figures.get_by_role("alert").last).to_contain_text("Friction: ")
    figures.get_by_label("with its unit").fill("0.25..0.3")
    figures.get_by_role("button", name="State it").click()
    row = desk.locator("[data-key=figure-concrete-friction]")
    expect(row).to_contain_text("every one: friction 0.25–0.30")
    assert "concrete: {friction: 0.25..0.3}" in re.sub(" +", " ", text_of(desk))
    for stated in (row, desk.locator("[data-key=rule-static-factor]")):
        stated.locator("summary").click()
        stated.get_by_role("button", name="Remove it").click()
        expect(stated).to_have_count(0)
    assert text_of(desk) == before


def offered(field: Locator) -> list[str]:
    """What can be chosen in a field."""
    found: list[str] = field.evaluate("e => [...e.options].filter((o) => !o.disabled).map((o) => o.value)")
    return found


def test_what_is_used_is_removed_only_after_it_is_said(page_as: PageAs) -> None:
    page = opened(page_as(quiet=False), "/rigs/haul-3-1/edit/")
    page.get_by_role("button", name="Ropes and gear").click()
    part = page.locator("[data-key=part-change]")
    part.locator("summary").click()
    part.get_by_role("button", name="Remove change", exact=True).click()
    expect(part.get_by_role("alert")).to_contain_text("main, contact 5: `through change`")
    part.get_by_role("button", name="Remove change and what names it").click()
    expect(page.locator("#told")).to_have_text("change is removed.")
    assert "through change" not in text_of(page)
    page.evaluate("rigEditor.text.value = ''")


def test_a_broken_text_leaves_the_text_as_the_way_on(desk: Page) -> None:
    write(desk, "rig: [\n")
    desk.get_by_role("button", name="Ropes and gear").click()
    expect(desk.locator("#tables")).to_contain_text("The text is the way on")
    desk.locator("#tables .line-of").click()
    expect(desk.locator("#text")).to_be_visible()
    expect(desk.locator("#tables-pane")).to_be_hidden()


def test_a_rig_is_begun_from_questions(page_as: PageAs) -> None:
    page = page_as("bram")
    page.goto("/rigs/new/")
    page.get_by_role("link", name="Lowering on one line").click()
    page.get_by_label("What the rig is called").fill("Quay from the browser")
    page.get_by_label("Mass of what hangs on it").fill("80 kg")
    expect(page.locator("#look")).to_contain_text("80 kg")
    page.get_by_role("button", name="Save it as a rig").click()
    page.wait_for_url("**/rigs/quay-from-the-browser/edit/")
    expect(page.locator(".told")).to_contain_text("is begun")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_on_a_phone_nothing_is_wider_than_the_page(page_as: PageAs, scheme: Scheme) -> None:
    page = opened(page_as(size="phone", scheme=scheme))
    for view in ("Text", "Ropes and gear", "Picture"):
        page.get_by_role("button", name=re.compile(f"^{view}")).click()
        page.wait_for_timeout(500)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    expect(page.locator("#text-pane")).to_be_hidden()
    expect(page.locator("#picture svg")).to_be_visible()


@pytest.mark.parametrize(("size", "scheme"), [("desk", "light"), ("phone", "dark")])
def test_every_view_of_the_editor_can_be_read_by_ear(page_as: PageAs, size: Size, scheme: Scheme) -> None:
    page = opened(page_as(size=size, scheme=scheme))
    wrong = faults(page)
    page.get_by_role("button", name="Ropes and gear").click()
    page.locator("[data-key=part-main]").wait_for()
    opened_at = page.locator("#tables details > summary").all()
    for each in (*opened_at[:6], *opened_at[-6:]):
        each.click()
    wrong += faults(page)
    page.goto("/rigs/new/?kind=haul-3-1")
    wrong += faults(page)
    assert not wrong, "\n".join(wrong)
