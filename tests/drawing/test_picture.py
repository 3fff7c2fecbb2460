"""The finished picture: words, hostile names, units, state, a rig without an answer."""

from __future__ import annotations

from xml.etree import ElementTree

import ropewright.drawing as drawing
from ropewright.catalogue import load_catalogue
from ropewright.cli.caution import CAUTION as SAID_ELSEWHERE
from ropewright.drawing import CAUTION, compose, draw_rig, finish, small_picture
from ropewright.drawing.symbols import HANGS
from ropewright.quantity import Range
from ropewright.rig import Contact, Gear, Load, Place, Rig, Rope, read_rig
from tests.drawing.checks import svg_is_plain
from tests.drawing.subjects import EXAMPLES, quick_subject
from tests.sheets.cards import climbers

PATHS = {path.name.removesuffix(".rig.yaml"): path for path in EXAMPLES}
NASTY = ("a<b&c", "x\"'> onload=y", "]]>&amp;", "</text><script>alert(1)</script>")


def hostile_rig() -> Rig:
    """A rig whose every name and word would do harm where it was not taken as text; no reader in between."""
    ring, person, device, rope = NASTY
    run = (
        Contact("tie", ring, knot="<b>knot</b>"),
        Contact("through", device),
        Contact("tail"),
    )
    return Rig(
        rig="</title><script>\u202e&\x00",
        about="<svg onload=x>",
        points={ring: Place(ring, "anchor", (0.0, 0.0, 9.0))},
        loads={person: Load(person, "person", Range.exactly(90.0), (0.0, 0.0, 2.0), wears="harness")},
        gear={device: Gear(device, "lower-raise-device", person, via=("<via>", "&"))},
        ropes={rope: Rope(rope, "rope-11-low-stretch", 30.0, run)},
    )


def texts(svg: str) -> str:
    return " ".join(e.text or "" for e in ElementTree.fromstring(svg).iter() if e.tag.endswith("}text"))


def picture(name: str, **how: object) -> drawing.Picture:
    catalogue = load_catalogue()
    return draw_rig(read_rig(PATHS[name], catalogue), catalogue, **how)  # type: ignore[arg-type]


def test_a_picture_says_its_title_its_state_its_scale_and_the_caution() -> None:
    said = texts(picture("haul-9-1").svg)
    for words in (
        "Haul 9:1, a 3:1 on a 3:1",
        "Forces while weight is hauled, with friction",
        "Not to scale where",
    ):
        assert words in said
    assert CAUTION.split(".")[0] in said
    assert CAUTION == SAID_ELSEWHERE


def test_forces_are_given_in_both_units_or_in_the_one_asked_for() -> None:
    both, metric, us = (texts(picture("redirect-60-degrees", units=u).svg) for u in ("both", "metric", "us"))
    assert "0.49 kN (110 lbf)" in both
    assert "lbf" not in metric
    assert "kN" not in us


def test_without_its_frame_a_picture_has_no_title_and_no_caution() -> None:
    bare, whole = picture("haul-3-1", framed=False), picture("haul-3-1")
    assert "Haul 3:1" not in texts(bare.svg)
    assert "Computed" not in texts(bare.svg)
    assert bare.height < whole.height - 80
    assert "0.98 kN" in texts(bare.svg)


def test_a_rig_that_nothing_holds_is_drawn_as_written_with_the_reason() -> None:
    found = picture("wrong-device-reversed")
    assert "NOT SOLVED" in texts(found.svg)
    assert "nothing holds rescuer" in texts(found.svg)
    assert "the wrong way round" in texts(found.svg)
    assert "not solved" in found.alt
    assert "carries" not in texts(found.svg)


def test_a_motion_without_an_answer_is_said_with_the_forces_at_rest() -> None:
    said = texts(picture("wrong-grab-reversed").svg)
    assert "NOT SOLVED as asked" in said
    assert "Forces at rest" in said


def test_hostile_names_are_text_and_nothing_else() -> None:
    found = finish(compose(quick_subject(hostile_rig())), "both")
    assert svg_is_plain(found) == []
    assert "<script" not in found.svg
    assert "\u202e" not in found.svg
    for name in NASTY:
        assert name[:20] in texts(found.svg) or name[:20] in found.alt


def test_the_small_picture_has_no_word_in_it_and_keeps_its_sentence() -> None:
    drawing = compose(quick_subject(hostile_rig()))
    small = small_picture(drawing)
    assert "<text" not in small.svg
    assert "<text" in finish(drawing, "both").svg
    assert small.alt == drawing.alt
    assert svg_is_plain(small) == []


def test_the_sentence_for_those_who_do_not_see_it() -> None:
    assert picture("self-haul-one-sheave").alt == (
        "Drawing of Self-haul, one sheave above: climber (person, 95 kg (209 lb)) on 2 ropes "
        "(main and second) from beam and post; hauling, the hand pulls 0.37 kN (83 lbf)."
    )


def test_the_public_names() -> None:
    assert sorted(drawing.__all__) == [
        "CAUTION",
        "Drawing",
        "FAMILY",
        "FontError",
        "Layout",
        "Marked",
        "Picture",
        "PictureError",
        "Subject",
        "View",
        "compose",
        "draw_frame",
        "draw_rig",
        "finish",
        "font_folder",
        "lay_out",
        "png",
        "small_picture",
        "subject_from",
        "subject_of",
        "without_idle",
    ]


def test_what_hangs_is_marked_as_hanging_where_it_is_seen_from_above() -> None:
    subject = quick_subject(read_rig(PATHS["haul-3-1"], load_catalogue()))
    above, aside = (
        finish(compose(subject, view=view, units="metric"), "metric").svg for view in ("plan", "side")
    )
    assert "hangs, weight 0.98 kN straight down" in texts(above)
    assert "A circle with a cross is pulled straight down, away from you." in texts(above)
    assert "straight down" not in texts(aside)
    # a ring round the cross where the weight is, and no trapezium that would seem to be pulled aside
    drawing = compose(subject, view="plan", units="metric")
    at = drawing.layout.at["weight"]
    rings = [e for e in ElementTree.fromstring(above).iter() if e.tag.endswith("}circle")]
    mine = [e for e in rings if float(e.get("r", "0")) == HANGS]
    assert len(mine) == 1
    assert abs(complex(float(mine[0].get("cx", "0")), float(mine[0].get("cy", "0"))) - at) < 0.02


def test_a_person_seen_from_above_has_a_weight_that_is_pulled_down() -> None:
    subject = quick_subject(read_rig(PATHS["descent-hand-on"], load_catalogue()))
    svg = finish(compose(subject, view="plan", units="metric"), "metric").svg
    assert "hangs, weight 0.93 kN straight down" in texts(svg)


def test_a_row_of_many_is_no_wider_than_its_labels_need() -> None:
    catalogue = load_catalogue()
    picture = draw_rig(read_rig(climbers(8), catalogue), catalogue)
    assert picture.width / picture.height < 3.5
