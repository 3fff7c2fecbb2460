"""Gear in and out as tables, through the pages."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from ropewright.web.access import Role
from ropewright.web.gear.models import Item, Kit, Place, StateChange
from ropewright.web.tables.models import Upload
from tests.web.gear.things import make_item
from tests.web.tables.files import csv_bytes

BrowserOf = Callable[[Role | None], Client]


@pytest.fixture
def keeper(browser_of: BrowserOf) -> Client:
    return browser_of(Role.CUSTODIAN)


def send(client: Client, *lines: str, name: str = "cache.csv", system: str = "metric") -> Any:
    """Send a table; the answer is the preview, or the refusal."""
    file = SimpleUploadedFile(name, csv_bytes(*lines))
    return client.post("/gear/table/in/", {"table": file, "system": system}, follow=True)


def fates(answer: Any) -> dict[str, int]:
    counts: dict[str, int] = answer.context["preview"].counts()
    return counts


def faults(answer: Any) -> dict[int, list[str]]:
    return {o.number: [str(f) for f in o.faults] for o in answer.context["preview"].of_fate("wrong")}


def take(client: Client, answer: Any, **more: str) -> Any:
    context = answer.context
    return client.post(context["urls"]["take"], {"digest": context["preview"].digest, **more})


GOOD = ("Own mark,Type,Length (ft),Breaking strength,Made", "TH-1,rope-11-low-stretch,200,30 kN,2024-03-15")


def test_nothing_is_written_before_the_preview_is_confirmed(keeper: Client) -> None:
    answer = send(keeper, *GOOD)
    assert fates(answer) == {"wrong": 0, "changed": 0, "new": 1, "unchanged": 0}
    assert not Item.objects.exists()
    assert answer["Cache-Control"] == "private, no-store"
    page = answer.content.decode()
    assert "Nothing is written yet." in page
    assert "61 m (200 ft)" in page or "60.96" in page


def test_confirmed_rows_are_written_with_their_history_and_first_line(keeper: Client, team: Any) -> None:
    assert take(keeper, send(keeper, *GOOD)).status_code == 302
    item = Item.objects.get()
    assert (item.mark, item.type, item.strength, item.made) == (
        "TH-1", "rope-11-low-stretch", 30_000.0, date(2024, 3, 15),
    )  # fmt: skip
    assert item.length == pytest.approx(60.96)
    assert item.textile  # ropes age
    assert item.state == Item.State.IN_SERVICE
    assert item.due
    assert item.history.get().history_user == team[Role.CUSTODIAN]
    assert StateChange.objects.get().by == team[Role.CUSTODIAN]


def test_the_rows_are_forgotten_when_they_are_taken_in(keeper: Client) -> None:
    take(keeper, send(keeper, *GOOD))
    assert Upload.objects.get().table == {}


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("length,-5 m", "length: found '-5 m'; a length can't be negative here"),
        ("length,9000 m", "length: Found ‘9000 m’; a length is between 0.1 m (0.3 ft) and 1000 m"),
        (
            "length,sixty",
            "length: found 'sixty' where a length is wanted; a length is given in m or ft, e.g. 9 m",
        ),
        ("length,60..70 m", "length: found the range '60..70 m'; write one figure"),
        ("breaking strength,22 kg", "breaking strength: a mass (22 kg) where a force is wanted"),
        ("user limit,9000", "user limit: Found ‘9000 kg’; a user limit is within"),
        ("user limit,0", "user limit: Found ‘0 kg’; a user limit is within"),
        ("made,2999-01-01", "made: 2999-01-01 is in the future"),
        ("made,1869-01-01", "made: 1869-01-01 is outside 1950 to 2100; check the year"),
        ("made,2023-02-30", "made: found '2023-02-30', a day that is in no calendar; write it as 2024-03-15"),
        (
            "made,03/04/2024",
            "made: found '03/04/2024': choose above whether the day or the month stands first",
        ),
        ("made,03/04/24", "made: found '03/04/24', a year of two digits; write four, best as 2024-03-15"),
        ("textile,perhaps", "textile or plastic: found 'perhaps' where yes or no is wanted"),
        ("kit,Blue bag", "kit: found 'Blue bag'; it is one of Red bag"),
        ("place,Shed", "place: found 'Shed'; none is on record yet: enter it there first"),
        ("name," + "x" * 121, "name: Ensure this value has at most 120 characters (it has 121)."),
        ("note,turned \u202eround", "note: found the hidden character U+202E"),
        ("state,retired", "state: found 'retired'; a new item comes in service or quarantined"),
        (
            "state,quarantined",
            "state: found 'quarantined' without a reason; say it in the column 'why it is so'",
        ),
    ],
)
def test_a_wrong_cell_is_told_with_what_would_be_right(keeper: Client, cell: str, told: str) -> None:
    Kit.objects.create(name="Red bag")
    column, _, text = cell.partition(",")
    answer = send(keeper, f"mark,type,{column}", f"TH-1,carabiner-locking,{text}")
    [(number, [fault])] = faults(answer).items()
    assert number == 2
    assert fault.startswith(told)


def test_every_fault_of_a_row_is_told(keeper: Client) -> None:
    answer = send(keeper, "mark,type,length,made", "TH-1,carabinner-locking,-5,2999-01-01", ",cord-8,,")
    one, two = faults(answer).values()
    assert [fault.split(":")[0] for fault in one] == ["catalogue type", "length", "made"]
    assert "nearest are carabiner-locking" in one[0]
    assert two == ["own mark: found nothing; every row needs it"]


def test_a_mark_may_stand_once_in_a_file_however_it_is_written(keeper: Client) -> None:
    answer = send(
        keeper, "mark,type", "TH-1,carabiner-locking", "th-1,carabiner-locking", "TH-2,carabiner-locking"
    )
    assert faults(answer) == {
        2: ["own mark: 'TH-1' also stands in row 3; one row an item"],
        3: ["own mark: 'th-1' also stands in row 2; one row an item"],
    }
    assert fates(answer)["new"] == 1


def test_what_changes_is_shown_and_the_rest_stays(keeper: Client) -> None:
    item = make_item("TH-1", colour="red", strength=22_000.0, note="keep me")
    answer = send(keeper, "mark,type,colour,strength,note", "th-1,carabiner-locking,blue,22 kN,")
    [outcome] = answer.context["preview"].of_fate("changed")
    assert [(c.title, c.before, c.after) for c in outcome.changes] == [("colour", "red", "blue")]
    take(keeper, answer)
    item.refresh_from_db()
    assert (item.mark, item.colour, item.strength, item.note) == ("TH-1", "blue", 22_000.0, "keep me")
    assert item.history.count() == 2


def test_empty_cells_empty_the_record_only_where_that_was_chosen(keeper: Client) -> None:
    item = make_item("TH-1", colour="red", strength=22_000.0, made=date(2020, 1, 1), textile=True)
    lines = ("mark,type,colour,strength,made,textile,kit", "TH-1,carabiner-locking,,,,,")
    answer = send(keeper, *lines)
    assert fates(answer)["unchanged"] == 1
    answer = choose(keeper, answer, clears="yes")
    take(keeper, answer)
    item.refresh_from_db()
    assert (item.colour, item.strength, item.made, item.textile) == ("", None, None, True)


def choose(client: Client, answer: Any, **chosen: str) -> Any:
    manner = answer.context["preview"].manner
    told = {"system": manner.system, "dates": manner.dates, "comma": manner.comma, "clears": "no"}
    return client.post(answer.context["urls"]["choose"], {**told, **chosen}, follow=True)


def test_the_order_of_day_and_month_is_asked_and_then_held_to(keeper: Client) -> None:
    answer = send(keeper, "mark,type,made", "TH-1,cord-8,03/04/2020", "TH-2,cord-8,25/12/2020")
    assert answer.context["asks"] == ["Dates such as 03/04/2020: does the day or the month stand first?"]
    assert fates(answer)["wrong"] == 2
    answer = choose(keeper, answer, dates="month")
    assert faults(answer) == {
        3: [
            "made: found '25/12/2020': there is no month 25; with the day first it would be 2020-12-25. "
            "Are the file's dates of two kinds?"
        ]
    }
    answer = choose(keeper, answer, dates="day")
    take(keeper, answer)
    assert list(Item.objects.values_list("made", flat=True)) == [date(2020, 4, 3), date(2020, 12, 25)]


def test_a_comma_that_may_be_either_is_asked(keeper: Client) -> None:
    lines = ("mark;type;strength;length", "TH-1;cord-8;1,800 lbf;1,5 m")
    answer = send(keeper, *lines)
    assert answer.context["asks"] == [
        "Figures such as 1,800 lbf: does the comma part thousands or start decimals?"
    ]
    assert "which may be 1.800 lbf or 1800 lbf; choose above what a comma is" in str(faults(answer))
    take(keeper, choose(keeper, answer, comma="decimals", system="metric"), leave_out="yes")
    assert not Item.objects.exists()  # 1.8 lbf is no strength
    answer = choose(keeper, answer, comma="thousands")
    assert "a comma only parts thousands" in str(faults(answer))


@pytest.mark.parametrize(("system", "length"), [("metric", 60.0), ("us", 18.288)])
def test_a_bare_number_is_in_the_chosen_units(keeper: Client, system: str, length: float) -> None:
    take(keeper, send(keeper, "mark,type,length", "TH-1,cord-8,60", system=system))
    assert Item.objects.get().length == pytest.approx(length)


def test_an_unknown_column_is_told_and_can_be_mapped(keeper: Client) -> None:
    answer = send(keeper, "mark,type,Farbe,price", "TH-1,cord-8,red,12")
    assert answer.context["preview"].matching.told == (
        "Not taken, because nothing here has that name: Farbe, price.",
    )
    answer = choose(keeper, answer, **{"column-2": "colour"})
    take(keeper, answer)
    assert Item.objects.get().colour == "red"


def test_a_needed_column_that_is_missing_is_told_before_any_row(keeper: Client) -> None:
    answer = send(keeper, "Nummer,type", "TH-1,cord-8")
    [fault] = answer.context["preview"].matching.faults
    assert fault.startswith("No column is taken as 'own mark', which every row needs.")
    answer = choose(keeper, answer, **{"column-0": "mark"})
    assert fates(answer)["new"] == 1


def test_of_two_columns_of_one_name_neither_is_taken_unasked(keeper: Client) -> None:
    answer = send(keeper, "mark,type,colour,Color", "TH-1,cord-8,red,blue")
    assert answer.context["preview"].matching.faults == (
        "column C ('colour') and column D ('Color') are both 'colour'. Choose below which one is taken.",
    )
    answer = choose(keeper, answer, **{"column-2": "-", "column-3": "colour"})
    take(keeper, answer)
    assert Item.objects.get().colour == "blue"


def test_wrong_rows_are_left_out_only_when_that_is_ticked(keeper: Client) -> None:
    answer = send(keeper, "mark,type,length", "TH-1,cord-8,9", "TH-2,cord-8,-9")
    refused = take(keeper, answer)
    assert refused.status_code == 422
    assert "Wrong rows: 1. Tick that they are left out" in refused.content.decode()
    assert not Item.objects.exists()
    assert take(keeper, answer, leave_out="yes").status_code == 302
    assert [item.mark for item in Item.objects.all()] == ["TH-1"]


def test_wrong_rows_come_back_as_a_file_that_can_be_mended_and_sent(keeper: Client) -> None:
    answer = send(keeper, "mark,type,length", "TH-1,cord-8,9", "TH-2,cord-8,=9", "TH-3,cord-8,-9")
    file = keeper.get(answer.context["urls"]["wrong"]).content.decode("utf-8-sig")
    lines = file.split("\r\n")
    assert lines[0] == '"mark","type","length","what is wrong"'
    assert lines[1].startswith('"TH-2","cord-8","\'=9","length: found')
    mended = file.replace("'=9", "9").replace("'-9", "8")
    again = keeper.post(
        "/gear/table/in/",
        {"table": SimpleUploadedFile("x.csv", mended.encode("utf-8-sig")), "system": "metric"},
        follow=True,
    )
    assert fates(again) == {"wrong": 0, "changed": 0, "new": 2, "unchanged": 0}
    assert again.context["preview"].matching.told == ()


def test_confirming_twice_writes_once(keeper: Client) -> None:
    answer = send(keeper, *GOOD)
    take(keeper, answer)
    assert take(keeper, answer).status_code == 302
    assert Item.objects.count() == 1
    assert StateChange.objects.count() == 1


@pytest.mark.parametrize("change", ["item", "entered", "kit", "choice"])
def test_what_changed_since_the_preview_is_caught(keeper: Client, change: str) -> None:
    item = make_item("TH-1", colour="red")
    kit = Kit.objects.create(name="Red bag")
    answer = send(keeper, "mark,type,colour", "TH-1,carabiner-locking,blue", "TH-2,carabiner-locking,red")
    if change == "item":
        Item.objects.filter(pk=item.pk).update(colour="green")
    elif change == "entered":
        make_item("th-2")
    elif change == "kit":
        kit.delete()
    else:
        choose(keeper, answer, system="us")
    refused = take(keeper, answer)
    assert refused.status_code == 409
    assert "Nothing was written; below is what the table would do now." in refused.content.decode()
    assert not Item.objects.filter(colour="blue").exists()
    assert take(keeper, refused).status_code == 302


def test_a_table_that_changes_nothing_says_so(keeper: Client) -> None:
    make_item("TH-1")
    answer = send(keeper, "mark,type", "TH-1,carabiner-locking")
    assert "there is nothing to take in" in answer.content.decode()
    assert take(keeper, answer).status_code == 422


def test_a_table_is_its_senders_alone_and_for_a_day(keeper: Client, browser_of: BrowserOf) -> None:
    answer = send(keeper, *GOOD)
    look = answer.context["urls"]["look"]
    assert browser_of(Role.LEAD).get(look).status_code == 302
    assert keeper.get(look).status_code == 200
    Upload.objects.update(sent=timezone.now() - timedelta(hours=25))
    assert keeper.get(look).status_code == 302
    assert take(keeper, answer).status_code == 302
    assert not Item.objects.exists()
    send(keeper, *GOOD)
    assert Upload.objects.count() == 1


def test_a_table_can_be_thrown_away(keeper: Client) -> None:
    answer = send(keeper, *GOOD)
    keeper.post(answer.context["urls"]["drop"])
    assert not Upload.objects.exists()


def test_a_quarantined_item_comes_in_with_its_reason(keeper: Client) -> None:
    answer = send(
        keeper, "mark,type,state,why it is so", "TH-1,cord-8,quarantined,found in a drawer",
    )  # fmt: skip
    take(keeper, answer)
    item = Item.objects.get()
    assert (item.state, item.reason) == (Item.State.QUARANTINED, "found in a drawer")
    assert StateChange.objects.get().reason == "found in a drawer"


def test_a_state_is_never_changed_by_a_table(keeper: Client) -> None:
    make_item("TH-1", state=Item.State.QUARANTINED, reason="cut")
    answer = send(keeper, "mark,type,state", "TH-1,carabiner-locking,in service")
    assert faults(answer) == {
        2: [
            "state: found 'in service', on record is 'quarantined'; a state is changed on the item's own page"
        ]
    }


def test_what_only_inspections_set_is_noted_and_not_taken(keeper: Client) -> None:
    answer = send(keeper, "mark,type,next due", "TH-1,cord-8,2031-01-01")
    [outcome] = answer.context["preview"].of_fate("new")
    assert outcome.notes == ("next due: 2031-01-01 is not taken: it follows from inspections",)
    take(keeper, answer)
    assert Item.objects.get().next_due is None


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_was_exported_is_unchanged_when_it_comes_back(keeper: Client, kind: str, units: str) -> None:
    _full_cache()
    out = keeper.get(f"/gear/table/?as={kind}&units={units}&shown=every")
    file = SimpleUploadedFile(f"back.{kind}", out.content)
    answer = keeper.post("/gear/table/in/", {"table": file, "system": "us"}, follow=True)
    assert faults(answer) == {}
    assert fates(answer) == {"wrong": 0, "changed": 0, "new": 0, "unchanged": 5}
    assert all(outcome.notes == () for outcome in answer.context["preview"].outcomes)


def _full_cache() -> None:
    place, kit = Place.objects.create(name="Bay 1, top"), Kit.objects.create(name="=Red bag")
    rope = make_item(
        "R-1", type="rope-11-low-stretch", length=60.96, diameter=0.0125, strength=29_892.5, textile=True,
        made=date(2020, 1, 2), bought=date(2020, 2, 3), first_used=date(2020, 3, 4), instructions=True,
        place=place, kit=kit, note="first line\n- second line; =wet", inspected=date(2024, 1, 1),
        next_due=date(2030, 1, 1), serial="00123", standard="EN 1891",
    )  # fmt: skip
    make_item("R-1a", type="rope-11-low-stretch", length=20.1, cut_from=rope, textile=True)
    make_item("+plus", name="@home", colour="-dark", supplier="'quoted", size='"=XL"')
    make_item("C-1", working_load=4448.2216152605, user_mass=140.61363, front_line=True)
    make_item("Q-1", state=Item.State.QUARANTINED, reason="=dropped, from the tower")


@pytest.mark.parametrize(
    ("units", "title", "figure"), [("metric", "mm", "12.5"), ("us", "in", "0.492125984252")]
)
def test_a_diameter_is_written_in_small_units(keeper: Client, units: str, title: str, figure: str) -> None:
    make_item("R-1", type="rope-11-low-stretch", diameter=0.0125)
    text = keeper.get(f"/gear/table/?units={units}").content.decode("utf-8-sig")
    header, row = csv.reader(text.splitlines())
    assert row[header.index(f"diameter ({title})")] == figure
    assert "length (m)" in header or units == "us"


@pytest.mark.parametrize(
    ("title", "cell"),
    [
        ("diameter (mm)", "12.5"),
        ("diameter (m)", "0.0125"),
        ("diameter", "12.5"),
        ("diameter", "12.5 mm"),
        ("diameter (m)", "12.5 mm"),
        ("diameter (in)", "0.492125984252"),
    ],
)
def test_a_diameter_is_read_in_the_unit_that_it_has(keeper: Client, title: str, cell: str) -> None:
    page = send(keeper, f"mark,type,{title}", f"R-1,rope-11-low-stretch,{cell}")
    assert faults(page) == {}
    (outcome,) = page.context["preview"].outcomes
    assert outcome.values["diameter"] == pytest.approx(0.0125)


def test_an_export_holds_what_the_filters_show(browser_of: BrowserOf) -> None:
    make_item("TH-1", colour="red")
    make_item("TH-2", state=Item.State.RETIRED)
    student = browser_of(Role.STUDENT)
    assert b"TH-2" not in student.get("/gear/table/").content
    shown = student.get("/gear/table/?shown=retired")
    assert b"TH-2" in shown.content
    assert b"TH-1" not in shown.content
    assert shown["Content-Disposition"].startswith('attachment; filename="gear-')


def test_a_formula_in_the_cache_is_text_in_the_file(keeper: Client) -> None:
    make_item("TH-1", name='=HYPERLINK("http://example.invalid")', note="wet;=1+1")
    text = keeper.get("/gear/table/").content.decode("utf-8-sig")
    assert "\"'=HYPERLINK(" in text
    assert "wet;'=1+1" in text


@pytest.mark.parametrize("as_file", [b"", b"%PDF-1.7", b"\x00\x01"])
def test_a_file_that_is_no_table_is_refused_on_the_form(keeper: Client, as_file: bytes) -> None:
    answer = keeper.post(
        "/gear/table/in/", {"table": SimpleUploadedFile("x.csv", as_file), "system": "metric"}
    )
    assert answer.status_code == 422
    assert 'class="wrong"' in answer.content.decode()


def test_a_preview_asks_the_store_a_few_times_however_many_rows(
    keeper: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for k in range(5):
        make_item(f"TH-{k}")
    lines = [f"TH-{k},carabiner-locking,{k}" for k in range(200)]
    look = send(keeper, "mark,type,note", *lines).context["urls"]["look"]
    with django_assert_max_num_queries(16):
        assert keeper.get(look).status_code == 200
