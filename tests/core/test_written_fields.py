"""Widgets written by joining strings are those that Django's templates write, and nothing typed is markup."""

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates

from specapp.core.written_fields import WrittenFields

HOSTILE = "<script>alert('\"&')</script>"
CHOICES = [("", "none"), ("A", "one & two"), ("Group <b>", [("B", HOSTILE), (3, "three")])]


class EveryKind(forms.Form):
    text = forms.CharField(label=HOSTILE, max_length=9)
    number = forms.FloatField(min_value=0, required=False)
    whole = forms.IntegerField(disabled=True, initial=0)
    email = forms.EmailField()
    address = forms.URLField(assume_scheme="https")
    password = forms.CharField(widget=forms.PasswordInput)
    hidden = forms.CharField(widget=forms.HiddenInput)
    day = forms.DateField()
    ticked = forms.BooleanField(required=False, help_text="One <em>word</em>.")
    paper = forms.FileField(required=False, widget=forms.FileInput)
    long = forms.CharField(widget=forms.Textarea(attrs={"rows": 4, "data-x": HOSTILE}))
    one = forms.ChoiceField(choices=CHOICES, required=False)
    some = forms.MultipleChoiceField(choices=CHOICES, required=False)
    radio = forms.ChoiceField(choices=CHOICES[:2], widget=forms.RadioSelect)
    several = forms.MultipleChoiceField(choices=CHOICES, widget=forms.CheckboxSelectMultiple)


FILLED = dict.fromkeys(EveryKind.base_fields, HOSTILE) | {"one": "B", "some": ["A", "3"], "number": "0"}


def _lines(field):
    """Return a field's markup without the blank lines that templates leave between options."""
    return [line.strip() for line in str(field).splitlines() if line.strip()]


@pytest.mark.parametrize("data", [None, {}, FILLED], ids=["blank", "sent empty", "sent with nonsense"])
def test_widgets_are_written_as_the_templates_write_them(data):
    ours, theirs = EveryKind(data, renderer=WrittenFields()), EveryKind(data, renderer=DjangoTemplates())
    for name in ours.fields:
        assert _lines(ours[name]) == _lines(theirs[name]), name


def test_a_field_says_what_it_is_for_what_is_wrong_and_keeps_what_was_typed():
    form = EveryKind(FILLED, renderer=WrittenFields())
    field = form["number"].as_field_group()
    assert field.startswith('<div class="field"><label for="id_number">Number <span class="optional">')
    assert 'name="number" value="0"' in field
    wrong = form["email"].as_field_group()
    assert wrong.startswith('<div class="field has-error"><label for="id_email">Email</label><input')
    assert 'aria-describedby="id_email_error"' in wrong
    assert '<div class="error" id="id_email_error"><p>Enter a valid email address.</p></div></div>' in wrong
    group = form["radio"].as_field_group()
    assert group.startswith('<div class="field has-error"><fieldset><legend>Radio</legend>')
    assert group.endswith("</fieldset></div>")
    assert 'id="id_ticked_helptext">One <em>word</em>.</div>' in form["ticked"].as_field_group()
    assert "may be left out" not in form["ticked"].as_field_group()
    assert HOSTILE not in "".join(form[name].as_field_group() for name in form.fields)
