"""Putting a file away and bringing it back: it leaves the library, and nothing of it is lost."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from ropewright.web.versions.models import VersionedFile

__all__ = ["bring_back", "put_away"]


def put_away(request: HttpRequest, file: VersionedFile, library: str) -> HttpResponse:
    """Take a file out of its library; one that is put away already keeps its date."""
    type(file)._default_manager.filter(pk=file.pk, put_away=None).update(put_away=timezone.now())
    messages.success(request, f"{file} was put away. It is kept, and can be brought back.")
    return redirect(library)


def bring_back(request: HttpRequest, file: VersionedFile, page: str) -> HttpResponse:
    """Bring a file back into its library."""
    type(file)._default_manager.filter(pk=file.pk).update(put_away=None)
    messages.success(request, f"{file} is in use again.")
    return redirect(page, file.slug)
