"""What may slip in a catch, as the finding about it has it too."""

from __future__ import annotations

from ropewright.judgement.findings import findings
from ropewright.judgement.sliding import slips
from tests.sheets.cards import examined


def test_what_a_catch_asks_for_more_than_it_slips_from_is_named_for_each_failure() -> None:
    x = examined("tower-day-lane")
    found = {f.component.label: slips(f) for f in x.failures}
    told = {f.part for f in findings(x) if f.code == "slips-in-catch"}
    assert told == {"backup"}
    assert {slip.part for each in found.values() for slip in each} == told
    for failure in x.failures:
        for slip in slips(failure):
            assert slip.asked > slip.slips_from == 2500.0
            assert failure.catch_on(slip.part) > 1.0
    assert any(not each for each in found.values())
