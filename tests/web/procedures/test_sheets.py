"""The sheets of a procedure as PDF, made once and kept."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client

from ropewright.sheets.procedure_sheets import SHEETS
from ropewright.web.access import Role
from ropewright.web.procedures.models import Procedure
from ropewright.web.procedures.views.sheets import WORDS
from ropewright.web.workings.models import Working

BrowserOf = Callable[[Role | None], Client]
Work = Callable[[], None]


def test_every_sheet_has_its_words() -> None:
    assert set(WORDS) == set(SHEETS)


@pytest.mark.parametrize(("sheet", "paper"), [("brief", "a4"), ("skill-sheet", "letter"), ("check", "a4")])
def test_a_sheet_is_a_pdf_once_it_is_set(
    browser_of: BrowserOf, refused: Procedure, work: Work, sheet: str, paper: str
) -> None:
    browser = browser_of(Role.STUDENT)
    address = f"/procedures/too-early/sheets/{sheet}-{paper}.pdf"
    assert browser.get(address).status_code == 303
    work()
    answer = browser.get(address)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == f'inline; filename="too-early.{sheet}.pdf"'
    assert answer.content.startswith(b"%PDF-")
    work()
    assert Working.objects.filter(kind="procedure-sheets").count() == 1
    assert Working.objects.filter(kind="procedure-mistakes").count() == 1


def test_an_address_of_a_pdf_never_gives_a_page(
    browser_of: BrowserOf, refused: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    address = "/procedures/too-early/sheets/skill-sheet-a4"
    first = browser.get(f"{address}.pdf?version=1")
    assert (first.status_code, first["Location"], first.content) == (303, f"{address}/?version=1", b"")
    assert "no-store" in first["Cache-Control"]
    page = browser.get(first["Location"])
    assert page.status_code == 202
    assert page["Content-Type"].startswith("text/html")
    assert "Content-Disposition" not in page
    text = page.content.decode()
    assert "being worked out" in text
    assert "The PDF of the Skill sheet is not set yet, and this page is not it" in text
    work()
    key = text.split("/working/")[1].split("/")[0]
    assert browser.get(f"/working/{key}/")["HX-Refresh"] == "true"
    on = browser.get(f"{address}/?version=1")
    assert (on.status_code, on["Location"]) == (303, f"{address}.pdf?version=1")
    assert browser.get(on["Location"])["Content-Type"] == "application/pdf"


def test_a_text_that_cant_be_used_gives_no_sheet_but_its_faults(
    browser_of: BrowserOf, refused: Procedure, work: Work
) -> None:
    refused.save_version("procedure: Nothing\n", None, title="Nothing")
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/too-early/sheets/brief-a4.pdf")
    work()
    page = browser.get("/procedures/too-early/sheets/brief-a4.pdf", follow=True).content.decode()
    assert "`from:` is missing at the top" in page


def test_a_sheet_or_paper_that_is_not_there_is_not_found(browser_of: BrowserOf, refused: Procedure) -> None:
    browser = browser_of(Role.STUDENT)
    assert browser.get("/procedures/too-early/sheets/poster-a4.pdf").status_code == 404
    assert browser.get("/procedures/too-early/sheets/brief-a0.pdf").status_code == 404
    assert browser.get("/procedures/too-early/sheets/brief-a0/").status_code == 404
