"""The shipped figures: complete, sourced, and honest about what is not known."""

import re
import tomllib
from pathlib import Path

import pytest

import ropewright.catalogue
from ropewright.catalogue import CONFIDENCE, FAMILIES, CatalogueError, Family, Holding, load_catalogue

CATALOGUE = load_catalogue()
FIGURES = [
    pytest.param(kind, figure, id=f"{kind.name}/{key}")
    for kind in CATALOGUE.values()
    for key, figure in kind.figures.items()
]

NAMED_IN_THE_RIG_FORMAT: dict[Family, str] = {
    "rope": "rope-11-low-stretch rope-12.5-low-stretch rope-11-dynamic cord-8",
    "pulley": "pulley-single pulley-double",
    "grab": "cam-grab handled-clamp chest-clamp hitch-3-wrap hitch-tandem",
    "device": "lower-raise-device descender-self-braking bar-rack figure-eight running-back-up",
    "join": "carabiner-locking sling plate swivel lanyard",
    "body": "harness litter-basket",
    "protection": "roller pad",
    "surface": "concrete steel steel-edge wood rock grass",
    "knot": "figure-eight-bight bowline butterfly tensionless",
}


@pytest.mark.parametrize("family", NAMED_IN_THE_RIG_FORMAT)
def test_every_type_of_the_rig_format_is_there(family: Family) -> None:
    for name in NAMED_IN_THE_RIG_FORMAT[family].split():
        assert CATALOGUE[name].family == family


@pytest.mark.parametrize(("kind", "figure"), FIGURES)
def test_a_figure_has_a_source_and_a_confidence_or_is_not_known(
    kind: ropewright.catalogue.GearType, figure: ropewright.catalogue.Figure
) -> None:
    if figure.value is None:
        assert (figure.source, figure.confidence) == ("", "")
        assert figure.note not in {"", "not stated"}, "a figure that is not known says where to look"
    else:
        assert len(figure.source) > 10
        assert figure.confidence in set(CONFIDENCE) - {"", "N"}
    assert figure.unit == kind.key_kind(figure.name).unit


@pytest.mark.parametrize(("kind", "figure"), FIGURES)
def test_an_assumption_says_that_it_is_one_and_cites_nobody(
    kind: ropewright.catalogue.GearType, figure: ropewright.catalogue.Figure
) -> None:
    assert (figure.confidence == "A") == figure.source.startswith("planning assumption of Ropewright")


def test_every_type_has_the_figures_of_its_family() -> None:
    for kind in CATALOGUE.values():
        required, optional = FAMILIES[kind.family]
        assert set(required) <= set(kind.figures) <= {*required, *optional}


def test_every_source_is_used_and_is_words_only() -> None:
    folder = Path(ropewright.catalogue.__file__).parent / "data"
    sources = tomllib.loads((folder / "sources.toml").read_text("utf-8"))
    used = {name for kind in CATALOGUE.values() for figure in kind.figures.values()
            for name, text in sources.items() if text in figure.source}  # fmt: skip
    assert used == set(sources)
    for text in sources.values():
        assert not re.search(r"https?:|www\.|\.(com|org|net)\b|\b[KS]\d+\b", text)


@pytest.mark.parametrize(
    "name", ["harness", "litter-basket", "plate", "swivel", "lanyard", "rope-11-dynamic"]
)
def test_strengths_that_nobody_published_are_not_known(name: str) -> None:
    assert not CATALOGUE.figure(name, "strength").is_known


def test_strengths_from_memory_only_are_not_shipped() -> None:
    """12.8 kN for 8 mm cord, 16 kN for a harness, 22 kN for a sewn sling were never verified."""
    for name, unverified in [("cord-8", 12_800), ("sling", 22_000)]:
        value = CATALOGUE.figure(name, "strength").value
        assert value is not None
        assert value.likely != unverified


def test_known_figures_are_those_of_the_sources() -> None:
    for name, key, low, likely, high in [
        ("rope-12.5-low-stretch", "strength", 40_000, 40_000, 40_000),
        ("rope-12.5-low-stretch", "mass", 0.104, 0.104, 0.104),
        ("hitch-3-wrap", "slips", 7_000, 8_200, 9_500),
        ("carabiner-locking", "efficiency", 0.42, 0.50, 0.60),
        ("steel", "friction", 0.14, 0.20, 0.25),
        ("descender-self-braking", "efficiency", 0.38, 0.41, 0.45),
    ]:
        value = CATALOGUE.figure(name, key).value
        assert value is not None
        assert (value.low, value.likely, value.high) == (low, likely, high)


def test_the_rules_of_holding() -> None:
    rules = {name: CATALOGUE[name].holding for name in CATALOGUE}
    assert rules["lower-raise-device"] == Holding(
        bites=True, one_way=True, locks_off=True, opens_under_load=True
    )
    assert rules["descender-self-braking"] == rules["lower-raise-device"]
    assert rules["bar-rack"] == Holding(needs_hand=True, locks_off=True, opens_under_load=True)
    assert rules["figure-eight"] == Holding(needs_hand=True)
    assert rules["running-back-up"] == Holding(bites=True, one_way=True, follows=True)
    for name in NAMED_IN_THE_RIG_FORMAT["grab"].split():
        assert rules[name] == Holding(bites=True, one_way=True)
    for name in ["pulley-single", "pulley-double", "carabiner-locking"]:
        assert rules[name] == Holding()


def test_nothing_that_bites_needs_a_hand() -> None:
    assert not [name for name, kind in CATALOGUE.items() if kind.holding.bites and kind.holding.needs_hand]


def test_pulleys_have_their_sheaves_and_nothing_else_has() -> None:
    assert {name: kind.sheaves for name, kind in CATALOGUE.items() if kind.sheaves} == {
        "pulley-single": 1,
        "pulley-double": 2,
    }


def test_no_summary_or_note_calls_anything_safe() -> None:
    for kind in CATALOGUE.values():
        for text in (kind.summary, *(figure.note for figure in kind.figures.values())):
            assert "safe" not in text.lower()


def test_the_nearest_name() -> None:
    assert CATALOGUE.nearest("pully-double") == "pulley-double"
    assert CATALOGUE.nearest("Rope-11-low-strech") == "rope-11-low-stretch"
    assert CATALOGUE.nearest("qqqqqq") is None


def test_an_unknown_type_or_figure_is_named_with_its_nearest() -> None:
    with pytest.raises(CatalogueError, match=r"^no gear type is called 'cam-grap'; did you mean cam-grab\?$"):
        CATALOGUE.type("cam-grap")
    with pytest.raises(
        CatalogueError, match=r"^roller has no figure 'frictoin'; did you mean friction\?; it has fr"
    ):
        CATALOGUE.figure("roller", "frictoin")


def test_the_shipped_catalogue_is_read_once() -> None:
    assert load_catalogue() is load_catalogue()
