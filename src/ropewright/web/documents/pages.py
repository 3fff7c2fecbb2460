"""The pages of documents, the same for gear and people."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from ropewright.web.access import signed_in
from ropewright.web.documents import keeping
from ropewright.web.documents.checks import DocumentError
from ropewright.web.documents.forms import DocumentForm, WithdrawForm
from ropewright.web.gear.models import Document

__all__ = ["add", "withdraw"]


def add(request: HttpRequest, about: keeping.About, back: str) -> HttpResponse:
    """Add a document to something; ``back`` is the address of its page."""
    form = DocumentForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            kept, told = keeping.keep(
                form.cleaned_data["file"], form.cleaned_data["title"], about, signed_in(request)
            )
        except DocumentError as error:
            form.add_error("file", str(error))
        else:
            messages.success(request, f"'{kept.title}' is kept. {told}".strip())
            return redirect(back)
    context = {"form": form, "about": about, "back": back}
    return render(request, "documents/add.html", context, status=422 if form.errors else 200)


def withdraw(request: HttpRequest, document: Document, back: str) -> HttpResponse:
    """Withdraw a document, with the reason."""
    if document.withdrawn:
        raise Http404
    form = WithdrawForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        if keeping.withdraw(document, form.cleaned_data["why"], signed_in(request)):
            messages.success(
                request, f"'{document.title}' is withdrawn. It stays on record with your reason."
            )
        else:
            messages.warning(request, f"Somebody else withdrew '{document.title}' meanwhile.")
        return redirect(back)
    context = {"form": form, "document": document, "back": back}
    return render(request, "documents/withdraw.html", context, status=422 if form.errors else 200)
