import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ropewright.mechanics.catenary import Hanging, hang, laid_for_tension
from ropewright.mechanics.errors import NoSolutionError
from ropewright.mechanics.model import Array

RIGID = 1e12
"""A stiffness [N] at which a rope of these tests stretches by less than a nanometre a metre."""

EXACT = 1e-9
"""Relative gap allowed to a closed form: rounding of the closed form itself and of the walk."""


def vec(x: float, y: float, z: float) -> Array:
    return np.array([x, y, z], dtype=np.float64)


lengths = st.floats(0.5, 300.0)
stiffnesses = st.floats(5e3, 1e6)
weights = st.floats(1e-3, 20.0)
slopes = st.floats(-1.0, 1.0)
turns = st.floats(0.0, 6.28)
spans = st.floats(0.0, 1.3)


def placed(laid: float, span: float, slope: float, turn: float) -> Array:
    lean = slope * math.pi / 2
    flat = laid * span * math.cos(lean)
    return vec(flat * math.cos(turn), flat * math.sin(turn), laid * span * math.sin(lean))


@pytest.mark.parametrize("a", [0.5, 3.0, 40.0])
def test_an_inextensible_level_rope_is_a_hyperbolic_cosine(a: float) -> None:
    half, w = 10.0, 1.2
    laid = 2 * a * math.sinh(half / a)
    rope = hang(vec(2 * half, 0, 0), laid, RIGID * w * laid, w)
    assert np.hypot(*rope.force_on_start[:2]) == pytest.approx(w * a, rel=EXACT)
    assert rope.tension_start == pytest.approx(w * a * math.cosh(half / a), rel=EXACT)
    shape = rope.shape(41)
    expected = a * (np.cosh((shape[:, 0] - half) / a) - math.cosh(half / a))
    assert np.abs(shape[:, 2] - expected).max() < 1e-9 * laid


def test_the_classic_catenary_figures_for_a_span_of_twice_its_parameter() -> None:
    """a = 1, x = ±1: length 2·sinh 1 = 2.3504, sag cosh 1 − 1 = 0.5431, end tension cosh 1 = 1.5431."""
    rope = hang(vec(2, 0, 0), 2 * math.sinh(1), 1e10, 1.0)
    assert rope.length == pytest.approx(2.3504, abs=5e-5)
    assert rope.lowest == pytest.approx([1.0, 0.0, -0.5431], abs=5e-5)
    assert rope.tension_end == pytest.approx(1.5431, abs=5e-5)


def test_a_tight_rope_is_nearly_a_parabola() -> None:
    """H = w·l²/(8·sag) has a first neglected term of about (8/3)·(sag/span)²·½, 0.02 % at this sag of 1 %."""
    span, sag, w = 50.0, 0.5, 0.8
    laid = span * (1 + 8 / 3 * (sag / span) ** 2)
    rope = hang(vec(span, 0, 0), laid, RIGID, w)
    assert np.hypot(*rope.force_on_start[:2]) == pytest.approx(w * span**2 / (8 * sag), rel=1e-3)
    assert -rope.lowest[2] == pytest.approx(sag, rel=1e-3)


@given(laid=lengths, stiffness=stiffnesses, weight=weights)
def test_a_rope_hung_from_one_end_stretches_like_a_bar(laid: float, stiffness: float, weight: float) -> None:
    own = 0.5 * weight * laid**2 / stiffness
    rope = hang(vec(0, 0, -(laid + own)), laid, stiffness, weight)
    assert rope.tension_start == pytest.approx(weight * laid, rel=1e-6)
    assert rope.tension_end == pytest.approx(0.0, abs=1e-6 * weight * laid + 1e-9 * stiffness)
    assert rope.length == pytest.approx(laid + own, rel=EXACT)


@given(laid=lengths, stiffness=stiffnesses, weight=weights, stretched=st.floats(0.001, 0.3))
def test_a_taut_vertical_rope_pulls_harder_at_its_top_by_its_weight(
    laid: float, stiffness: float, weight: float, stretched: float
) -> None:
    assume(stretched * stiffness > weight * laid)
    rope = hang(vec(0, 0, laid * (1 + stretched)), laid, stiffness, weight)
    middle = stretched * stiffness
    assert rope.tension_end == pytest.approx(middle + 0.5 * weight * laid, rel=EXACT)
    assert rope.tension_start == pytest.approx(middle - 0.5 * weight * laid, rel=1e-6, abs=1e-6 * middle)
    assert rope.tangent_start == pytest.approx([0, 0, 1])


