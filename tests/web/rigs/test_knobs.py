"""Turning the numbers of a rig."""

from __future__ import annotations

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.rig import Rig, read_rig
from ropewright.web.demo.rigs import example_texts
from ropewright.web.rigs.knobs import knobs_of, text_of, turned

TEXTS = dict(example_texts(".rig.yaml"))
CATALOGUE = load_catalogue()
USED = [
    ("efficiency", "pulley-single", 0.9),
    ("efficiency", "lower-raise-device", 0.86),
    ("mass", "cam-grab", 0.2),
]


def _read(text: str) -> Rig:
    return read_rig(text, CATALOGUE)


def test_every_knob_changes_the_rig_and_its_text_alike() -> None:
    for slug in (
        "haul-3-1",
        "self-haul-one-sheave",
        "parapet-roller",
        "litter-roller-crew",
        "litter-and-attendant",
    ):
        text, tried = TEXTS[slug], 0
        rig = _read(text)
        for knob in knobs_of(rig, USED, "metric"):
            value = knob.base + (knob.most - knob.base) / 4 if knob.most > knob.base else knob.least
            value = float(round(value)) if knob.group == "People" else round(value, 3)
            done = turned(rig, [knob], {knob.key: str(value)})
            assert done.changed == (knob,), (slug, knob.key)
            written = text_of(text, done)
            assert _read(written) == done.rig, (slug, knob.key)
            assert written.count("#") == text.count("#"), (slug, knob.key)
            tried += 1
        assert tried > 3, slug


def test_several_knobs_are_turned_together_in_pounds_and_feet() -> None:
    text = TEXTS["haul-3-1"]
    rig = _read(text)
    knobs = knobs_of(rig, USED, "us")
    asked = {"mass.weight": "300", "people.haulers": "5", "x.frame": "2", "efficiency.pulley-single": "0.8"}
    done = turned(rig, knobs, asked)
    assert done.rig.loads["weight"].mass.likely == pytest.approx(136.08, abs=0.01)
    assert done.rig.points["frame"].at[0] == pytest.approx(0.6096)
    assert _read(text_of(text, done)) == done.rig


@pytest.mark.parametrize("word", ["nan", "1e999", "-5", "99999999", "a lot", "0x10"])
def test_what_is_no_number_in_bounds_is_told_and_changes_nothing(word: str) -> None:
    rig = _read(TEXTS["haul-3-1"])
    done = turned(rig, knobs_of(rig, USED, "metric"), {"mass.weight": word})
    assert done.rig == rig
    assert done.changed == ()
    assert done.wrong["mass.weight"].startswith(f"mass of weight: found “{word}”; write a number from 1 to")


def test_a_decimal_comma_is_understood() -> None:
    rig = _read(TEXTS["haul-3-1"])
    done = turned(rig, knobs_of(rig, USED, "metric"), {"efficiency.pulley-single": "0,8"})
    assert done.rig.assume["pulley-single"]["efficiency"].likely == 0.8
