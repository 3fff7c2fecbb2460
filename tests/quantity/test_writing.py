"""A written figure reads back bit for bit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.quantity import Kind, Range, System, read_quantity, write_quantity

KINDS: list[Kind] = ["length", "mass", "force", "angle", "share", "mass_per_length"]
SYSTEMS: list[System] = ["metric", "us"]


@given(
    st.lists(st.floats(-90, 90), min_size=3, max_size=3).map(sorted),
    st.sampled_from(KINDS),
    st.sampled_from(SYSTEMS),
    st.sampled_from(["single", "halfway", "three"]),
)
def test_reading_undoes_writing(ends: list[float], kind: Kind, system: System, shape: str) -> None:
    low, likely, high = ends
    figure = {
        "single": Range.exactly(low),
        "halfway": Range.between(low, high),
        "three": Range(low, likely, high),
    }[shape]
    assert read_quantity(write_quantity(figure, kind, system), kind, system, sign="any") == figure


@pytest.mark.parametrize(
    ("text", "kind", "system"),
    [
        ("30 ft", "length", "us"),
        ("95 kg", "mass", "metric"),
        ("210 lb", "mass", "us"),
        ("0.85..0.95 kN", "force", "metric"),
        ("7..8..9.5 kN", "force", "metric"),
        ("15 deg", "angle", "metric"),
        ("0.85..0.95", "share", "us"),
    ],
)
def test_round_figures_stay_readable(text: str, kind: Kind, system: System) -> None:
    assert write_quantity(read_quantity(text, kind, system), kind, system) == text