def test_both_ends_at_one_point_hang_as_a_doubled_loop() -> None:
    rope = hang(vec(0, 0, 0), 8.0, RIGID, 0.7)
    assert rope.tension_start == pytest.approx(0.5 * 8 * 0.7)
    assert rope.force_on_start == pytest.approx(rope.force_on_end)
    assert rope.lowest == pytest.approx([0, 0, -4.0])
    assert rope.tangent_start == pytest.approx([0, 0, -1])
    assert rope.tangent_end == pytest.approx([0, 0, 1])


@given(laid=lengths, stiffness=stiffnesses, weight=weights, share=st.floats(0.0, 0.99))
def test_the_plumb_rope_is_the_limit_of_the_leaning_one(
    laid: float, stiffness: float, weight: float, share: float
) -> None:
    plumb = hang(vec(0, 0, share * laid), laid, stiffness, weight)
    leaning = hang(vec(1e-9 * laid, 0, share * laid), laid, stiffness, weight)
    assert leaning.tension_start == pytest.approx(plumb.tension_start, rel=1e-5, abs=1e-5 * weight * laid)
    assert leaning.tension_end == pytest.approx(plumb.tension_end, rel=1e-5, abs=1e-5 * weight * laid)


@given(laid=lengths, stiffness=stiffnesses, weight=weights, span=spans, slope=slopes, turn=turns)
def test_any_rope_closes_and_is_in_equilibrium(
    laid: float, stiffness: float, weight: float, span: float, slope: float, turn: float
) -> None:
    chord = placed(laid, span, slope, turn)
    rope = hang(chord, laid, stiffness, weight)
    size = rope.tension_start + rope.tension_end
    total = rope.force_on_start + rope.force_on_end - vec(0, 0, -weight * laid)
    assert np.abs(total).max() <= EXACT * size
    assert np.linalg.norm(rope.force_on_start) == pytest.approx(rope.tension_start, rel=EXACT)
    assert rope.shape(2)[-1] == pytest.approx(chord, abs=1e-9 * laid)
    assert rope.length >= max(laid, float(np.linalg.norm(chord))) * (1 - EXACT)


@given(laid=lengths, stiffness=stiffnesses, weight=weights, span=spans, slope=slopes, turn=turns)
def test_the_rope_seen_from_its_other_end_is_the_same_rope(
    laid: float, stiffness: float, weight: float, span: float, slope: float, turn: float
) -> None:
    chord = placed(laid, span, slope, turn)
    one, other = hang(chord, laid, stiffness, weight), hang(-chord, laid, stiffness, weight)
    size = max(one.tension_start, one.tension_end)
    assert np.abs(one.force_on_start - other.force_on_end).max() <= 1e-6 * size
    assert one.length == pytest.approx(other.length, rel=1e-9)


@given(laid=lengths, stiffness=stiffnesses, weight=weights, span=spans, slope=slopes)
@settings(max_examples=50)
def test_the_sampled_shape_agrees_with_length_tangents_and_low_point(
    laid: float, stiffness: float, weight: float, span: float, slope: float
) -> None:
    assume(span > 0.02 and abs(slope) < 0.95)
    rope = hang(placed(laid, span, slope, 0.4), laid, stiffness, weight)
    shape = rope.shape(4001)
    steps = np.diff(shape, axis=0)
    assert np.linalg.norm(steps, axis=1).sum() == pytest.approx(rope.length, rel=1e-4)
    assert steps[0] @ rope.tangent_start == pytest.approx(np.linalg.norm(steps[0]), rel=1e-3)
    assert steps[-1] @ rope.tangent_end == pytest.approx(np.linalg.norm(steps[-1]), rel=1e-3)
    assert shape[:, 2].min() >= rope.lowest[2] - 1e-9 * laid
    assert shape[:, 2].min() == pytest.approx(rope.lowest[2], abs=1e-3 * laid)


@given(laid=lengths, stiffness=stiffnesses, stretched=st.floats(1e-4, 0.3), slope=slopes, turn=turns)
def test_a_weightless_taut_rope_is_the_straight_elastic_strand(
    laid: float, stiffness: float, stretched: float, slope: float, turn: float
) -> None:
    chord = placed(laid, 1 + stretched, slope, turn)
    rope = hang(chord, laid, stiffness, 0.0)
    straight = stretched * stiffness * chord / np.linalg.norm(chord)
    assert np.abs(rope.force_on_start - straight).max() <= 1e-9 * stiffness
    assert rope.force_on_start == pytest.approx(-rope.force_on_end)


