"""The demo's class: what the page says of it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction
from django.test import Client

from ropewright.web.access import Role
from ropewright.web.accounts.models import Account
from ropewright.web.demo.fill import fill_demo
from ropewright.web.gear.models import Item
from ropewright.web.people.models import Person
from ropewright.web.planning.answer import Answer, answer
from ropewright.web.planning.models import Plan
from ropewright.web.planning.repairs import Told, repairs_told
from ropewright.web.planning.telling import over_told, short_of, why_not
from ropewright.web.policy.now import rules_now


@pytest.fixture
def found(db: None) -> Answer:
    fill_demo(lambda _line: None)
    plan = Plan.objects.get()
    plan.people.remove(Person.objects.get(name="Otis Pellerin"))
    return answer(plan, rules_now())


def test_the_heaviest_of_the_class_is_too_heavy_for_its_lanes(found: Answer) -> None:
    found.plan.people.add(Person.objects.get(name="Otis Pellerin"))
    whole, rules = answer(found.plan, rules_now()), rules_now()
    (told,) = [said.text for said in why_not(whole, rules.units) if "outside policy" in said.text]
    assert told.startswith("At 146 kg (322 lb), the mass of Otis Pellerin, S4 lanes: ")
    assert "a factor of 8.31, where the policy asks for 10" in told
    assert "2 × harness: bears 14.3 kN (3220 lbf) or more, rated for 146 kg (322 lb) or more" in (
        repairs_told(whole, rules).fetch
    )
    (one,) = whole.over
    over = over_told(whole, one, rules.units)
    assert over.startswith("Otis Pellerin, 146 kg (322 lb) with gear: equipment limit at S4 lanes")


def test_the_class_lacks_what_such_classes_lack(found: Answer) -> None:
    assert not found.can
    rows: dict[str, tuple[int, int]] = {}
    for row in found.rows:
        need, gap = rows.get(row.type, (0, 0))
        rows[row.type] = (need + row.need, gap + row.gap)
    assert {kind: both for kind, both in rows.items() if both[1]} == {
        "rope-12.5-low-stretch": (6, 2),
        "rope-11-low-stretch": (4, 1),
        "lower-raise-device": (8, 2),
        "carabiner-locking": (64, 2),
        "hitch-tandem": (5, 1),
        "roller": (8, 2),
        "manikin": (3, 1),
    }
    assert rows["sling"] == (18, 0)
    assert rows["pulley-single"] == (11, 0)

    repairs = repairs_told(found, rules_now())
    ways, steps = repairs.ways, repairs.steps
    told = [way.does for way in ways]
    assert (
        "Leave out S2 litter, with the gear that goes with it",
        "Rig S4 lanes once instead of twice and take turns",
    ) in told
    assert any(does[0].startswith("Leave out S2 litter") and "R45-04" in does[-1] for does in told)
    assert any("of 3 groups one has 8 students" in " ".join(way.mind) for way in ways)
    assert any(step.does[0].startswith("Lend RESCUE-R-01") for step in steps)


def kept(client: Client, url: str) -> None:
    """Open the plan's form as an address has it, and keep it as it stands."""
    context: Any = client.get(url).context
    parts = [context["form"]]
    for rows in (context["lines"], context["extras"]):
        parts += [rows.management_form, *rows.forms]
    sent = {
        field.html_name: [getattr(one, "pk", one) for one in value] if isinstance(value, list) else value
        for part in parts
        for field in part
        if (value := field.value()) is not None and value is not False
    }
    assert client.post(url.split("?")[0], sent).status_code == 302


def test_what_a_repair_promises_is_what_is_missing_once_its_form_is_kept(
    found: Answer, client: Client
) -> None:
    client.force_login(Account.objects.filter(role=Role.LEAD)[0])
    rules = rules_now()
    repairs = repairs_told(found, rules)
    followed: list[Told] = [*repairs.ways, *repairs.steps]
    assert len(followed) > 8
    for told in followed:
        with transaction.atomic():
            if told.change_url:
                kept(client, told.change_url)
            Item.objects.filter(mark__in=[item.mark for item in told.inspect]).update(
                next_due=found.plan.day + timedelta(days=90)
            )
            after = answer(Plan.objects.get(), rules)
            missing = short_of(after, after.solved.allotment.unmet, rules.units)
            assert (f"Still missing: {missing}." if missing else "All") in told.then, told.does
            assert after.can == (not missing)
            transaction.set_rollback(True)
