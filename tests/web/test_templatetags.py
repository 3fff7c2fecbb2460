"""The words of our templates: figures in both systems, and none that takes the place of one of Django's."""

from __future__ import annotations

import pytest
from django.template import engines
from django.template.library import Library, import_library

from ropewright.web.policy.models import PolicyVersion
from ropewright.web.templatetags import long

OURS = "ropewright."


def _libraries() -> tuple[list[Library], dict[str, Library]]:
    """Those that Django brings into every template, and our own by their modules."""
    engine = engines["django"].engine  # type: ignore[attr-defined]
    own = [name for name in (*engine.builtins, *engine.libraries.values()) if name.startswith(OURS)]
    theirs = [import_library(name) for name in engine.builtins if not name.startswith(OURS)]
    return theirs, {name: import_library(name) for name in own}


def _words(*libraries: Library) -> set[str]:
    return {word for library in libraries for word in (*library.filters, *library.tags)}


def test_no_word_of_ours_hides_one_of_djangos() -> None:
    theirs, own = _libraries()
    assert len(own) >= 3
    for name, library in own.items():
        assert not _words(library) & _words(*theirs), name


def test_no_word_of_a_room_hides_one_that_every_template_has() -> None:
    _, own = _libraries()
    shared = own.pop("ropewright.web.templatetags")
    for name, library in own.items():
        assert not _words(library) & _words(shared), name


@pytest.mark.django_db
def test_how_long_something_is_stands_in_both_systems() -> None:
    assert not PolicyVersion.objects.exists()
    assert long(61.0) == "61 m (200 ft)"
    assert long(None) == "not stated"
