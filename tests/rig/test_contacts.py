"""The words of a run."""

import pytest

from ropewright.rig import Contact
from ropewright.rig.contacts import ContactError, read_contact, write_contact


@pytest.mark.parametrize(
    ("text", "contact"),
    [
        ("tie beam", Contact("tie", "beam")),
        ("tie beam with bowline", Contact("tie", "beam", knot="bowline")),
        ("grip grab", Contact("grip", "grab")),
        ("grip grab reversed", Contact("grip", "grab", reversed=True)),
        ("through twin", Contact("through", "twin")),
        ("through twin.1", Contact("through", "twin")),
        ("through twin.2", Contact("through", "twin", sheave=2)),
        ("through device slack 0.5", Contact("through", "device", slack=0.5)),
        ("through device slack 0.5 m reversed", Contact("through", "device", slack=0.5, reversed=True)),
        ("through device reversed slack 50cm", Contact("through", "device", slack=0.5, reversed=True)),
        ("tie a slack 500 mm with bowline", Contact("tie", "a", knot="bowline", slack=0.5)),
        ("over lip", Contact("over", "lip")),
        ("hand crew", Contact("hand", "crew")),
        ("tail", Contact("tail")),
        ("  tie \t beam  ", Contact("tie", "beam")),
        ("tie tie", Contact("tie", "tie")),
        ("tie with with with", Contact("tie", "with", knot="with")),
        ("tie slack slack 1", Contact("tie", "slack", slack=1.0)),
    ],
)
def test_contacts_are_read_and_written_back(text: str, contact: Contact) -> None:
    assert read_contact(text) == contact
    assert read_contact(write_contact(contact)) == contact


def test_a_bare_slack_takes_the_files_units() -> None:
    assert read_contact("tie a slack 2", "us").slack == pytest.approx(0.6096, abs=1e-12)
    assert write_contact(Contact("tie", "a", slack=0.6096), "us") == "tie a slack 2 ft"


def test_several_faults_of_one_contact_are_told_together() -> None:
    with pytest.raises(ContactError, match=r"`with` belongs to `tie`.*; `slack` is one length"):
        read_contact("grip g with bowline slack 1..2")


@pytest.mark.parametrize("value", [None, 3, 2.5, True, [], {}, "", "   ", {"tie": "a"}, ["tie a"]])
def test_what_is_no_words_is_refused(value: object) -> None:
    with pytest.raises(ContactError, match="a contact is"):
        read_contact(value)