@pytest.mark.parametrize("span", [0.7, 1.0, 1.01])
def test_forces_join_the_weightless_rope_without_a_step(span: float) -> None:
    """Tension falls with weight as w (slack), w^⅔ (just straight) or to the strand's own, with no jump on
    the way."""
    none = hang(vec(10 * span, 0, 0), 10.0, 4e4, 0.0)
    before = hang(vec(10 * span, 0, 0), 10.0, 4e4, 1.0)
    for exponent in range(-1, -19, -1):
        rope = hang(vec(10 * span, 0, 0), 10.0, 4e4, 10.0**exponent)
        change = abs(rope.tension_start - none.tension_start)
        assert change <= abs(before.tension_start - none.tension_start) + 1e-5
        before = rope
    assert before.tension_start == pytest.approx(none.tension_start, abs=1e-5)


def test_a_weightless_slack_rope_carries_nothing_and_hangs_as_any_other() -> None:
    none = hang(vec(6, 0, 1), 8.0, 4e4, 0.0)
    some = hang(vec(6, 0, 1), 8.0, 4e7, 1.0)
    assert none.tension_start == none.tension_end == 0.0
    assert none.shape(21) == pytest.approx(some.shape(21), abs=1e-4)


@given(laid=st.floats(1.0, 100.0), weight=weights, slope=st.floats(-0.9, 0.9))
@settings(max_examples=50)
def test_a_longer_rope_pulls_less_across(laid: float, weight: float, slope: float) -> None:
    chord = placed(laid, 0.95, slope, 0.0)
    assume(abs(chord[0]) > 1e-3)
    across = [hang(chord, laid * k, 4e4, weight).force_on_start[0] for k in (0.9, 1.0, 1.1, 1.5, 3.0)]
    assert across == sorted(across, reverse=True)


@given(
    far=st.floats(0.5, 100.0),
    slope=slopes,
    stiffness=stiffnesses,
    weight=weights,
    strain=st.floats(1e-4, 0.5),
)
def test_the_length_for_a_tension_gives_that_tension(
    far: float, slope: float, stiffness: float, weight: float, strain: float
) -> None:
    asked = strain * stiffness
    assume(asked > 3 * weight * far)
    chord = placed(far, 1.0, slope, 1.0)
    laid = laid_for_tension(chord, asked, stiffness, weight)
    # A length is only known to 1e-15 of itself, and each share of a length is that share of EA in tension.
    assert hang(chord, laid, stiffness, weight).tension_start == pytest.approx(
        asked, rel=1e-9, abs=1e-12 * stiffness
    )


def test_the_taut_one_of_two_lengths_is_given() -> None:
    chord = vec(20, 0, 0)
    laid = laid_for_tension(chord, 100.0, 4e4, 1.0)
    assert laid < 20.4
    long = next(x for x in np.linspace(100, 300, 401) if hang(chord, float(x), 4e4, 1.0).tension_start > 100)
    assert long > 5 * laid


def test_too_small_a_tension_is_refused_with_the_least_there_is() -> None:
    """Level and inextensible, no rope pulls less than w·l·0.7544 at its ends (λ·tanh λ = 1 at λ = 1.1997)."""
    with pytest.raises(NoSolutionError, match=r"pulls 15\.09 N at least"):
        laid_for_tension(vec(20, 0, 0), 10.0, RIGID, 1.0)


def test_weightless_and_doubled_ropes_have_their_own_lengths() -> None:
    assert laid_for_tension(vec(3, 0, 4), 400.0, 4e4, 0.0) == pytest.approx(5 / 1.01)
    assert laid_for_tension(vec(0, 0, 0), 7.0, 4e4, 2.0) == 7.0
    with pytest.raises(NoSolutionError, match="pulls nothing"):
        laid_for_tension(vec(0, 0, 0), 7.0, 4e4, 0.0)


@pytest.mark.parametrize(
    ("chord", "laid", "stiffness", "weight", "text"),
    [
        (vec(1, 0, math.nan), 1.0, 4e4, 1.0, "three finite numbers"),
        (np.array([1.0, 2.0]), 1.0, 4e4, 1.0, "three finite numbers"),
        (vec(1, 0, 0), 0.0, 4e4, 1.0, "positive number of metres"),
        (vec(1, 0, 0), 1.0, math.inf, 1.0, "positive number of newtons"),
        (vec(1, 0, 0), 1.0, 4e4, -1.0, "zero or more newtons a metre"),
    ],
)
def test_figures_out_of_range_are_refused(
    chord: Array, laid: float, stiffness: float, weight: float, text: str
) -> None:
    with pytest.raises(ValueError, match=text):
        hang(chord, laid, stiffness, weight)


def test_a_shape_of_one_point_is_refused() -> None:
    rope: Hanging = hang(vec(1, 0, 0), 2.0, 4e4, 1.0)
    with pytest.raises(ValueError, match="2 points or more"):
        rope.shape(1)
