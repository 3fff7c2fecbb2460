"""Saving rules: versions, who may, two savers, an older version taken up again."""

from __future__ import annotations

from collections.abc import Callable
from threading import Barrier, Thread
from urllib.parse import urlencode

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules, rules_now, rules_of
from ropewright.web.policy.saving import KEPT, Stale, first_version, next_version
from ropewright.web.policy.telling import differences
from ropewright.web.policy.texts import texts_of

Browser = Callable[[Role | None], Client]
CHANGE = reverse("policy:change")
FROM = "team standard 4"


@pytest.fixture
def first(team: dict[Role, Account]) -> PolicyVersion:
    return first_version("Tern Harbor rescue team", "America/Halifax", "metric", team[Role.LEAD])


def posted(base: PolicyVersion, **changed: str) -> dict[str, str]:
    texts = texts_of(rules_of(base)) | {"base": str(base.number), "note": "after the spring review"}
    return texts | {key.replace("__", ".").replace("_", "-"): text for key, text in changed.items()}


def stricter(base: PolicyVersion) -> dict[str, str]:
    return posted(base, rule__static_factor="12", rule__static_factor__source=FROM)


def test_a_save_is_a_new_version_with_author_time_and_why(first: PolicyVersion, browser_of: Browser) -> None:
    answer = browser_of(Role.LEAD).post(CHANGE, stricter(first))
    assert answer.status_code == 302
    saved = PolicyVersion.objects.get(number=2)
    assert saved.rules["static-factor"] == {"value": 12.0, "source": FROM}
    assert saved.author is not None
    assert (saved.author.role, saved.note) == (Role.LEAD, "after the spring review")
    first.refresh_from_db()
    assert first.rules["static-factor"]["value"] == 10.0


def test_a_save_without_a_reason_is_refused_and_keeps_what_was_typed(
    first: PolicyVersion, browser_of: Browser
) -> None:
    answer = browser_of(Role.LEAD).post(CHANGE, stricter(first) | {"note": " "})
    assert answer.status_code == 422
    assert "say what was changed and why" in answer.text
    assert f'value="{FROM}"' in answer.text
    assert PolicyVersion.objects.count() == 1
    assert (
        'autofocus>Not saved. Look at <a href="#note">what was changed, and why</a>.'
        in answer.content.decode()
    )


def test_a_save_that_changes_nothing_is_refused(first: PolicyVersion, browser_of: Browser) -> None:
    answer = browser_of(Role.LEAD).post(CHANGE, posted(first))
    assert answer.status_code == 422
    assert "nothing was changed, so there is nothing to save" in answer.text


def test_a_fault_is_told_at_its_field_and_its_group_is_linked(
    first: PolicyVersion, browser_of: Browser
) -> None:
    answer = browser_of(Role.LEAD).post(CHANGE, posted(first, rule__static_factor="0"))
    assert answer.status_code == 422
    assert '<a href="#rules-1">Strength</a>' in answer.text
    assert 'id="w-rule.static-factor">found ‘0’; it is within 1–100</p>' in answer.text


def test_a_row_whose_number_no_list_has_is_passed_over(first: PolicyVersion, browser_of: Browser) -> None:
    far = "9" * 5000
    sent = stricter(first) | {f"reserve.{far}": "sling", f"more-word.{far}": "haul", "note": ""}
    form = "application/x-www-form-urlencoded"
    answer = browser_of(Role.LEAD).post(CHANGE, urlencode(sent), content_type=form)
    assert answer.status_code == 422
    assert "say what was changed and why" in answer.content.decode()
    assert far not in answer.content.decode()


def test_the_second_of_two_savers_sees_the_difference_and_keeps_what_they_typed(
    first: PolicyVersion, browser_of: Browser
) -> None:
    browser = browser_of(Role.LEAD)
    browser.post(CHANGE, posted(first, rule__chains="1", rule__chains__source=FROM))
    answer = browser.post(CHANGE, stricter(first))
    assert answer.status_code == 409
    assert "Not saved yet: version 2 came first" in answer.text
    assert [(d.words, d.before, d.after) for d in answer.context["meanwhile"]] == [("Chains", "2", "1")]
    assert 'name="rule.static-factor" value="12"' in answer.text
    assert 'name="rule.chains" value="1"' in answer.text
    assert 'name="base" value="2"' in answer.text
    assert PolicyVersion.objects.count() == 2


