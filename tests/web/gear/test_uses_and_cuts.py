"""The use log, that never loses a line, and ropes that are cut."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.gear import states
from ropewright.web.gear.cutting import Piece, cut
from ropewright.web.gear.issues import Line, Purpose, give_out, take_back
from ropewright.web.gear.models import Item, Kit, Use
from ropewright.web.gear.refusals import CutError, UseError
from ropewright.web.gear.uses import UseLine, correct, log, totals
from tests.web.gear.things import make_item, ready_item

Team = dict[Role, Account]


def _line(**known: object) -> UseLine:
    return UseLine(**{"day": timezone.localdate(), "what": "drill", **known})  # type: ignore[arg-type]


def test_a_correction_counts_instead_of_the_line_that_stays(team: Team) -> None:
    item, by = make_item("R-1"), team[Role.INSTRUCTOR]
    (wrong,) = log([item.pk], _line(hours=40.0, drops=2, load=3000.0), by)
    log([item.pk], _line(hours=2.0, wet=True), by)
    correct(wrong, _line(hours=4.0, drops=2, load=2000.0), "a zero too many", by)
    whole = totals([item.pk])
    assert (whole.lines, whole.hours, whole.drops, whole.load, whole.wet) == (2, 6.0, 2, 2000.0, 1)
    assert Use.objects.filter(item=item).count() == 3


def test_a_line_is_corrected_once_and_then_its_correction(team: Team) -> None:
    item, by = make_item("R-1"), team[Role.INSTRUCTOR]
    (wrong,) = log([item.pk], _line(hours=40.0), by)
    right = correct(wrong, _line(hours=4.0), "typing", by)
    with pytest.raises(UseError, match="corrected already; correct the newest one"):
        correct(wrong, _line(hours=5.0), "typing", by)
    correct(right, _line(hours=5.0), "again", by)
    assert totals([item.pk]).hours == 5.0


def test_a_line_is_never_written_over(team: Team) -> None:
    (line,) = log([make_item("R-1").pk], _line(hours=1.0), team[Role.LEAD])
    line = Use.objects.get(pk=line.pk)
    line.hours = 2.0
    with pytest.raises(TypeError, match="a saved use is never changed"):
        line.save()


def test_nothing_is_used_before_it_was_made(team: Team) -> None:
    item = make_item("R-1", made=date(2024, 5, 1))
    with pytest.raises(UseError, match="R-1 was made on 2024-05-01; it can't have been used on 2024-04-30"):
        log([item.pk], _line(day=date(2024, 4, 30)), team[Role.LEAD])


def test_the_first_line_sets_the_day_of_first_use(team: Team) -> None:
    item = make_item("R-1")
    log([item.pk], _line(), team[Role.LEAD])
    item.refresh_from_db()
    assert item.first_used == timezone.localdate()


def test_a_whole_kit_is_logged_at_once(browser_of: Callable[[Role], Client]) -> None:
    kit = Kit.objects.create(name="Bag")
    items = [make_item(f"C-{n}", kit=kit) for n in range(3)]
    browser = browser_of(Role.INSTRUCTOR)
    assert browser.get(f"/gear/use/?kit={kit.pk}").content.decode().count('type="checkbox" name="item"') == 3
    sent = {
        "item": [str(item.pk) for item in items[:2]],
        "day": timezone.localdate().isoformat(),
        "what": "drill",
        "load": "540 lbf",
    }
    assert browser.post(f"/gear/use/?kit={kit.pk}", sent).status_code == 302
    assert [use.item.mark for use in Use.objects.order_by("item")] == ["C-0", "C-1"]
    assert Use.objects.all()[0].load == pytest.approx(2402, abs=1)


def test_an_item_that_was_not_offered_is_not_logged(browser_of: Callable[[Role], Client]) -> None:
    mine, other = make_item("C-1"), make_item("C-2")
    sent = {"item": [str(other.pk)], "day": timezone.localdate().isoformat(), "what": "drill"}
    page = browser_of(Role.INSTRUCTOR).post(f"/gear/use/?item={mine.pk}", sent)
    assert page.status_code == 422
    assert not Use.objects.exists()


def _rope(**known: object) -> Item:
    return ready_item("R-1", **{"type": "rope-11-low-stretch", "length": 60.0, **known})


def test_cutting_retires_the_rope_and_makes_pieces_that_are_due(team: Team) -> None:
    rope = _rope(made=date(2023, 1, 1), colour="red")
    one, two = cut(rope.pk, [Piece("R-1a", 40.0), Piece("R-1b", 15.0)], "worn end", team[Role.CUSTODIAN])
    rope.refresh_from_db()
    assert (rope.state, rope.reason) == (Item.State.RETIRED, "cut into R-1a, R-1b: worn end")
    assert [(p.cut_from, p.length, p.colour, p.made) for p in (one, two)] == [
        (rope, 40.0, "red", date(2023, 1, 1)),
        (rope, 15.0, "red", date(2023, 1, 1)),
    ]
    assert one.due
    assert two.due


@pytest.mark.parametrize(
    ("pieces", "why"),
    [
        ([Piece("a", 40.0), Piece("b", 20.1)], r"the pieces are 60.1 m \(197.* together; R-1 is only 60 m"),
        ([Piece("a", 40.0), Piece("A", 5.0)], "two pieces have the mark a"),
        ([Piece("r-1", 40.0)], "another item has the mark r-1"),
        ([Piece("a", 0.1)], "a is 0.1 m"),
        ([], "a cut makes a piece at the least"),
    ],
)
def test_a_cut_that_can_not_be_is_refused(pieces: list[Piece], why: str, team: Team) -> None:
    rope = _rope()
    with pytest.raises(CutError, match=why):
        cut(rope.pk, pieces, "worn end", team[Role.CUSTODIAN])
    rope.refresh_from_db()
    assert rope.state == Item.State.IN_SERVICE
    assert Item.objects.count() == 1


def test_pieces_of_a_quarantined_rope_stay_quarantined(team: Team) -> None:
    rope = _rope()
    states.quarantine(rope.pk, "heat glaze at 22 m", team[Role.LEAD])
    (piece,) = cut(rope.pk, [Piece("R-1a", 20.0)], "cut the glaze out", team[Role.LEAD])
    assert piece.state == Item.State.QUARANTINED
    assert "heat glaze at 22 m" in piece.reason


@pytest.mark.parametrize(
    ("known", "why"),
    [
        ({"length": None}, "nobody stated how long R-1 is"),
        ({"type": "sling"}, "only ropes and cords are cut"),
        ({"state": "issued"}, "R-1 is given out; take it back first"),
        ({"state": "retired"}, "R-1 is retired"),
    ],
)
def test_what_can_not_be_cut(known: dict[str, object], why: str, team: Team) -> None:
    with pytest.raises(CutError, match=why):
        cut(_rope(**known).pk, [Piece("a", 5.0)], "worn end", team[Role.LEAD])


def test_a_rope_that_was_quarantined_while_it_is_out_is_not_cut(team: Team) -> None:
    rope, by = _rope(), team[Role.LEAD]
    issue = give_out(Purpose("drill"), [Line(rope.pk)], by)
    states.quarantine(rope.pk, "a sharp edge", by)
    with pytest.raises(CutError, match="R-1 is given out; take it back first"):
        cut(rope.pk, [Piece("R-1a", 5.0)], "worn end", by)
    assert not Item.objects.filter(cut_from=rope).exists()
    take_back(issue, [line.pk for line in issue.lines.all()], by)
    assert cut(rope.pk, [Piece("R-1a", 5.0)], "worn end", by)


def test_what_was_done_with_the_rope_before_is_told_of_the_piece(
    browser_of: Callable[[Role], Client], team: Team
) -> None:
    rope = _rope()
    log([rope.pk], _line(hours=12.5, day=timezone.localdate() - timedelta(days=3)), team[Role.LEAD])
    (piece,) = cut(rope.pk, [Piece("R-1a", 20.0)], "worn end", team[Role.LEAD])
    page = browser_of(Role.STUDENT).get(f"/gear/{piece.pk}/").content.decode()
    assert "Before it was cut" in page
    assert "12.5 hours" in page


def test_what_is_quarantined_is_ticked_by_nobody_but_the_user(browser_of: Callable[[Role], Client]) -> None:
    kit = Kit.objects.create(name="Bag")
    make_item("C-1", kit=kit)
    held = make_item("C-2", kit=kit, state=Item.State.QUARANTINED)
    page = browser_of(Role.INSTRUCTOR).get(f"/gear/use/?kit={kit.pk}").content.decode()
    assert page.count(" checked") == 1
    assert f'value="{held.pk}">' in page
