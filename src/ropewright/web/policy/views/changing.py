"""Changing the rules: every save is a new version, and of two at once the second is asked to look again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from ropewright.rig.yamltext import hidden_character
from ropewright.web.access import may, signed_in
from ropewright.web.policy.editing import Entered, entered
from ropewright.web.policy.form import laid_out
from ropewright.web.policy.models import PolicyVersion
from ropewright.web.policy.now import TeamRules, before_any, rules_now, rules_of
from ropewright.web.policy.saving import KEPT, Stale, next_version, take_up_again
from ropewright.web.policy.telling import differences
from ropewright.web.policy.texts import laid_over, texts_of

__all__ = ["change", "take_up"]

_WHY = "say what was changed and why; it stands in the list of versions"
_MOST_WHY = 300


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep policy")
def change(request: HttpRequest) -> HttpResponse:
    """The form of the rules."""
    rules = rules_now()
    if request.method != "POST":
        return _form(request, rules, texts_of(rules), Entered())
    base = _base(request)
    if base is None:
        return _form(
            request, rules, texts_of(rules), Entered(faults={"note": "open the form again"}), status=422
        )
    texts = {key: str(value) for key, value in request.POST.items()}
    if base.number != rules.number:
        return _meanwhile(request, texts, base, rules)
    read = entered(texts, base)
    note = _why(texts.get("note", ""), read.faults, "note")
    if not read.faults and not _changes(read, base):
        read.faults["note"] = "nothing was changed, so there is nothing to save"
    if read.faults:
        return _form(request, base, texts, read, status=422)
    try:
        saved = next_version(read.columns, base.number, signed_in(request), note)
    except Stale as stale:
        return _meanwhile(request, texts, base, rules_of(stale.newest))
    messages.success(request, f"Version {saved.number} is in force.")
    return redirect("policy:current")


@require_POST
@may("keep policy")
def take_up(request: HttpRequest, policy: int) -> HttpResponse:
    """Take an older version up again, as the next one."""
    old = get_object_or_404(PolicyVersion, number=policy)
    faults: dict[str, str] = {}
    why, base = _why(request.POST.get("why", ""), faults, "why"), _base(request)
    if faults or base is None:
        messages.error(request, f"Not taken up: {faults.get('why', 'open the page again')}.")
        return redirect("policy:version", policy=policy)
    wrong = _wrong_today(rules_of(old))
    if wrong:
        messages.error(request, f"Not taken up: version {policy} can't be saved as it is. {wrong[0]}.")
        return redirect("policy:version", policy=policy)
    try:
        saved = take_up_again(old, base.number, signed_in(request), why)
    except Stale as stale:
        messages.error(
            request,
            f"Not taken up: version {stale.newest.number} was saved meanwhile. Look at it, then decide.",
        )
        return redirect("policy:version", policy=stale.newest.number)
    messages.success(request, f"Version {saved.number} is in force; it says what version {policy} said.")
    return redirect("policy:current")


def _wrong_today(rules: TeamRules) -> list[str]:
    """What the form would refuse of a version that was saved before, each fault under its heading."""
    texts = texts_of(rules)
    return [
        f"{group.words}: {field.fault}"
        for group in laid_out(texts, entered(texts, rules).faults)
        for row in group.rows
        for field in row.fields
        if field.fault
    ]


def _meanwhile(
    request: HttpRequest, texts: dict[str, str], base: TeamRules, newest: TeamRules
) -> HttpResponse:
    """409: what somebody else saved meanwhile, and the form with both their changes and mine."""
    both = laid_over(texts, base, newest)
    both["note"] = texts.get("note", "")
    theirs = PolicyVersion.objects.select_related("author__person").get(number=newest.number)
    told = {"theirs": theirs, "meanwhile": differences(base, newest, rules_now().units)}
    return _form(request, newest, both, Entered(), status=409, **told)


def _form(
    request: HttpRequest,
    base: TeamRules,
    texts: dict[str, str],
    read: Entered,
    status: int = 200,
    **told: object,
) -> HttpResponse:
    groups = laid_out(texts, read.faults)
    context = {
        "groups": groups,
        "base": base.number,
        "note": texts.get("note", ""),
        "note_fault": read.faults.get("note", ""),
        "wrong": [group for group in groups if group.wrong],
        **told,
    }
    return render(request, "policy/change.html", context, status=status)


def _base(request: HttpRequest) -> TeamRules | None:
    """The version that a form began from; None where it names none."""
    text = request.POST.get("base", "")
    if not (text.isascii() and text.isdecimal()):
        return None
    if text == "0":
        return before_any()
    found = PolicyVersion.objects.filter(number=int(text[:9])).first()
    return rules_of(found) if found else None


def _why(text: str, faults: dict[str, str], name: str) -> str:
    """Why something is changed, in one line."""
    why = " ".join(text.split())
    if hidden := hidden_character(why):
        faults[name] = f"found the hidden character {hidden}; take it out"
    elif not why:
        faults[name] = _WHY
    elif len(why) > _MOST_WHY:
        faults[name] = f"found {len(why)} characters; {_MOST_WHY} at most"
    return why


def _changes(read: Entered, base: TeamRules) -> bool:
    """Whether what was entered says anything else than the version that it began from."""
    old = {key: getattr(base, "first" if key == "units" else key) for key in KEPT}
    old["reserve"] = list(base.reserve)
    return any(read.columns[key] != value for key, value in old.items())
