"""Kinds of gear and their checklists; and that the demo's cache has what a class lacks."""

from __future__ import annotations

import pytest
from django.utils import timezone

from ropewright.web.demo import accounts, gear, people, policy
from ropewright.web.gear.kinds import checklist_of, checklist_title, kind_of, kinds
from ropewright.web.gear.models import Item
from ropewright.web.gear.usable import on_the_rig, usable
from ropewright.web.workings.engine import catalogue


def test_every_kind_has_a_list_of_its_own_sort() -> None:
    for kind in kinds().values():
        assert len(checklist_of(kind.name)) >= 3
        assert all(len(point.point) <= 120 for point in checklist_of(kind.name))
    lists = {name: kind.checklist for name, kind in kinds().items()}
    assert lists["rope-11-low-stretch"] == "rope"
    assert lists["hitch-tandem"] == lists["sling"] == "textile"
    assert lists["carabiner-locking"] == "connector"
    assert (lists["harness"], lists["litter-basket"], lists["roller"]) == ("harness", "litter", "edge")


def test_surfaces_and_knots_are_no_gear_and_own_kinds_never_hide_the_catalogues() -> None:
    assert "concrete" not in kinds()
    assert "bowline" not in kinds()
    assert not [name for name, kind in kinds().items() if not kind.in_catalogue and name in catalogue()]


def test_a_type_that_is_gone_still_opens() -> None:
    assert kind_of("rope-of-old").family == "other"
    assert checklist_title("rope-of-old") == "Other gear"


# What is owned for the training of three stations, how much of it may be used, and by what length or size.
NOT_ENOUGH = (
    ("rope-12.5-low-stretch", 6, 4),
    ("rope-11-low-stretch", 4, 3),
    ("lower-raise-device", 6, 6),
    ("carabiner-locking", 70, 62),
    ("pulley-single", 12, 12),
    ("hitch-tandem", 6, 6),
    ("sling", 18, 18),
    ("plate", 5, 5),
    ("roller", 6, 6),
    ("litter-basket", 2, 2),
    ("manikin", 2, 2),
    ("descender-self-braking", 4, 4),
    ("running-back-up", 4, 4),
    ("handled-clamp", 5, 5),
    ("chest-clamp", 5, 5),
)


@pytest.mark.django_db
def test_the_demos_cache_lacks_what_the_class_lacks() -> None:
    for room in (policy.fill, people.fill, accounts.fill, gear.fill):
        room()
    owned = [
        item for item in Item.objects.exclude(state="retired").select_related("kit") if not on_the_rig(item)
    ]
    ready = set(usable().values_list("pk", flat=True))
    found = tuple(
        (name, sum(i.type == name for i in owned), sum(i.type == name and i.pk in ready for i in owned))
        for name, _, _ in NOT_ENOUGH
    )
    assert found == NOT_ENOUGH
    assert [i.size for i in owned if i.type == "hitch-tandem"].count("two-person") == 4
    late = Item.objects.get(mark="R45-04")
    assert late.next_due
    assert (timezone.localdate() - late.next_due).days == 20
    reasons = set(
        Item.objects.filter(state="quarantined", type__startswith="rope").values_list("mark", "reason")
    )
    assert any("glazed" in reason for _, reason in reasons)
    assert any("history unknown" in reason for _, reason in reasons)
    front = [i for i in Item.objects.filter(front_line=True, length__gte=60) if i.pk in ready]
    assert len(front) == 4
