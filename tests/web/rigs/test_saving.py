"""Saving: every version is kept, two at once lose nothing, what is sent twice is kept once."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import OperationalError, connection, transaction
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.rigs.models import Rig, RigSave
from ropewright.web.rigs.saving import NameTakenError, SaveError, begin, save
from tests.web.rigs.things import make_rig

BrowserOf = Callable[[Role | None], Client]
Team = dict[Role, Account]
JSON = {"Accept": "application/json"}


@pytest.fixture
def rig(team: Team) -> Rig:
    return make_rig("haul-3-1", team[Role.LEAD])


def changed(rig: Rig, number: int) -> str:
    return str(rig.current.text).replace("mass: 100", f"mass: {100 + number}")


def test_a_save_is_a_version_with_author_time_and_note(rig: Rig, team: Team) -> None:
    saved = save(rig, changed(rig, 1), team[Role.INSTRUCTOR], base=1, note="  a heavier\n weight ")
    rig.refresh_from_db()
    assert saved.outcome == "saved"
    assert saved.told == "Kept as version 2."
    assert (rig.latest, saved.version.author, saved.version.note) == (
        2,
        team[Role.INSTRUCTOR],
        "a heavier weight",
    )
    assert saved.version.made is not None


def test_line_breaks_of_a_form_are_no_change(rig: Rig, team: Team) -> None:
    saved = save(rig, rig.current.text.replace("\n", "\r\n"), team[Role.LEAD], base=1)
    assert saved.outcome == "unchanged"
    assert saved.told == "Nothing has changed: version 1 holds this text already. No version was made."
    assert rig.versions.count() == 1


def test_the_second_of_two_is_kept_beside_and_told(rig: Rig, team: Team) -> None:
    one, two = changed(rig, 1), changed(rig, 2)
    save(rig, one, team[Role.LEAD], base=1)
    saved = save(rig, two, team[Role.INSTRUCTOR], base=1)
    rig.refresh_from_db()
    assert (saved.outcome, saved.version.number, saved.version.beside, rig.latest) == ("beside", 3, True, 2)
    assert saved.version.text == two
    assert saved.told.startswith(
        "Kept beside as version 3. While you wrote, Lead Person saved version 2, which"
    )


def test_going_on_from_a_version_beside_stays_beside_until_somebody_chooses(rig: Rig, team: Team) -> None:
    texts = [changed(rig, number) for number in range(4)]
    save(rig, texts[1], team[Role.LEAD], base=1)
    save(rig, texts[2], team[Role.INSTRUCTOR], base=1)
    assert save(rig, texts[3], team[Role.INSTRUCTOR], base=3).outcome == "beside"
    assert save(rig, texts[3], team[Role.INSTRUCTOR], base=2).outcome == "saved"


def test_a_text_with_faults_is_a_draft_and_never_counts_in_place_of_one_that_can_be_used(
    rig: Rig, team: Team
) -> None:
    saved = save(rig, "rig: half\nropes: {m: {is: x, run: []}}\n", team[Role.LEAD], base=1)
    rig.refresh_from_db()
    assert (saved.outcome, rig.latest, rig.title) == ("draft", 1, "haul-3-1")
    assert saved.told == "Kept as version 2, a draft: 2 faults, so it can't be used yet. Version 1 counts."
    mended = save(rig, changed(rig, 5), team[Role.LEAD], base=2)
    assert (mended.outcome, mended.version.number, mended.version.base) == ("saved", 3, 1)


def test_a_draft_counts_where_nothing_better_is_there(team: Team) -> None:
    rig = begin("half", "rig: [", team[Role.LEAD])
    saved = save(rig, "rig: [[", team[Role.LEAD], base=1)
    assert (saved.outcome, saved.told) == (
        "saved",
        "Kept as version 2. It has 1 fault and can't be used yet.",
    )


def test_a_save_that_is_sent_again_makes_no_second_version(rig: Rig, team: Team) -> None:
    text = changed(rig, 1)
    first = save(rig, text, team[Role.LEAD], base=1, key="k1")
    save(rig, changed(rig, 2), team[Role.LEAD], base=2, key="k2")
    again = save(rig, text, team[Role.LEAD], base=1, key="k1")
    assert (again.outcome, again.version) == ("saved", first.version)
    assert rig.versions.count() == 3


def test_a_key_belongs_to_one_text_and_one_author(rig: Rig, team: Team) -> None:
    save(rig, changed(rig, 1), team[Role.LEAD], base=1, key="k1")
    with pytest.raises(SaveError, match="this save was sent before with another text"):
        save(rig, changed(rig, 2), team[Role.LEAD], base=1, key="k1")
    assert save(rig, changed(rig, 3), team[Role.INSTRUCTOR], base=2, key="k1").outcome == "saved"


def test_nothing_of_a_save_is_kept_when_its_key_cannot_be(
    rig: Rig, team: Team, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(**_given: object) -> None:
        raise OperationalError("database is locked")

    monkeypatch.setattr(RigSave.objects, "create", broken)
    with pytest.raises(OperationalError):
        save(rig, changed(rig, 1), team[Role.LEAD], base=1, key="k1")
    rig.refresh_from_db()
    assert (rig.latest, rig.versions.count()) == (1, 1)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "x" * 1_000_001,
            "the text has 1,000,001 bytes; a rig file holds at most 1,000,000. Nothing was kept",
        ),
        ("rig: a\0b", "the text holds zero bytes, which no rig file may; take them out. Nothing was kept"),
        (" \r\n ", "the text is empty; a rig file starts with `rig:` and a title. Nothing was kept"),
    ],
)
def test_what_no_store_or_reader_takes_is_refused_plainly(rig: Rig, team: Team, text: str, told: str) -> None:
    with pytest.raises(SaveError) as refused:
        save(rig, text, team[Role.LEAD], base=1)
    assert str(refused.value) == told
    assert rig.versions.count() == 1


def test_notes_are_words(rig: Rig, team: Team) -> None:
    with pytest.raises(SaveError, match="the note holds the hidden character"):
        save(rig, changed(rig, 1), team[Role.LEAD], base=1, note="a\u202eb")
    with pytest.raises(SaveError, match="the note has 201 characters; at most 200 fit"):
        save(rig, changed(rig, 1), team[Role.LEAD], base=1, note="x" * 201)


def test_a_base_that_does_not_exist_is_refused(rig: Rig, team: Team) -> None:
    with pytest.raises(SaveError, match="version 9 of this rig does not exist"):
        save(rig, changed(rig, 1), team[Role.LEAD], base=9)


def test_a_name_that_is_taken_is_refused_with_one_that_is_free(rig: Rig, team: Team) -> None:
    with pytest.raises(NameTakenError) as refused:
        begin("haul-3-1", rig.current.text, team[Role.LEAD])
    assert str(refused.value) == "a rig is called `haul-3-1` already; `haul-3-1-2` is free"
    assert Rig.objects.count() == 1


# The page: what a script is told, and what somebody without scripts sees.


def post(client: Client, rig: Rig, **fields: object) -> dict[str, object]:
    response = client.post(reverse("rigs:save", args=[rig.slug]), fields, headers=JSON)
    found: dict[str, object] = response.json()
    return {"status": response.status_code, **found}


def test_the_editor_is_told_what_came_of_a_save(rig: Rig, browser_of: BrowserOf) -> None:
    found = post(browser_of(Role.INSTRUCTOR), rig, text=changed(rig, 1), base=1, key="k")
    assert found == {
        "status": 200,
        "outcome": "saved",
        "told": "Kept as version 2.",
        "number": 2,
        "current": 2,
        "open": "/rigs/haul-3-1/",
        "beside": "/rigs/haul-3-1/edit/beside/2/",
    }


def test_a_refused_save_says_why(rig: Rig, browser_of: BrowserOf) -> None:
    found = post(browser_of(Role.LEAD), rig, text="", base=1)
    assert (found["status"], found["outcome"]) == (422, "refused")
    assert str(found["told"]).startswith("The text is empty; a rig file starts with")


def test_a_text_of_another_account_is_not_saved_under_this_one_unasked(
    rig: Rig, browser_of: BrowserOf, team: Team
) -> None:
    client = browser_of(Role.LEAD)
    found = post(client, rig, text=changed(rig, 1), base=1, who=team[Role.INSTRUCTOR].pk)
    assert (found["status"], found["who"]) == (409, team[Role.LEAD].pk)
    assert (
        found["told"]
        == "You are signed in as Lead Person now, and this text was written under another account."
    )
    assert rig.versions.count() == 1
    assert post(client, rig, text=changed(rig, 1), base=1, who=team[Role.LEAD].pk)["status"] == 200


def test_without_scripts_a_save_leads_to_the_rig_and_a_refusal_back_to_the_text(
    rig: Rig, browser_of: BrowserOf
) -> None:
    client, url = browser_of(Role.LEAD), reverse("rigs:save", args=[rig.slug])
    response = client.post(url, {"text": changed(rig, 1), "base": 1}, follow=True)
    assert response.redirect_chain[-1][0] == "/rigs/haul-3-1/"
    assert b"Kept as version 2." in response.content
    response = client.post(url, {"text": "rig: kept\0words", "base": 2, "note": "my note"})
    assert response.status_code == 422
    assert b"zero bytes" in response.content
    assert b"my note" in response.content


def test_without_scripts_the_second_of_two_sees_both(rig: Rig, browser_of: BrowserOf, team: Team) -> None:
    text = changed(rig, 2)
    save(rig, changed(rig, 1), team[Role.LEAD], base=1)
    url = reverse("rigs:save", args=[rig.slug])
    response = browser_of(Role.INSTRUCTOR).post(url, {"text": text, "base": 1}, follow=True)
    assert response.redirect_chain[-1][0] == "/rigs/haul-3-1/edit/beside/3/"
    page = response.content.decode()
    assert "Version 3 stands beside version 2" in page
    assert "mass: 101" in page
    assert "mass: 102" in page


def test_mine_can_be_taken_as_the_one_that_counts(rig: Rig, browser_of: BrowserOf, team: Team) -> None:
    text = changed(rig, 2)
    save(rig, changed(rig, 1), team[Role.LEAD], base=1)
    save(rig, text, team[Role.INSTRUCTOR], base=1)
    url = reverse("rigs:beside", args=[rig.slug, 3])
    response = browser_of(Role.INSTRUCTOR).post(url, {"current": 2})
    rig.refresh_from_db()
    assert response.status_code == 302
    assert (rig.latest, rig.current.text, rig.current.note) == (4, text, "version 3, taken over")
    browser_of(Role.INSTRUCTOR).post(url, {"current": 2})  # pressed twice
    assert rig.versions.count() == 4


def test_a_choice_made_on_an_old_page_is_kept_beside_too(rig: Rig, browser_of: BrowserOf, team: Team) -> None:
    texts = [changed(rig, number) for number in range(4)]
    save(rig, texts[1], team[Role.LEAD], base=1)
    save(rig, texts[2], team[Role.INSTRUCTOR], base=1)
    save(rig, texts[3], team[Role.LEAD], base=2)
    response = browser_of(Role.INSTRUCTOR).post(reverse("rigs:beside", args=[rig.slug, 3]), {"current": 2})
    assert response["Location"] == "/rigs/haul-3-1/edit/beside/5/"
    rig.refresh_from_db()
    assert rig.current.text == texts[3]


def test_a_form_without_its_token_is_refused(rig: Rig, team: Team) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(team[Role.LEAD])
    response = client.post(reverse("rigs:save", args=[rig.slug]), {"text": changed(rig, 1), "base": 1})
    assert response.status_code == 403
    assert rig.versions.count() == 1


def test_a_store_that_is_busy_is_said_to_be_so(
    rig: Rig, browser_of: BrowserOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    def locked(*_given: object, **_named: object) -> None:
        raise OperationalError("database is locked")

    monkeypatch.setattr("ropewright.web.rigs.views.saving.save", locked)
    response = browser_of(Role.LEAD).post(
        reverse("rigs:save", args=[rig.slug]), {"text": "rig: x", "base": 1}, headers=JSON
    )
    assert response.status_code == 503
    assert response["Retry-After"] == "5"


# Many at once, against the file that the tests' store is.


@pytest.mark.django_db(transaction=True)
def test_a_hundred_editors_of_one_rig_lose_no_version() -> None:
    author = Account.objects.create_user("many", password="a rope of words", role=Role.LEAD)
    rig = make_rig("haul-3-1", author)
    start = threading.Barrier(20)
    texts = [changed(rig, number) for number in range(1, 101)]

    def editor(number: int) -> str:
        if number < 20:
            start.wait()
        try:
            return save(rig, texts[number], author, base=1, key=f"editor-{number}").outcome
        finally:
            connection.close()

    with ThreadPoolExecutor(20) as pool:
        outcomes = list(pool.map(editor, range(100)))
    versions = list(rig.versions.order_by("number"))
    assert [version.number for version in versions] == list(range(1, 102))
    assert {version.text for version in versions[1:]} == set(texts)
    assert sorted(outcomes) == ["beside"] * 99 + ["saved"]
    assert [version.beside for version in versions].count(False) == 2


@pytest.mark.django_db(transaction=True)
def test_one_save_sent_by_ten_at_once_is_kept_once() -> None:
    author = Account.objects.create_user("many", password="a rope of words", role=Role.LEAD)
    rig = make_rig("haul-3-1", author)
    text = changed(rig, 1)

    def send(_number: int) -> int:
        try:
            return int(save(rig, text, author, base=1, key="same").version.number)
        finally:
            connection.close()

    with ThreadPoolExecutor(10) as pool:
        assert set(pool.map(send, range(10))) == {2}
    assert rig.versions.count() == 2


@pytest.mark.django_db(transaction=True)
def test_two_who_begin_a_rig_under_one_name_do_not_share_it() -> None:
    author = Account.objects.create_user("many", password="a rope of words", role=Role.LEAD)
    make_rig("haul-2-1", author)

    def start(number: int) -> str:
        try:
            return begin("pier", f"rig: Pier {number}\n", author).slug
        except NameTakenError as error:
            return error.free
        finally:
            connection.close()

    with ThreadPoolExecutor(6) as pool:
        found = list(pool.map(start, range(6)))
    assert sorted(found) == ["pier"] + ["pier-2"] * 5


def test_the_whole_save_is_one_piece(rig: Rig, team: Team) -> None:
    text = changed(rig, 1)

    def interrupted() -> None:
        with transaction.atomic():
            save(rig, text, team[Role.LEAD], base=1, key="k")
            raise RuntimeError("the power went")

    with pytest.raises(RuntimeError):
        interrupted()
    assert rig.versions.count() == 1
    assert not RigSave.objects.exists()
