"""Tables between their upload and their confirmation."""

from __future__ import annotations

import uuid
from dataclasses import asdict
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from ropewright.errors import RopewrightError
from ropewright.quantity import System
from ropewright.web.accounts.models import Account
from ropewright.web.tables.book import Book, Preview
from ropewright.web.tables.cells import Manner
from ropewright.web.tables.columns import match_columns
from ropewright.web.tables.importing import digest_of, read_rows
from ropewright.web.tables.models import KEPT_FOR, Upload
from ropewright.web.tables.table import Table

__all__ = [
    "ChangedMeanwhileError",
    "WrongRowsError",
    "choose",
    "drop",
    "keep",
    "preview_of",
    "take",
    "waiting",
]


class ChangedMeanwhileError(RopewrightError):
    """The store is no longer what the preview was made from."""


class WrongRowsError(RopewrightError):
    """There are wrong rows, and nobody said that they are to be left out; or nothing is left to take."""


def keep(table: Table, name: str, book: Book, system: System, account: Account) -> Upload:
    """Keep a table until its preview is confirmed; throw away those that nobody confirmed for a day."""
    Upload.objects.filter(sent__lt=timezone.now() - KEPT_FOR).delete()
    manner = Manner(system=system, comma="" if table.comma_decimals_possible else "thousands")
    return Upload.objects.create(
        book=book.name,
        name=name[:120],
        sent_by=account,
        table=table.to_json(),
        manner=asdict(manner),
    )


def waiting(pk: uuid.UUID, book: Book, account: Account) -> Upload | None:
    """A table that this person sent, for this book, not longer than a day ago."""
    since = timezone.now() - KEPT_FOR
    return Upload.objects.filter(pk=pk, book=book.name, sent_by=account, sent__gte=since).first()


def choose(upload: Upload, manner: Manner, chosen: dict[int, str]) -> None:
    """Keep how cells and columns are to be taken."""
    upload.manner = asdict(manner)
    upload.chosen = {str(index): key for index, key in chosen.items()}
    upload.save(update_fields=["manner", "chosen"])


def drop(upload: Upload) -> None:
    """Throw a table away."""
    upload.delete()


def preview_of(upload: Upload, book: Book) -> Preview:
    """What a table would do to the store as it is now."""
    table, manner = Table.from_json(upload.table), Manner(**upload.manner)
    matching = match_columns(table, book.columns, {int(index): key for index, key in upload.chosen.items()})
    if matching.faults:
        return Preview(table, matching, manner, (), (), "")
    rows = read_rows(table, matching, book.columns, manner)
    state = book.state(rows)
    outcomes = book.outcomes(rows, state, manner)
    return Preview(table, matching, manner, rows, outcomes, _digest(upload, state))


def _digest(upload: Upload, state: Any) -> str:
    return digest_of(str(upload.pk), upload.table, upload.manner, upload.chosen, state)


@transaction.atomic
def take(upload: Upload, book: Book, account: Account, *, digest: str, leave_out: bool) -> str:
    """Take the good rows in, all or none, and say what was taken. A second time it says so again.

    digest: of the preview that was looked at. Errors: ChangedMeanwhileError where the store or the choices
    are not what they were then, WrongRowsError.
    """
    locked = Upload.objects.select_for_update().get(pk=upload.pk)
    if locked.taken:
        return locked.result
    preview = preview_of(locked, book)
    counts = preview.counts()
    if counts["wrong"] and not leave_out:
        raise WrongRowsError(
            f"Wrong rows: {counts['wrong']}. Tick that they are left out, or mend the file and send it again."
        )
    if not counts["new"] + counts["changed"]:
        raise WrongRowsError("No row is new or changed: there is nothing to take in.")
    if digest != preview.digest or _digest(locked, book.state(preview.rows, lock=True)) != preview.digest:
        raise ChangedMeanwhileError(
            "Somebody changed the store, or the choices, since this page was opened. Nothing was written; "
            "below is what the table would do now."
        )
    try:
        with transaction.atomic():
            book.take([o for o in preview.outcomes if o.fate in ("new", "changed")], account)
    except IntegrityError:
        raise ChangedMeanwhileError(
            "Somebody entered one of these rows at the same moment. Nothing was written; below is what the "
            "table would do now."
        ) from None
    return _mark_taken(locked, counts)


def _mark_taken(upload: Upload, counts: dict[str, int]) -> str:
    """Remember what was taken, and forget the rows themselves."""
    words = [f"{counts[fate]} {fate}" for fate in ("new", "changed") if counts[fate]]
    result = f"Taken in from {upload.name[:80]}: {', '.join(words)}."
    if counts["unchanged"]:
        result += f" {counts['unchanged']} unchanged."
    if counts["wrong"]:
        result += f" {counts['wrong']} wrong left out."
    upload.taken, upload.result, upload.table = timezone.now(), result[:200], {}
    upload.save(update_fields=["taken", "result", "table"])
    return upload.result