def test_an_older_version_is_taken_up_again_as_the_next_one(
    first: PolicyVersion, browser_of: Browser
) -> None:
    browser = browser_of(Role.LEAD)
    browser.post(CHANGE, stricter(first))
    url = reverse("policy:take-up", kwargs={"policy": 1})
    answer = browser.post(url, {"base": "2", "why": "the trial is over"})
    assert answer.status_code == 302
    saved = PolicyVersion.objects.get(number=3)
    assert saved.rules == first.rules
    assert saved.note == "version 1 taken up again: the trial is over"


def test_an_older_version_that_the_form_would_refuse_is_not_taken_up(
    first: PolicyVersion, browser_of: Browser
) -> None:
    browser = browser_of(Role.LEAD)
    browser.post(CHANGE, stricter(first))
    kept = [{"type": "moon-rope", "length": None, "count": 2}]
    PolicyVersion.objects.filter(number=1).update(reserve=kept)
    take_up = reverse("policy:take-up", kwargs={"policy": 1})
    page = browser.post(take_up, {"base": "2", "why": "back again"}, follow=True).content.decode()
    assert "Not taken up: version 1 can&#x27;t be saved as it is. Kept on the rig: found ‘moon-rope’" in page
    assert PolicyVersion.objects.count() == 2


def test_taking_up_again_from_an_old_page_is_refused(first: PolicyVersion, browser_of: Browser) -> None:
    browser = browser_of(Role.LEAD)
    browser.post(CHANGE, stricter(first))
    url = reverse("policy:take-up", kwargs={"policy": 1})
    answer = browser.post(url, {"base": "1", "why": "the trial is over"}, follow=True)
    assert "Not taken up: version 2 was saved meanwhile" in answer.text
    assert PolicyVersion.objects.count() == 2


def test_a_save_from_a_version_that_is_not_the_newest_is_stale(
    first: PolicyVersion, team: dict[Role, Account]
) -> None:
    columns = {key: getattr(first, key) for key in KEPT}
    next_version(columns, 1, team[Role.LEAD], "one")
    for base in (1, 7):
        with pytest.raises(Stale) as caught:
            next_version(columns, base, team[Role.LEAD], "two")
        assert caught.value.newest.number == 2


@pytest.mark.django_db(transaction=True)
def test_of_two_who_save_at_once_one_is_told(first: PolicyVersion, team: dict[Role, Account]) -> None:
    columns = {key: getattr(first, key) for key in KEPT}
    together, out = Barrier(2), list[object]()

    def save(note: str) -> None:
        try:
            together.wait(10)
            out.append(next_version(columns, 1, team[Role.LEAD], note).number)
        except Stale as stale:
            out.append(stale)
        finally:
            connection.close()

    threads = [Thread(target=save, args=(note,)) for note in ("one", "two")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert sorted(type(each).__name__ for each in out) == ["Stale", "int"]
    assert PolicyVersion.objects.count() == 2


def test_differences_are_told_in_words_with_both_systems(first: PolicyVersion) -> None:
    changed = first.rules | {"most-catch-force": {"value": 6000.0, "source": FROM}}
    after = PolicyVersion(**{key: getattr(first, key) for key in KEPT} | {"rules": changed}, number=2)
    (found,) = differences(rules_of(first), rules_of(after))
    assert (found.words, found.before, found.after, found.source) == (
        "Most catch force",
        "8.00 kN (1800 lbf)",
        "6.00 kN (1350 lbf)",
        FROM,
    )


def test_the_team_reads_its_units_first(first: PolicyVersion, browser_of: Browser) -> None:
    browser = browser_of(Role.STUDENT)
    assert "8.00 kN (1800 lbf)" in browser.get(reverse("policy:current")).text
    PolicyVersion.objects.update(units="us")
    forget_rules()
    assert rules_now().units == "both-us"
    assert "1800 lbf (8.00 kN)" in browser.get(reverse("policy:current")).text


def test_the_page_of_the_rules_asks_the_store_little(
    first: PolicyVersion, browser_of: Browser, django_assert_max_num_queries: Callable[[int], object]
) -> None:
    browser = browser_of(Role.LEAD)
    for number in range(2, 62):
        PolicyVersion.objects.create(**{key: getattr(first, key) for key in KEPT}, number=number)
    for url in (reverse("policy:current"), reverse("policy:versions")):
        with django_assert_max_num_queries(8):  # type: ignore[attr-defined]
            assert browser.get(url).status_code == 200
