"""Giving a document out so that nothing in it can act: never as a page of this site."""

from __future__ import annotations

import logging

from django.http import FileResponse, HttpRequest, HttpResponseBase, HttpResponseNotModified
from django.shortcuts import render
from django.utils.http import content_disposition_header

from ropewright.web.documents.checks import is_picture
from ropewright.web.gear.models import Document

__all__ = ["give_out"]

_LOG = logging.getLogger("ropewright")


def give_out(request: HttpRequest, document: Document) -> HttpResponseBase:
    """A document's file. Pictures may be shown in the browser; everything else is saved."""
    tag = f'"{document.digest[:32]}"'
    private = document.person_id is not None
    if not private and request.headers.get("If-None-Match") == tag:
        return HttpResponseNotModified(headers={"ETag": tag, "Cache-Control": "private, no-cache"})
    kind = f"{document.kind}; charset=utf-8" if document.kind == "text/plain" else document.kind
    try:
        content = document.file.open("rb")
    except FileNotFoundError:
        _LOG.error("the file of document %s is not in the store", document.pk)
        text = (
            f"“{document.name}” is on record, but its file is not in the store. "
            "Tell whoever keeps the server: a backup may hold it."
        )
        return render(request, "trouble.html", {"heading": "The file is gone", "text": text}, status=410)
    response = FileResponse(content, content_type=kind)
    as_file = not is_picture(document.kind)
    response["Content-Disposition"] = content_disposition_header(as_file, document.name) or "attachment"
    response["Content-Security-Policy"] = "sandbox; default-src 'none'"
    response["X-Content-Type-Options"] = "nosniff"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    response["Cache-Control"] = "private, no-store" if private else "private, no-cache"
    if not private:
        response["ETag"] = tag
    return response
