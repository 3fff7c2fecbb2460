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


_CHANGED = (
    "Somebody changed the store, or the choices, since this page was opened. Nothing was written; below is "
    "what the table would do now."
)


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


def take(upload: Upload, book: Book, account: Account, *, digest: str, leave_out: bool) -> str:
    """Take the good rows in, all or none, and say what was taken. A second time it says so again.

    digest: of the preview that was looked at. The rows are looked at before the transaction, which only makes
    sure that the store is still as it was then, so that it is short. Errors: ChangedMeanwhileError where the
    store or the choices are not what they were, WrongRowsError.
    """
    if upload.taken:
        return upload.result
    preview = preview_of(upload, book)
    _check_rows(preview.counts(), leave_out=leave_out)
    if digest != preview.digest:
        raise ChangedMeanwhileError(_CHANGED)
    good = [outcome for outcome in preview.outcomes if outcome.fate in ("new", "changed")]
    try:
        with transaction.atomic():
            locked = Upload.objects.select_for_update().filter(pk=upload.pk).first()
            if locked is not None and locked.taken:
                return locked.result
            if locked is None or _digest(locked, book.state(preview.rows, lock=True)) != digest:
                raise ChangedMeanwhileError(_CHANGED)
            book.take(good, account)
            return _mark_taken(locked, preview.counts())
    except IntegrityError:
        raise ChangedMeanwhileError(_CHANGED) from None


def _check_rows(counts: dict[str, int], *, leave_out: bool) -> None:
    if counts["wrong"] and not leave_out:
        raise WrongRowsError(
            f"Wrong rows: {counts['wrong']}. Tick that they are left out, or mend the file and send it again."
        )
    if not counts["new"] + counts["changed"]:
        raise WrongRowsError("No row is new or changed: there is nothing to take in.")


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
