"""One person: the page, what is added and changed, and the history of it."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.web.access import allowed, may, sees_mass, signed_in
from ropewright.web.accounts.models import Account
from ropewright.web.meanwhile import newest, overtaken
from ropewright.web.people.entry import entry_of, history_of
from ropewright.web.people.forms import ChangedPersonForm, PersonForm
from ropewright.web.people.models import Person

__all__ = ["active", "add", "change", "history", "person"]


@require_safe
@may("see people")
def person(request: HttpRequest, person: int) -> HttpResponse:
    """Somebody's page."""
    found = get_object_or_404(Person.objects.select_related("account"), pk=person)
    context = {"entry": entry_of(found, signed_in(request)), "person": found}
    return render(request, "people/person.html", context)


@require_safe
@may("see people")
def history(request: HttpRequest, person: int) -> HttpResponse:
    """What was changed on somebody's entry; private figures only for those who may read them."""
    found = get_object_or_404(Person, pk=person)
    context = {"person": found, "changes": history_of(found, signed_in(request))}
    return render(request, "people/history.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep people")
def add(request: HttpRequest) -> HttpResponse:
    """Put somebody on the roster."""
    private = allowed(request.user, "see masses")
    form = PersonForm(request.POST or None, private=private)
    with transaction.atomic():
        if request.method == "POST":  # pressed twice, the second waits here and then finds the first
            Account.objects.select_for_update().get(pk=signed_in(request).pk)
        if request.method == "POST" and form.is_valid():
            made = form.save()
            messages.success(request, f"{made.name} is on the roster.")
            return redirect("people:person", person=made.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, "people/edit.html", {"form": form}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep people")
def change(request: HttpRequest, person: int) -> HttpResponse:
    """Change somebody's entry."""
    found = get_object_or_404(Person, pk=person)
    private = sees_mass(signed_in(request), found)
    if request.method == "POST":
        with transaction.atomic():
            locked = Person.objects.select_for_update().get(pk=person)
            now = newest(locked)
            form = ChangedPersonForm(request.POST, instance=locked, private=private)
            if form.is_valid() and not overtaken(form, now, "entry"):
                form.save()
                messages.success(request, f"The entry of {locked.name} is changed.")
                return redirect("people:person", person=person)
    else:
        form = ChangedPersonForm(instance=found, private=private, initial={"base": newest(found)[0]})
    status = 422 if request.method == "POST" else 200
    return render(request, "people/edit.html", {"form": form, "person": found}, status=status)


@require_POST
@may("keep people")
def active(request: HttpRequest, person: int) -> HttpResponse:
    """Take somebody off the active roster, or put them back; nobody is ever deleted."""
    found, on = get_object_or_404(Person, pk=person), request.POST.get("active") == "yes"
    if found.active != on:
        found.active = on
        found.save(update_fields=["active"])
    words = "is active again" if on else "is off the active roster; everything about them is kept"
    messages.success(request, f"{found.name} {words}.")
    return redirect("people:person", person=found.pk)
