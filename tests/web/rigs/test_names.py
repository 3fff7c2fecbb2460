"""Names of rigs."""

from __future__ import annotations

import pytest

from ropewright.web.rigs.models import Rig
from ropewright.web.rigs.names import OWN_WORDS, free_name, name_of


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Haul, 3:1", "haul-3-1"),
        ("  <script>alert(1)</script> ", "scriptalert1script"),
        ("荷", "rig"),
        ("New", "new-rig"),
        ("x" * 300, "x" * 70),
    ],
)
def test_a_name_follows_from_the_title(title: str, name: str) -> None:
    assert name_of(title) == name


def test_no_word_of_our_own_addresses_is_given_as_a_name() -> None:
    assert not {name_of(word) for word in OWN_WORDS} & OWN_WORDS


@pytest.mark.django_db
def test_a_name_that_is_taken_gets_a_number() -> None:
    Rig.objects.create(slug="haul-3-1")
    Rig.objects.create(slug="haul-3-1-2")
    assert free_name("Haul 3:1") == "haul-3-1-3"
    assert free_name("Haul 5:1") == "haul-5-1"
