"""The pages of the cache: what they find, how many questions they ask of the store, and hostile text."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear import issues, states
from ropewright.web.gear.models import Item, Kit, Place
from ropewright.web.people.models import Person
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import forget_rules
from tests.web.gear.things import make_item, ready_item

Team = dict[Role, Account]
BrowserOf = Callable[[Role], Client]
HOSTILE = "<script>alert(1)</script>\"'{{ 7|add:7 }}"


def _page(browser: Client, address: str) -> str:
    answer = browser.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def _marks(page: str) -> list[str]:
    return [part.split('">')[1].split("</a>")[0] for part in page.split('<th scope="row"><a href="')[1:]]


@pytest.fixture
def few(team: Team) -> None:
    today = timezone.localdate()
    locker, kit = Place.objects.create(name="Locker"), Kit.objects.create(name="Bag", front_line=True)
    ready_item("C-1", standard="NFPA 2500", serial="LOT7")
    ready_item(
        "R-1", type="rope-11-low-stretch", place=locker, made=today - timedelta(days=5000), textile=True
    )
    ready_item("R-2", type="rope-11-low-stretch", kit=kit)
    make_item("S-1", type="sling", name="short red one")
    ready_item("S-2", type="sling", state=Item.State.QUARANTINED)
    ready_item("S-3", type="sling", state=Item.State.RETIRED)


@pytest.mark.usefixtures("few")
@pytest.mark.parametrize(
    ("asked", "marks"),
    [
        ("", ["C-1", "R-1", "R-2", "S-1", "S-2"]),
        ("?shown=ready", ["C-1", "R-1", "R-2"]),
        ("?shown=due", ["S-1"]),
        ("?shown=quarantined", ["S-2"]),
        ("?shown=retired", ["S-3"]),
        ("?shown=every&order=state", ["C-1", "R-1", "R-2", "S-1", "S-2", "S-3"]),
        ("?kind=rope", ["R-1", "R-2"]),
        ("?kind=sling", ["S-1", "S-2"]),
        ("?words=red+short", ["S-1"]),
        ("?words=lot7", ["C-1"]),
        ("?words=locker", ["R-1"]),
        ("?words=bag", ["R-2"]),
        ("?standard=NFPA+2500", ["C-1"]),
        ("?line=front", ["R-2"]),
        ("?order=due&kind=sling", ["S-1", "S-2"]),
        (
            "?kit=999999999999999999999&place=x&kind=none&order=zzz&page=zzz",
            ["C-1", "R-1", "R-2", "S-1", "S-2"],
        ),
    ],
)
def test_the_list_shows_what_was_asked(asked: str, marks: list[str], browser_of: BrowserOf) -> None:
    assert _marks(_page(browser_of(Role.STUDENT), f"/gear/{asked}")) == marks


@pytest.mark.usefixtures("few")
def test_a_textile_past_the_policys_years_is_flagged(browser_of: BrowserOf) -> None:
    kept = {"textile-life": {"days": 3650, "source": "standing order 9"}}
    PolicyVersion.objects.create(number=1, name="ours", team="Tern Harbor", intervals=kept)
    forget_rules()
    browser = browser_of(Role.CUSTODIAN)
    assert _marks(_page(browser, "/gear/?shown=aged")) == ["R-1"]
    page = _page(browser, f"/gear/{Item.objects.get(mark='R-1').pk}/")
    assert "outside policy: its years ended on" in page
    assert "standing order 9" in page
    assert "its age can&#x27;t be told" in _page(browser, _made_unknown())


def _made_unknown() -> str:
    return f"/gear/{make_item('S-9', type='sling', textile=True).pk}/"


@pytest.fixture
def many(team: Team) -> Iterator[None]:
    today = timezone.localdate()
    places = [Place.objects.create(name=f"bay {n}") for n in range(8)]
    kits = [Kit.objects.create(name=f"kit {n}") for n in range(30)]
    Item.objects.bulk_create(
        Item(
            mark=f"X-{n:04d}",
            type=("carabiner-locking", "sling", "rope-11-low-stretch")[n % 3],
            place=places[n % 8],
            kit=kits[n % 30],
            next_due=today + timedelta(days=n % 400 - 40) if n % 50 else None,
            textile=bool(n % 3),
            made=date(2020, 1, 1) + timedelta(days=n),
            state=Item.State.QUARANTINED if n % 40 == 0 else Item.State.IN_SERVICE,
        )
        for n in range(2000)
    )
    return iter(())


@pytest.mark.usefixtures("many")
@pytest.mark.parametrize(
    ("address", "most"),
    [
        ("/gear/", 14),
        ("/gear/?words=kit+sling&order=place&page=3", 14),
        ("/gear/due/", 18),
        ("/gear/places/", 10),
        ("/gear/out/", 10),
        ("/gear/events/", 10),
    ],
)
def test_two_thousand_items_ask_no_question_a_row(
    address: str,
    most: int,
    browser_of: BrowserOf,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    browser = browser_of(Role.CUSTODIAN)
    browser.get(address)
    with django_assert_max_num_queries(most):
        browser.get(address)


def test_an_items_page_asks_no_question_a_line(
    team: Team, browser_of: BrowserOf, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    item = ready_item("C-1")
    for n in range(30):
        states.quarantine(item.pk, f"doubt {n}", team[Role.LEAD])
    browser = browser_of(Role.CUSTODIAN)
    with django_assert_max_num_queries(26):
        browser.get(f"/gear/{item.pk}/?every=1")


def test_every_line_is_offered_only_where_some_are_not_shown(team: Team, browser_of: BrowserOf) -> None:
    item = ready_item("C-1")
    browser = browser_of(Role.CUSTODIAN)
    states.quarantine(item.pk, "doubt", team[Role.LEAD])
    assert "Show every line" not in _page(browser, f"/gear/{item.pk}/")
    for n in range(9):
        states.quarantine(item.pk, f"doubt {n}", team[Role.LEAD])
    assert "Show every line" in _page(browser, f"/gear/{item.pk}/")
    assert "Show every line" not in _page(browser, f"/gear/{item.pk}/?every=1")


def test_text_is_shown_and_never_run(team: Team, browser_of: BrowserOf) -> None:
    kit, place = Kit.objects.create(name=HOSTILE), Place.objects.create(name=HOSTILE)
    item = ready_item(HOSTILE[:40], name=HOSTILE, note=HOSTILE, serial=HOSTILE, kit=kit, place=place)
    states.quarantine(item.pk, HOSTILE, team[Role.LEAD])
    browser = browser_of(Role.LEAD)
    for address in (
        "/gear/",
        f"/gear/{item.pk}/",
        "/gear/due/",
        "/gear/places/",
        f"/gear/?words={HOSTILE}",
        f"/gear/inspect/?item={item.pk}",
        f"/gear/use/?item={item.pk}",
        f"/gear/events/new/?item={item.pk}",
        f"/gear/labels/?item={item.pk}",
        f"/gear/out/new/?item={item.pk}",
    ):
        page = _page(browser, address)
        assert "<script>alert" not in page
        assert "14" not in page.split("alert(1)")[1][:60] if "alert(1)" in page else True


def _sent(**changed: str) -> dict[str, str]:
    return {"mark": "R-7", "type": "rope-11-low-stretch", **changed}


def test_an_item_is_added_with_figures_in_any_unit(browser_of: BrowserOf) -> None:
    sent = _sent(length="200 ft", diameter="11 mm", strength="6700 lbf", user_mass="310 lb")
    answer = browser_of(Role.CUSTODIAN).post("/gear/add/", sent)
    assert answer.status_code == 302
    item = Item.objects.get(mark="R-7")
    assert item.length == pytest.approx(60.96)
    assert item.diameter == pytest.approx(0.011)
    assert item.strength == pytest.approx(29803, abs=1)
    assert item.textile
    assert item.due
    assert item.changes.get().reason == "entered"


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"mark": "r-1"}, "R-1 is another item&#x27;s mark"),
        ({"mark": "a, b"}, "a mark has no comma in it"),
        ({"mark": "a\u202eb"}, "found the hidden character U+202E"),
        ({"type": "moon-rope"}, "Select a valid choice"),
        ({"type": ""}, "This field is required"),
        ({"length": "60 kg"}, "A mass (60 kg) where a length is wanted"),
        ({"diameter": "11"}, "Found ‘11’ without a unit; write mm or in after it"),
        ({"user_mass": "310"}, "Found ‘310’ without a unit; write kg or lb after it"),
        ({"diameter": "11 m"}, "a diameter is within"),
        ({"strength": "20..30 kN"}, "write one figure"),
        ({"strength": "22 kg"}, "a force is given in kN or lbf"),
        ({"strength": "20 kN", "working_load": "21 kN"}, "more than the breaking strength"),
        ({"made": "2999-01-01"}, "2999-01-01 is in the future"),
        ({"made": "1066-10-14"}, "is outside 1950 to 2100"),
        ({"made": "2024-02-01", "bought": "2024-01-01"}, "bought on 2024-01-01, before it was made"),
        ({"made": "2024-02-01", "first_used": "2023-01-01"}, "first used on 2023-01-01, before it was made"),
        ({"bought": "2024-02-01", "first_used": "2024-01-01"}, "before it was bought"),
    ],
)
def test_an_item_that_can_not_be_is_refused(changed: dict[str, str], why: str, browser_of: BrowserOf) -> None:
    make_item("R-1")
    answer = browser_of(Role.CUSTODIAN).post("/gear/add/", _sent(**changed))
    assert answer.status_code == 422
    assert why in answer.content.decode()
    assert Item.objects.count() == 1


def test_an_item_without_history_comes_in_quarantined(browser_of: BrowserOf) -> None:
    browser_of(Role.CUSTODIAN).post("/gear/add/", _sent(doubt="history unknown"))
    item = Item.objects.get()
    assert (item.state, item.reason) == (Item.State.QUARANTINED, "history unknown")


def test_a_change_from_an_old_page_is_not_saved_over_a_newer_one(browser_of: BrowserOf) -> None:
    item = make_item("R-7", type="rope-11-low-stretch")
    base = str(item.history.first().history_id)
    lead, custodian = browser_of(Role.LEAD), browser_of(Role.CUSTODIAN)
    assert lead.post(f"/gear/{item.pk}/change/", _sent(name="by the lead", base=base)).status_code == 302
    late = custodian.post(f"/gear/{item.pk}/change/", _sent(name="by the custodian", base=base))
    assert late.status_code == 422
    assert "Lead Person changed this item since you opened it" in late.content.decode()
    assert "by the custodian" in late.content.decode()
    item.refresh_from_db()
    assert item.name == "by the lead"


def test_a_change_of_the_record_leaves_the_state_alone(team: Team, browser_of: BrowserOf) -> None:
    item = ready_item("R-7", type="rope-11-low-stretch")
    base = str(item.history.first().history_id)
    browser_of(Role.CUSTODIAN).post(
        f"/gear/{item.pk}/change/", _sent(base=base, state="retired", next_due="2020-01-01")
    )
    item.refresh_from_db()
    assert item.state == Item.State.IN_SERVICE
    assert item.next_due
    assert item.next_due > timezone.localdate()


def test_figures_stand_in_the_teams_own_units_first(team: Team, browser_of: BrowserOf) -> None:
    PolicyVersion.objects.create(number=1, name="ours", team="Tern Harbor", units="us")
    forget_rules()
    item = ready_item("R-1", type="rope-11-low-stretch", length=61.0, strength=30_000.0)
    page = _page(browser_of(Role.STUDENT), f"/gear/{item.pk}/")
    assert "200 ft (61 m)" in page
    assert "(30.0 kN)" in page
    assert "30.0 kN (" not in page


def test_the_nameplate_goes_before_the_types_own_figure(browser_of: BrowserOf) -> None:
    item = make_item("C-1", strength=50_000.0)
    page = _page(browser_of(Role.STUDENT), f"/gear/{item.pk}/")
    assert "<strong>50.0 kN (11200 lbf)</strong>" in page
    assert "40.0 kN (8990 lbf)" in page
    item.strength = None
    item.save()
    assert "<strong>40.0 kN (8990 lbf)</strong>" in _page(browser_of(Role.STUDENT), f"/gear/{item.pk}/")


def test_a_student_may_quarantine_and_not_retire(browser_of: BrowserOf) -> None:
    item = ready_item("C-1")
    student = browser_of(Role.STUDENT)
    assert student.post(f"/gear/{item.pk}/retire/", {"reason": "worn"}).status_code == 403
    assert student.post(f"/gear/{item.pk}/quarantine/", {"reason": "nick in the gate"}).status_code == 302
    item.refresh_from_db()
    assert (item.state, item.reason) == (Item.State.QUARANTINED, "nick in the gate")


@pytest.mark.parametrize("url", ["/gear/due/", "/gear/?shown=quarantined"])
def test_a_quarantined_item_has_no_day_on_which_it_is_due(
    team: Team, browser_of: BrowserOf, url: str
) -> None:
    day = timezone.localdate() + timedelta(days=123)
    item = make_item("C-1", next_due=day)
    assert f">{day}</td>" in browser_of(Role.LEAD).get("/gear/").content.decode()
    states.quarantine(item.pk, "dropped", team[Role.LEAD])
    text = browser_of(Role.LEAD).get(url).content.decode()
    assert "out until inspected" in text
    assert f">{day}</td>" not in text


def test_a_refused_item_says_at_its_head_what_is_to_be_mended(browser_of: BrowserOf) -> None:
    text = browser_of(Role.LEAD).post("/gear/add/", _sent(diameter="11", mark="")).content.decode()
    box = text.split('<div class="to-mend" tabindex="-1" autofocus')[1].split("</div>")[0]
    assert text.index("to-mend") < text.index('name="mark"')
    assert '<a href="#id_diameter">Diameter</a>: Found ‘11’ without a unit' in box
    assert '<a href="#id_mark">' in box


@pytest.mark.parametrize("role", [Role.STUDENT, Role.CUSTODIAN])
def test_who_has_gear_is_named_to_those_who_may_see_the_roster(
    role: Role, browser_of: BrowserOf, team: Team
) -> None:
    taken_by = Person.objects.create(name="Somebody Else")
    lines = [issues.Line(ready_item("C-1").pk)]
    issue = issues.give_out(issues.Purpose("drill", taken_by=taken_by), lines, team[Role.LEAD])
    for url in ("/gear/out/", f"/gear/out/{issue.pk}/", "/gear/events/new/"):
        page = browser_of(role).get(url).content.decode()
        named = role == Role.CUSTODIAN
        assert (("Somebody Else" in page), ("a member of the team" in page)) == (named, not named), url
    Account.objects.filter(role=role).update(person=taken_by)
    assert "Somebody Else" in browser_of(role).get("/gear/out/").content.decode()
