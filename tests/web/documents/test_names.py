"""Names of files that somebody sent."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.web.documents.names import LONGEST_NAME, clean_name, extension_of


@pytest.mark.parametrize(
    ("name", "clean"),
    [
        ("photo.JPG", "photo.jpg"),
        ("../../etc/passwd.jpg", "passwd.jpg"),
        ("C:\\temp\\rope.jpg", "rope.jpg"),
        ("two\r\nlines.jpg", "two lines.jpg"),
        ("quo\"ted'.jpg", "quo-ted.jpg"),
        ("turned\u202egpj.exe.jpg", "turnedgpj.exe.jpg"),
        ("zero\u200bwidth\u0000.jpg", "zerowidth.jpg"),
        (".htaccess.jpg", "htaccess.jpg"),
        ("CON.jpg", "_CON.jpg"),
        ("...jpg", "document.jpg"),
        ("", "document.jpg"),
        ("Böschung – 2.jpg", "Böschung – 2.jpg"),
        ("x" * 300 + ".jpg", "x" * 96 + ".jpg"),
    ],
)
def test_a_hostile_name_is_cleaned(name: str, clean: str) -> None:
    assert clean_name(name, "jpg") == clean


@pytest.mark.parametrize(
    ("name", "found"), [("a.tar.GZ", "gz"), ("none", ""), ("dir.d/none", ""), (".png", "png")]
)
def test_the_extension_is_the_last_one(name: str, found: str) -> None:
    assert extension_of(name) == found


@given(st.text(max_size=150))
def test_no_name_keeps_anything_that_means_something_to_a_program(name: str) -> None:
    clean = clean_name(name, "pdf")
    assert clean.endswith(".pdf")
    assert len(clean) <= LONGEST_NAME
    assert not set(clean) & set("\"<>:|?*;%&$`'{}\\/^\r\n\t\0\u202e")
    assert not clean.startswith(".")
