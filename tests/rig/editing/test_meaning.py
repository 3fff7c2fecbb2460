"""An act of the tables changes what is stated of nothing but what it was asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ropewright.catalogue import load_catalogue
from ropewright.rig import Rig, RigFileError, read_rig
from ropewright.rig.editing import (
    EditError,
    Meant,
    add_figure,
    change_figure,
    change_part,
    check_meaning,
    remove_figure,
    remove_part,
    rename_part,
)
from ropewright.rig.reader import read_so_far
from ropewright.rig.stated_of import stated_of, things
from tests.rig.editing.test_names import BOTH, NONE
from tests.rig.editing.test_parts import EXAMPLES

KNOWN = load_catalogue()
FIGURES = {
    "efficiency": "0.71",
    "strength": "19 kN",
    "slips": "3 kN",
    "friction": "0.44",
    "stiffness": "50 kN",
}


def stated(text: str, name: str) -> list[str]:
    """The text with each figure that a name may have, one after the other."""
    texts = []
    for key, value in FIGURES.items():
        try:
            texts.append(add_figure(text, name, key, value, KNOWN))
        except EditError:
            continue
    return texts


def figured(data: st.DataObject) -> str:
    """A shipped example that states figures of some of its parts and of some types."""
    text = data.draw(st.sampled_from(list(EXAMPLES.values())))
    rig = read_rig(text)
    for name in data.draw(st.lists(st.sampled_from(named(rig)), max_size=4)):
        text = data.draw(st.sampled_from(stated(text, name) or [text]))
    return text


def named_as_types(text: str) -> Iterator[tuple[str, str]]:
    """The example with gear named as the type of something else, a figure stated under that name."""
    rig = read_rig(text)
    for gear in rig.gear:
        for kind in sorted({each.type for each in things(rig) if each.part != gear} & KNOWN.keys()):
            if gear not in rig.assume and kind not in rig.assume:
                for figured in stated(text, kind):
                    yield kind, rename_part(figured, gear, "as-a-type").replace("as-a-type", kind)


def named(rig: Rig) -> list[str]:
    """Every name that figures may be stated of."""
    return sorted({name for each in things(rig) for name in (each.part, each.type) if name})


def acts_on(text: str, name: str, key: str) -> dict[str, Callable[[], str]]:
    return {
        "rename": lambda: rename_part(text, name, "quite-new"),
        "remove": lambda: remove_part(text, name, with_uses=True),
        "change": lambda: change_part(text, name, {"about": "looked at"}),
        "state": lambda: add_figure(text, name, key, FIGURES[key], KNOWN),
        "restate": lambda: change_figure(text, name, key, f"{FIGURES[key]}".replace("4", "5"), KNOWN),
        "leave out": lambda: remove_figure(text, name, key),
    }


def check_others(text: str, name: str, act: Callable[[], str]) -> bool:
    """Whether an act was done; an error where it changed what is stated of anything but one name."""
    try:
        new = act()
    except EditError:
        return False
    after = read_so_far(new, KNOWN).rig
    assert after is not None
    had, has = stated_of(read_rig(text)), stated_of(after)
    others = [thing for thing in had if thing in has and thing.part != name]
    assert {thing: had[thing] for thing in others} == {thing: has[thing] for thing in others}
    return new != text


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_whatever_is_done_to_one_part_everything_else_keeps_its_figures(data: st.DataObject) -> None:
    text = figured(data)
    name = data.draw(st.sampled_from([part.name for part in read_rig(text).parts()]))
    acts = acts_on(text, name, data.draw(st.sampled_from(sorted(FIGURES))))
    check_others(text, name, acts[data.draw(st.sampled_from(sorted(acts)))])


@pytest.mark.parametrize("example", ["haul-3-1", "haul-5-1", "descent-bar-rack"])
def test_so_it_is_where_a_part_is_named_as_a_type(example: str) -> None:
    read = 0
    for name, text in named_as_types(EXAMPLES[f"{example}.rig.yaml"]):
        try:
            read_rig(text)
        except RigFileError:
            continue  # the part has no such figure
        read += 1
        done = {
            word
            for key in FIGURES
            for word, act in acts_on(text, name, key).items()
            if check_others(text, name, act)
        }
        assert done == {"change"}
    assert read


@pytest.mark.parametrize(
    ("before", "after", "meant"),
    [
        (
            BOTH,
            BOTH.replace("pulley-double:", "foo:").replace("h pulley-double", "h foo"),
            ("pulley-double", "foo"),
        ),
        (BOTH, NONE, None),
        (NONE, BOTH, None),
        (BOTH, BOTH.replace("0.5}", "0.6}"), None),
    ],
)
def test_a_text_that_means_something_else_of_another_part_is_refused(
    before: str, after: str, meant: tuple[str, str] | None
) -> None:
    with pytest.raises(
        EditError, match=r"this would change what is stated of (pulley-double and )?twin as well"
    ):
        check_meaning(read_rig(before), read_rig(after), Meant(renamed=meant))


def test_a_figure_of_a_type_is_meant_for_every_one_and_one_of_a_part_for_it_alone() -> None:
    plain = rename_part(NONE, "pulley-double", "single")
    kind = add_figure(plain, "pulley-double", "efficiency", "0.5", KNOWN)
    check_meaning(read_rig(plain), read_rig(kind), Meant(figure=("pulley-double", "efficiency")))
    part = add_figure(plain, "single", "efficiency", "0.5", KNOWN)
    check_meaning(read_rig(plain), read_rig(part), Meant(figure=("single", "efficiency")))
    with pytest.raises(EditError, match="what is stated of twin as well"):
        check_meaning(read_rig(plain), read_rig(kind), Meant(figure=("single", "efficiency")))
    with pytest.raises(EditError, match="what is stated of twin as well"):
        check_meaning(read_rig(plain), read_rig(kind), Meant(figure=("pulley-double", "strength")))
