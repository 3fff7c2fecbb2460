"""The documents of a thing as its page lists them: what may be opened and withdrawn by whoever reads it."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from ropewright.web.access import Role, allowed, reads_papers
from ropewright.web.accounts.models import Account
from ropewright.web.documents.checks import is_picture, words_of
from ropewright.web.documents.keeping import About, documents_of, kind_of_thing
from ropewright.web.gear.models import Document
from ropewright.web.people.models import Person

__all__ = ["Paper", "add_url", "may_open", "may_withdraw", "shown"]


@dataclass(frozen=True, slots=True)
class Paper:
    """A document in a list; an address is empty where the reader may not do that."""

    record: Document
    words: str
    picture: bool
    open_url: str
    withdraw_url: str


def may_withdraw(account: Account, document: Document) -> bool:
    """Whether somebody may withdraw a document: those who keep the records that it belongs to."""
    return allowed(account, "keep people" if document.person_id else "keep gear")


def may_open(account: Account, document: Document) -> bool:
    """Whether somebody may open a document: one of a person is for few, a withdrawn one for fewer."""
    reads = reads_papers(account, document.person) if document.person else allowed(account, "see gear")
    few = may_withdraw(account, document) or account.role == Role.AUDITOR
    return reads and (document.withdrawn is None or few)


def add_url(about: About, account: Account) -> str:
    """Where somebody may add a document to a thing; empty where they may not."""
    thing = kind_of_thing(about)
    space, act = ("people", "keep people") if thing == "person" else ("gear", "log use")
    name = f"{space}:document-add-inspection" if thing == "inspection" else f"{space}:document-add"
    return reverse(name, kwargs={thing: about.pk}) if allowed(account, act) else ""


def shown(about: About, account: Account) -> list[Paper] | None:
    """The documents of a thing; None where somebody may not even know whether a person has any."""
    if isinstance(about, Person) and not reads_papers(account, about):
        return None
    return [_paper(record, account) for record in documents_of(about)]


def _paper(record: Document, account: Account) -> Paper:
    space, kwargs = "people" if record.person_id else "gear", {"document": record.pk}
    withdraws = record.withdrawn is None and may_withdraw(account, record)
    return Paper(
        record,
        words_of(record.kind),
        is_picture(record.kind),
        reverse(f"{space}:document", kwargs=kwargs) if may_open(account, record) else "",
        reverse(f"{space}:document-withdraw", kwargs=kwargs) if withdraws else "",
    )
