"""The tables keep a rig that can be used usable, and tell what one lacks that can't be yet."""

from __future__ import annotations

from typing import Any

import pytest

from ropewright.rig import RigFileError, read_rig
from ropewright.web.access import Role
from tests.rig.editing.test_names import BOTH
from tests.web.rigs.test_editor import HAUL, BrowserOf, act

USABLE = (
    BOTH[: BOTH.index("assume:")]
    .replace("  pulley-double:", "  single:")
    .replace("h pulley-double", "h single")
)


def usable(text: str) -> bool:
    try:
        read_rig(text)
    except RigFileError:
        return False
    return True


@pytest.mark.parametrize(
    ("name", "fields", "field", "wrong"),
    [
        (
            "change part",
            {"part": "climber", "section": "loads", "name": "climber", "f-mass": "9000"},
            "f-mass",
            "Mass: found 9000 kg; the mass of a person is between 2 and 400 kg. Nothing was changed.",
        ),
        (
            "change part",
            {"part": "climber", "section": "loads", "name": "sitter", "f-mass": "9000 kg"},
            "f-mass",
            "Mass: found 9000 kg; the mass of a person is between 2 and 400 kg. Nothing was changed.",
        ),
        (
            "change part",
            {"part": "beam", "section": "points", "name": "beam", "f-strength": "9000 kN"},
            "f-strength",
            "Rated strength: found 9,000 kN; a strength is at most 2,000 kN. Nothing was changed.",
        ),
        (
            "add part",
            {"section": "loads", "name": "pack", "f-kind": "pack", "f-mass": "9000", "f-at": "2, 1"},
            "f-mass",
            "Mass: found 9000 kg; the mass of a pack is between 0.01 and 500 kg. Nothing was changed.",
        ),
        (
            "change part",
            {"part": "twin", "section": "gear", "name": "twin", "f-at": "nowhere"},
            "f-at",
            "Clipped to, or where it starts on its rope: `nowhere` is no name in points, loads or gear. "
            "There is `single`, `twin`, `climber` and `beam`. Nothing was changed.",
        ),
        (
            "change part",
            {"part": "twin", "section": "gear", "name": "twin", "f-is": "cam-grab"},
            "",
            "Main, contact 2: no rope runs through a cam-grab; write `grip twin`. Nothing was changed.",
        ),
        (
            "change part",
            {"part": "twin", "section": "gear", "name": "twin", "f-at": "beam"},
            "",
            "Main, contact 2: from `beam` to `twin`: both are at one place, with no rope between. "
            "Nothing was changed.",
        ),
        (
            "change contact",
            {"rope": "main", "index": "1", "c-verb": "through", "c-target": "twin", "c-sheave": "7"},
            "",
            "Main, contact 2: sheave 7 of `twin` does not exist: a pulley-double has 2 sheaves; "
            "write `through twin.1` to `.2`. Nothing was changed.",
        ),
    ],
)
def test_what_would_make_the_text_unusable_is_told_at_its_field(
    name: str, fields: dict[str, str], field: str, wrong: str, browser_of: BrowserOf
) -> None:
    assert usable(USABLE)
    status, found = act(browser_of(Role.LEAD), USABLE, name, **fields)
    assert (status, found.get("field"), found["wrong"]) == (422, field, wrong)
    assert "text" not in found


def test_a_part_that_more_is_needed_for_is_added_and_what_it_needs_is_told(browser_of: BrowserOf) -> None:
    client = browser_of(Role.LEAD)
    new = {"section": "loads", "name": "pack", "f-kind": "pack", "f-mass": "20", "f-at": "3, 1"}
    status, found = act(client, USABLE, "add part", **new)
    assert status == 200
    assert found["told"] == (
        "pack is added. The rig can't be worked out yet. Pack: no rope touches `pack`, nor gear clipped to "
        "it; tie it in, clip a device to it or remove it."
    )
    heavy = {"part": "climber", "section": "loads", "name": "climber", "f-mass": "9000"}
    status, later = act(client, found["text"], "change part", **heavy)
    assert (status, later["field"]) == (422, "f-mass")


def test_contacts_are_moved_past_each_other_and_what_is_wrong_in_between_is_told(
    browser_of: BrowserOf,
) -> None:
    client = browser_of(Role.LEAD)
    status, found = act(client, USABLE, "contact up", rope="main", index="1")
    assert status == 200
    assert "can't be worked out yet. Main, contact 1: the run starts at `through`" in found["told"]
    _, found = act(client, found["text"], "contact down", rope="main", index="0")
    assert found["text"] == USABLE
    assert found["told"] == "Moved towards the end of main."


def test_a_text_at_fault_is_still_mended_by_the_tables(browser_of: BrowserOf) -> None:
    broken = USABLE.replace("mass: 95", "mass: 9000").replace("is: pulley-single", "is: no-such")
    given = {"part": "single", "section": "gear", "name": "single", "f-is": "pulley-single"}
    status, found = act(browser_of(Role.LEAD), broken, "change part", **given)
    assert (status, found["told"]) == (200, "single is changed.")


@pytest.mark.parametrize(
    ("name", "fields"),
    [
        ("change part", {"part": "pulley-double", "section": "gear", "name": "foo"}),
        ("remove part", {"part": "pulley-double", "along": "yes"}),
        ("change figure", {"of": "pulley-double", "figure": "efficiency", "value": "0.9"}),
        ("remove figure", {"of": "pulley-double", "figure": "efficiency"}),
    ],
)
@pytest.mark.parametrize("watched", [True, False])
def test_no_act_on_a_part_changes_the_figures_of_others(
    name: str, fields: dict[str, str], watched: bool, browser_of: BrowserOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not watched:  # the look at what the text means is enough by itself
        for module in ("parts", "names", "figures"):
            monkeypatch.setattr(f"ropewright.rig.editing.{module}.check_apart", lambda *_: None)
        monkeypatch.setattr("ropewright.rig.editing.figures._check_one", lambda *_: None)
    status, found = act(browser_of(Role.LEAD), BOTH, name, **fields)
    assert status == 422
    assert "nothing was changed" in found["wrong"]
    told = "count for both" if watched else "this would change what is stated of"
    assert told.lower() in found["wrong"].lower()


def test_the_row_of_such_a_figure_says_whom_it_counts_for(browser_of: BrowserOf) -> None:
    _, found = act(browser_of(Role.LEAD), BOTH, "")
    assert "the part and every one of this type: efficiency" in found["html"]


def test_the_list_says_where_a_name_is_used_as_it_shows_it(browser_of: BrowserOf) -> None:
    found: dict[str, Any]
    _, found = act(browser_of(Role.LEAD), HAUL, "remove part", part="change")
    assert "main, contact 5: `through change`" in found["wrong"]
    assert "line" not in found["wrong"]
