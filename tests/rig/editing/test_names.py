"""Parts named as types: whom the figures under `assume` count for, and what the tables refuse."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.quantity import Range
from ropewright.rig import read_rig
from ropewright.rig.editing import (
    EditError,
    add_figure,
    add_part,
    add_rope,
    change_figure,
    remove_figure,
    remove_part,
    rename_part,
)
from ropewright.rig.stated_of import Shared, Thing, shared_figures, stated_of

KNOWN = load_catalogue()
BOTH = """rig: T
points:
  beam: {kind: anchor, at: [0, 9], strength: 36 kN}
loads:
  climber: {kind: person, mass: 95, at: [0, 1]}
gear:
  pulley-double: {is: pulley-single, at: beam}
  twin: {is: pulley-double, at: climber}
ropes:
  main:
    is: rope-11-low-stretch
    length: 30
    run:
      - tie beam with figure-eight-bight
      - through twin.1
      - through pulley-double
      - hand climber
haul: {load: climber, up: 2}
assume:
  pulley-double: {efficiency: 0.5}
"""
NONE = BOTH[: BOTH.index("assume:")]


@pytest.mark.parametrize(
    "act",
    [
        lambda: rename_part(NONE, "twin", "pulley-single"),
        lambda: add_part(NONE, "points", "pulley-single", {"kind": "anchor", "at": "0, 3"}),
        lambda: add_part(NONE, "loads", "pulley-single", {"kind": "pack", "mass": "9", "at": "0, 3"}),
        lambda: add_part(NONE, "crews", "pulley-single", {"at": "0, 3"}),
        lambda: add_part(NONE, "gear", "pulley-single", {"is": "pulley-single", "at": "beam"}),
        lambda: add_rope(NONE, "pulley-single", {"is": "cord-8"}, ["tie beam", "tail"]),
    ],
)
def test_the_name_of_a_type_is_given_to_nothing(act: Callable[[], str]) -> None:
    with pytest.raises(EditError) as refused:
        act()
    assert str(refused.value) == (
        "`pulley-single` is a type of the catalogue; figures of the type would count for the part as well. "
        "Take another name, as in `pulley-single-1`"
    )


@pytest.mark.parametrize(
    "act",
    [
        lambda: rename_part(BOTH, "pulley-double", "foo"),
        lambda: remove_part(BOTH, "pulley-double", with_uses=True),
        lambda: change_figure(BOTH, "pulley-double", "efficiency", "0.7", KNOWN),
        lambda: remove_figure(BOTH, "pulley-double", "efficiency"),
        lambda: add_figure(BOTH, "pulley-double", "strength", "20 kN", KNOWN),
    ],
)
def test_figures_of_a_part_and_a_type_are_left_to_the_text(act: Callable[[], str]) -> None:
    with pytest.raises(EditError) as refused:
        act()
    assert str(refused.value) == (
        "`pulley-double` is the name of a part and of a type of the catalogue, and the figures stated of it "
        "count for both, so nothing was changed. In the text, give the part another name and say under "
        "`assume` whom they are meant for"
    )


def test_a_part_named_as_a_type_gets_no_figure_but_another_name() -> None:
    with pytest.raises(EditError, match=r"a figure would count for both. Give the part another name first"):
        add_figure(NONE, "pulley-double", "efficiency", "0.5", KNOWN)
    new = add_figure(rename_part(NONE, "pulley-double", "foo"), "foo", "efficiency", "0.5", KNOWN)
    half = {"efficiency": Range.exactly(0.5)}
    found = {thing: dict(figures) for thing, figures in stated_of(read_rig(new)).items() if figures}
    assert found == {Thing("foo", "", "pulley-single"): half}


def test_a_file_with_such_a_name_loads_and_it_is_found_whom_its_figures_count_for() -> None:
    rig = read_rig(BOTH)
    assert list(shared_figures(rig, KNOWN)) == [Shared("pulley-double", 7, ("twin",))]
    own = BOTH + "  twin: {efficiency: 0.9}\n"
    assert list(shared_figures(read_rig(own), KNOWN)) == []
    assert (
        list(shared_figures(read_rig(BOTH.replace("{is: pulley-double", "{is: pulley-single")), KNOWN)) == []
    )


def test_joins_and_knots_are_among_them() -> None:
    text = (
        BOTH.replace("twin: {", "bowline: {").replace("twin.1", "bowline.1").replace("eight-bight", "eight")
    )
    text = text.replace("figure-eight", "bowline").replace("pulley-double: {is", "carabiner-locking: {is")
    text = text.replace("through pulley-double", "through carabiner-locking")
    text = text.replace("  pulley-double: {efficiency: 0.5}", "  carabiner-locking: {strength: 9 kN}")
    shared = next(shared_figures(read_rig(text), KNOWN))
    assert shared.others == ("what joins carabiner-locking", "what joins bowline")
