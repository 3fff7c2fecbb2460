"""The pages of an import, the same for every book: send, look, choose, take in or throw away."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from ropewright.quantity import System
from ropewright.web.access import signed_in
from ropewright.web.documents.names import shown_name
from ropewright.web.policy.now import rules_now
from ropewright.web.tables import keeping
from ropewright.web.tables.book import FATES, Book, Preview
from ropewright.web.tables.cells import slashed
from ropewright.web.tables.columns import NOT_TAKEN, WHAT_IS_WRONG, Column
from ropewright.web.tables.forms import MannerForm, SendForm, chosen_columns
from ropewright.web.tables.models import Upload
from ropewright.web.tables.reading import content_of, read_table
from ropewright.web.tables.table import TableError
from ropewright.web.tables.writing import CSV_TYPE, XLSX_TYPE, header_of, write_csv, write_xlsx

__all__ = ["Pages", "table_answer", "table_file"]

_GONE = (
    "That table is no longer here: it was taken in or thrown away, or it is older than a day. Send it again."
)


def table_file(content: bytes, name: str, kind: str) -> HttpResponse:
    """A table as a file to be saved, which no cache keeps."""
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response


def table_answer(
    request: HttpRequest,
    name: str,
    columns: Sequence[Column],
    rows: Callable[[Sequence[Column], System], Iterable[Sequence[str | float | None]]],
) -> HttpResponse:
    """Rows as the file that an address asks for: `as=xlsx`, `units=us`, `empty=yes` for the header alone.

    Left out, it is CSV in the units that come first for the team.
    """
    asked = request.GET.get("units", "")
    system: System = "us" if asked == "us" else "metric" if asked == "metric" else rules_now().first
    header = header_of(columns, system)
    cells = () if request.GET.get("empty") == "yes" else rows(columns, system)
    name = f"{name}-{timezone.localdate().isoformat()}"
    if request.GET.get("as") == "xlsx":
        return table_file(write_xlsx(header, cells, "table"), f"{name}.xlsx", XLSX_TYPE)
    return table_file(write_csv(header, cells), f"{name}.csv", CSV_TYPE)


@dataclass(frozen=True, slots=True)
class Pages:
    """The pages of the import into one book. ``space`` is the room whose addresses they have.
    ``then``: what is still to be done with what was taken in.
    """

    space: str
    after: str
    book: Callable[[], Book]
    then: str = ""

    def send(self, request: HttpRequest) -> HttpResponse:
        """Send a table."""
        book = self.book()
        form = SendForm(request.POST or None, request.FILES or None, initial={"system": rules_now().first})
        if request.method == "POST" and form.is_valid():
            sent = form.cleaned_data["table"]
            try:
                table = read_table(content_of(sent))
            except TableError as error:
                form.add_error("table", str(error))
            else:
                name = shown_name(sent.name or "")[:120] or "table"
                upload = keeping.keep(table, name, book, form.cleaned_data["system"], signed_in(request))
                return redirect(f"{self.space}:import-look", upload=upload.pk)
        return self._page(request, "tables/send.html", {"form": form, "book": book}, form)

    def look(self, request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
        """The preview."""
        book = self.book()
        found = keeping.waiting(upload, book, signed_in(request))
        if found is None or found.taken:
            return self._gone(request, found)
        return self._preview(request, found, book, keeping.preview_of(found, book))

    def choose(self, request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
        """Keep how the table is to be taken, and look again."""
        book = self.book()
        found = keeping.waiting(upload, book, signed_in(request))
        if found is None or found.taken:
            return self._gone(request, found)
        form = MannerForm(request.POST)
        if not form.is_valid():
            return self._preview(request, found, book, keeping.preview_of(found, book), form=form, status=422)
        width = len(found.table["header"])
        keeping.choose(found, form.manner(), chosen_columns(request.POST, width, book.columns))
        return redirect(f"{self.space}:import-look", upload=found.pk)

    def take(self, request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
        """Take the good rows in, all or none."""
        book, account = self.book(), signed_in(request)
        found = keeping.waiting(upload, book, account)
        if found is None:
            return self._gone(request, None)
        digest, leave_out = request.POST.get("digest", ""), request.POST.get("leave_out") == "yes"
        try:
            result = keeping.take(found, book, account, digest=digest, leave_out=leave_out)
        except keeping.WrongRowsError as error:
            return self._preview(
                request, found, book, keeping.preview_of(found, book), error=str(error), status=422
            )
        except keeping.ChangedMeanwhileError as error:
            return self._preview(
                request, found, book, keeping.preview_of(found, book), error=str(error), status=409
            )
        told = f"Already {result[0].lower()}{result[1:]}" if found.taken else f"{result} {self.then}"
        messages.success(request, told.strip())
        return redirect(self.after)

    def drop(self, request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
        """Throw the table away."""
        found = keeping.waiting(upload, self.book(), signed_in(request))
        if found is not None:
            keeping.drop(found)
        messages.success(request, "The table was thrown away; nothing was written.")
        return redirect(f"{self.space}:import")

    def wrong(self, request: HttpRequest, upload: uuid.UUID) -> HttpResponse:
        """The wrong rows as a file, each with what is wrong with it."""
        book = self.book()
        found = keeping.waiting(upload, book, signed_in(request))
        if found is None or found.taken:
            return self._gone(request, found)
        preview = keeping.preview_of(found, book)
        why = {outcome.number: " | ".join(map(str, outcome.faults)) for outcome in preview.of_fate("wrong")}
        header = [*(name or "(no name)" for name in preview.table.header), WHAT_IS_WRONG]
        rows = [[*row.cells, why[row.number]] for row in preview.table.rows if row.number in why]
        if preview.table.read_as.startswith("XLSX"):
            return table_file(write_xlsx(header, rows, "wrong rows"), "wrong-rows.xlsx", XLSX_TYPE)
        return table_file(write_csv(header, rows), "wrong-rows.csv", CSV_TYPE)

    def _gone(self, request: HttpRequest, found: Upload | None) -> HttpResponse:
        messages.warning(request, found.result if found else _GONE)
        return redirect(f"{self.space}:import")

    def _preview(
        self,
        request: HttpRequest,
        upload: Upload,
        book: Book,
        preview: Preview,
        *,
        form: MannerForm | None = None,
        error: str = "",
        status: int = 200,
    ) -> HttpResponse:
        counts = preview.counts()
        fate = request.GET.get("show", "")
        if fate not in counts:
            fate = next((fate for fate in FATES if counts[fate]), "new")
        context = {
            "book": book,
            "upload": upload,
            "preview": preview,
            "columns": _columns(preview, book),
            "form": form or MannerForm.showing(preview.manner),
            "asks": _asks(preview, book),
            "fates": [{"name": name, "count": counts[name]} for name in FATES],
            "fate": fate,
            "page": Paginator(preview.of_fate(fate), 50).get_page(request.GET.get("page")),
            "good": counts["new"] + counts["changed"],
            "bad": counts["wrong"],
            "error": error,
            "urls": self._urls(upload),
        }
        response = render(request, "tables/preview.html", context, status=status)
        response["Cache-Control"] = "private, no-store"
        return response

    def _urls(self, upload: Upload) -> dict[str, str]:
        return {"send": reverse(f"{self.space}:import"), "after": reverse(self.after)} | {
            word: reverse(f"{self.space}:import-{word}", kwargs={"upload": upload.pk})
            for word in ("look", "choose", "take", "drop", "wrong")
        }

    def _page(
        self, request: HttpRequest, template: str, context: dict[str, Any], form: SendForm
    ) -> HttpResponse:
        context |= {
            "after": reverse(self.after),
            "empty": f"{reverse(f'{self.space}:export')}?empty=yes&as=xlsx",
        }
        response = render(request, template, context, status=422 if form.errors else 200)
        response["Cache-Control"] = "private, no-store"
        return response


def _asks(preview: Preview, book: Book) -> list[str]:
    """What only the sender can say: which of day and month comes first, what a comma is."""
    places = preview.matching.places()
    kinds = {column.key: column.kind for column in book.columns}
    questions = []
    dates = [match.index for key, match in places.items() if kinds[key] == "date"]
    doubtful = [row.cells[k] for row in preview.table.rows for k in dates if slashed(row.cells[k])]
    if doubtful and not preview.manner.dates:
        questions.append(f"Dates such as {doubtful[0]}: does the day or the month stand first?")
    figures = [match.index for key, match in places.items() if kinds[key] in ("length", "mass", "force")]
    commas = [row.cells[k] for row in preview.table.rows for k in figures if "," in row.cells[k]]
    if commas and not preview.manner.comma:
        questions.append(f"Figures such as {commas[0]}: does the comma part thousands or start decimals?")
    return questions


def _columns(preview: Preview, book: Book) -> list[dict[str, Any]]:
    """The file's columns with what each may be taken as."""
    return [
        {
            "match": match,
            "options": [
                *([{"key": "", "title": "choose one of the two", "chosen": True}] if match.doubled else []),
                {"key": NOT_TAKEN, "title": "not taken", "chosen": not match.key and not match.doubled},
                *(
                    {"key": column.key, "title": column.title, "chosen": column.key == match.key}
                    for column in book.columns
                ),
            ],
        }
        for match in preview.matching.columns
    ]
