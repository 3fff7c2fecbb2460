"""What a person has and has shown: prerequisites with their expiry, skills with when they were last seen."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from ropewright.web.access import may, signed_in
from ropewright.web.people.forms import PrerequisiteForm, SkillForm
from ropewright.web.people.models import Person, Prerequisite, SkillHeld

__all__ = [
    "add_prerequisite",
    "add_skill",
    "change_prerequisite",
    "change_skill",
    "remove_prerequisite",
    "remove_skill",
]


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep people")
def add_prerequisite(request: HttpRequest, person: int) -> HttpResponse:
    """Write down something that somebody has."""
    found = get_object_or_404(Person, pk=person)
    form = PrerequisiteForm(request.POST or None, instance=Prerequisite(person=found))
    return _saved(request, found, form, "What somebody has")


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep people")
def change_prerequisite(request: HttpRequest, prerequisite: int) -> HttpResponse:
    """Correct it."""
    found = get_object_or_404(Prerequisite.objects.select_related("person"), pk=prerequisite)
    form = PrerequisiteForm(request.POST or None, instance=found)
    return _saved(request, found.person, form, "What somebody has")


@require_POST
@may("keep people")
def remove_prerequisite(request: HttpRequest, prerequisite: int) -> HttpResponse:
    """Take out what was entered by mistake; the history keeps it."""
    found = get_object_or_404(Prerequisite, pk=prerequisite)
    return _removed(request, found)


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep people")
def add_skill(request: HttpRequest, person: int) -> HttpResponse:
    """Write down a skill that somebody has shown."""
    found = get_object_or_404(Person, pk=person)
    held = SkillHeld(person=found, entered_by=signed_in(request))
    return _saved(request, found, SkillForm(request.POST or None, instance=held), "A skill")


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep people")
def change_skill(request: HttpRequest, skill: int) -> HttpResponse:
    """Correct it, or say when it was seen again."""
    found = get_object_or_404(SkillHeld.objects.select_related("person"), pk=skill)
    found.entered_by = signed_in(request)
    return _saved(request, found.person, SkillForm(request.POST or None, instance=found), "A skill")


@require_POST
@may("keep people")
def remove_skill(request: HttpRequest, skill: int) -> HttpResponse:
    """Take out what was entered by mistake; the history keeps it."""
    return _removed(request, get_object_or_404(SkillHeld, pk=skill))


def _saved(
    request: HttpRequest,
    person: Person,
    form: forms.ModelForm[Prerequisite] | forms.ModelForm[SkillHeld],
    heading: str,
) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        made = form.save()
        messages.success(request, f"Kept for {person.name}: {made}.")
        return redirect("people:person", person=person.pk)
    remove = "skill" if isinstance(form, SkillForm) else "prerequisite"
    context = {"form": form, "person": person, "heading": heading, "remove": remove}
    status = 422 if request.method == "POST" else 200
    return render(request, "people/held.html", context, status=status)


def _removed(request: HttpRequest, thing: Prerequisite | SkillHeld) -> HttpResponse:
    person, words = thing.person_id, str(thing)
    thing.delete()
    messages.success(request, f"Taken out: {words}. The history keeps it.")
    return redirect("people:person", person=person)
