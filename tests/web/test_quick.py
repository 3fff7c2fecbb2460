"""Lists that are written in one go say what Django's own say, and nothing in them acts."""

from __future__ import annotations

import copy
import html
import re

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import mark_safe

from ropewright.web.quick import QuickRenderer, QuickSelect, QuickTicks, Ready

CHOICES = [("", "nobody"), (1, "Maren <b>Achterberg</b>"), (2, "Noor & Jo"), ('x"><script>', "odd")]


def plain(text: str) -> str:
    text = text.replace('<select id="id_who" name="who">', '<select name="who" id="id_who">')  # flatatt sorts
    return re.sub(r"\s+", " ", html.unescape(str(text))).replace("> <", "><").replace(" >", ">").strip()


def test_a_list_says_what_the_slow_one_says() -> None:
    for value in (None, 2, "2", 'x"><script>'):
        quick = QuickSelect(choices=CHOICES).render("who", value, {"id": "id_who"})
        slow = forms.Select(choices=CHOICES).render("who", value, {"id": "id_who"})
        assert plain(quick) == plain(slow)
        assert "<script>" not in quick
        assert "<b>" not in quick


def test_boxes_say_what_the_slow_ones_say() -> None:
    for value in ([], [1, "2"], ['x"><script>']):
        quick = QuickTicks(choices=CHOICES).render("who", value, {"id": "id_who", "aria-describedby": "why"})
        slow = forms.CheckboxSelectMultiple(choices=CHOICES)
        assert plain(quick) == plain(slow.render("who", value, {"id": "id_who", "aria-describedby": "why"}))
        assert "<script>" not in quick


def test_inputs_say_what_the_slow_ones_say() -> None:
    class Form(forms.Form):
        """One of each."""

        words = forms.CharField(max_length=9, initial='x"><script>', help_text="why")
        count = forms.IntegerField(min_value=0, required=False)
        base = forms.IntegerField(widget=forms.HiddenInput, initial=7)
        tick = forms.BooleanField(initial=True)
        day = forms.DateField(widget=forms.DateInput(attrs={"type": "date", "autofocus": True, "x": False}))

    for given in (None, {"words": "'&<", "count": "²", "tick": "on", "day": "odd"}):
        quick, slow = Form(given, renderer=QuickRenderer()), Form(given, renderer=DjangoTemplates())
        for name in Form.base_fields:
            assert plain(quick[name].as_widget()) == plain(slow[name].as_widget())
            assert "<script>" not in quick[name].as_widget()


def test_words_that_read_like_markup_seen_before_stay_words() -> None:
    marked = QuickSelect(choices=[(1, mark_safe("<b>fit</b>"))]).render("who", None)
    typed = QuickSelect(choices=[(1, "<b>fit</b>")]).render("who", None)
    assert "<b>fit</b>" in marked
    assert "&lt;b&gt;fit&lt;/b&gt;" in typed


def test_choices_in_their_last_form_are_taken_as_they_are() -> None:
    ready = Ready(*CHOICES)
    field = forms.ChoiceField(choices=ready, widget=QuickSelect)
    slow = forms.ChoiceField(choices=CHOICES, widget=QuickSelect)
    assert field.widget.render("who", 2) == slow.widget.render("who", 2)
    assert copy.deepcopy(field).clean("2") == "2"
    with pytest.raises(forms.ValidationError):
        field.clean("3")
