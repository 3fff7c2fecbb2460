"""The demo's class: what the page says of it."""

from __future__ import annotations

import pytest

from ropewright.web.demo.fill import fill_demo
from ropewright.web.planning.answer import Answer, answer
from ropewright.web.planning.models import Plan
from ropewright.web.planning.telling import over_told, repairs_told
from ropewright.web.policy.now import rules_now


@pytest.fixture
def found(db: None) -> Answer:
    fill_demo(lambda _line: None)
    return answer(Plan.objects.get(), rules_now())


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

    ways, steps, _ = repairs_told(found, rules_now())
    told = [way.does for way in ways]
    assert ("Leave out S2 litter", "Rig S4 lanes once instead of twice") in told
    assert any(does[0] == "Leave out S2 litter" and "R45-04" in does[-1] for does in told)
    assert any("of 3 groups one has 8 students" in " ".join(way.mind) for way in ways)
    assert any(step.does[0].startswith("Lend RESCUE-R-01") for step in steps)
    (one,) = found.over
    over = over_told(found, one, rules_now().units)
    assert over.startswith("Otis Pellerin, 146 kg (322 lb) with gear: equipment limit at S4 lanes")
