"""A procedure opened: its storyboard and its proof as they are worked out."""

from __future__ import annotations

import re
from collections.abc import Callable

from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules, shipped_rules
from ropewright.web.procedures.models import Procedure
from ropewright.web.workings.models import Working

BrowserOf = Callable[[Role | None], Client]
Work = Callable[[], None]


def test_a_page_that_is_not_worked_out_waits_and_opens_anew(
    browser_of: BrowserOf, procedure: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    page = browser.get("/procedures/ascent-to-descent/").content.decode()
    address = re.search(r'hx-get="(/working/[0-9a-f]{64}/)"', page)
    assert address is not None
    assert "being worked out" in browser.get(address[1]).content.decode()
    work()
    assert browser.get(address[1])["HX-Refresh"] == "true"


def test_every_step_has_its_words_who_is_held_and_the_worst_failure(
    browser_of: BrowserOf, procedure: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/ascent-to-descent/")
    work()
    browser.get("/procedures/ascent-to-descent/")  # asks for the pictures
    work()
    page = browser.get("/procedures/ascent-to-descent/").content.decode()
    assert page.count('<article class="step"') == 19
    step = page.split('id="10"')[1].split("</article>")[0]
    assert "take chest off" in step
    assert "student held by</dt><dd>2 chains (working; second), 2 with hands off" in step
    assert "if rope working fails, student hangs" in step
    assert "<svg" in step
    looked = page.split('id="7"')[1].split("</article>")[0]
    assert "the picture stays as it was" in looked
    assert "<svg" not in looked


def test_cautions_stand_in_every_verdict_of_a_procedure_that_is_proved(
    browser_of: BrowserOf, untested: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/untested/")
    work()
    for address in ("", "untested/", "untested/proof/"):
        page = browser.get(f"/procedures/{address}").content.decode()
        assert "no step refused, 4 cautions" in page, address


def test_every_cell_of_the_proof_has_its_name_where_rows_stack(
    browser_of: BrowserOf, refused: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/too-early/proof/")
    work()
    table = (
        browser.get("/procedures/too-early/proof/").content.decode().split("<table")[1].split("</table")[0]
    )
    assert 'class="ruled stacks proof"' in table
    cells = re.findall(r"<td([^>]*)>(.*?)</td>", table, re.DOTALL)
    assert len(cells) == 5 * 7
    assert [words for kind, words in cells if words.strip() and "data-label=" not in kind] == []
    assert [kind for kind, words in cells if not words and "data-label=" in kind] == []
    assert table.count('data-label="Verdict"') == 5


def test_a_refused_step_has_its_reason_and_what_would_be_right(
    browser_of: BrowserOf, refused: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/too-early/")
    work()
    page = browser.get("/procedures/too-early/").content.decode()
    step = page.split('id="3"')[1].split("</article>")[0]
    assert "mark-stop" in step
    assert "What would be right:" in step
    assert '<a class="strip-refused" href="#3"' in page


def test_a_step_in_the_address_leads_to_it(browser_of: BrowserOf, procedure: Procedure) -> None:
    answer = browser_of(Role.STUDENT).get("/procedures/ascent-to-descent/?version=1&step=7")
    assert answer["Location"] == "/procedures/ascent-to-descent/?version=1#7"


def test_an_older_version_says_that_another_counts(
    browser_of: BrowserOf, procedure: Procedure, team: dict[Role, Account]
) -> None:
    procedure.save_version(procedure.current.text + "# later\n", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get("/procedures/ascent-to-descent/?version=1").content.decode()
    assert "This is version 1; version 2 counts." in page
    assert browser_of(Role.STUDENT).get("/procedures/ascent-to-descent/?version=x").status_code == 404


def test_the_proof_says_what_is_asked_and_why_a_step_is_refused(
    browser_of: BrowserOf, refused: Procedure, work: Work
) -> None:
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/too-early/proof/")
    work()
    page = browser.get("/procedures/too-early/proof/").content.decode()
    assert "Asked for at every moment: 2 independent chains" in page
    assert "not proved" in page
    assert "student 1 (1 hands-off)" in page


def test_the_teams_rules_and_words_are_what_it_is_judged_and_told_by(
    browser_of: BrowserOf, refused: Procedure, work: Work
) -> None:
    rules = shipped_rules() | {"chains": {"value": 1, "source": "a test"}}
    PolicyVersion.objects.create(
        number=1, name="Ours", team="Tern Harbor", rules=rules, words={"ready": "of the team", "go": "off"}
    )
    forget_rules()
    browser = browser_of(Role.STUDENT)
    browser.get("/procedures/too-early/proof/")
    work()
    page = browser.get("/procedures/too-early/proof/").content.decode()
    assert "Asked for at every moment: 1 independent chain for" in page
    assert "call ready: “ready to go”" in page  # the procedure's own word stands over the team's
    assert Working.objects.filter(kind="procedure").count() == 1
