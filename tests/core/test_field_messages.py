"""Every form says of a field what was found and what is allowed: none of Django's own messages is left."""

import pkgutil
from copy import deepcopy
from importlib import import_module

import pytest
from django import forms
from django.core import validators
from django.core.exceptions import ValidationError
from django.utils.functional import Promise

import specapp
from specapp.core.field_messages import tell
from specapp.core.forms import Form, IsoDateField, ModelForm, SignInForm

_OURS = (Form, ModelForm, SignInForm)
# What Django adds to a message of a validator is a message of Django.
_STOCK = {
    str(message)
    for kind in vars(forms).values()
    if isinstance(kind, type) and issubclass(kind, forms.Field)
    for message in kind.default_error_messages.values()
} | {
    str(kind.message)
    for kind in vars(validators).values()
    if isinstance(kind, type) and isinstance(getattr(kind, "message", None), str | Promise)
}


def all_forms():
    """Return every form class of the project."""
    for module in pkgutil.walk_packages(specapp.__path__, "specapp."):
        if module.name.endswith(("forms", "recording")):
            import_module(module.name)
    found, left = [], [forms.BaseForm]
    while left:
        kind = left.pop()
        left += kind.__subclasses__()
        is_own = kind.__module__.startswith("specapp.") and kind not in _OURS
        if is_own and getattr(kind, "base_fields", None):
            found.append(kind)
    return sorted(set(found), key=lambda kind: f"{kind.__module__}.{kind.__name__}")


def messages_of(field):
    field = deepcopy(field)
    tell(field)
    own = {code: str(message) for code, message in field.error_messages.items()}
    by_validators = {
        each.code: str(each.message)
        for each in field.validators
        if hasattr(each, "message") and each.code not in own
    }
    return own | by_validators


def test_no_message_of_djangos_is_left_in_any_form():
    kinds = all_forms()
    assert len(kinds) > 50
    left = [
        f"{kind.__module__}.{kind.__name__}.{name} {code}: {message}"
        for kind in kinds
        for name, field in kind.base_fields.items()
        for code, message in messages_of(field).items()
        if message in _STOCK
    ]
    assert left == []
    assert [kind for kind in kinds if not issubclass(kind, _OURS)] == []


class Sample(Form):
    name = forms.CharField(max_length=4)
    count = forms.IntegerField(min_value=1, max_value=8)
    share = forms.FloatField(max_value=0.5)
    kind = forms.ChoiceField(choices=[("A", "100 % new"), ("B", "used")])
    several = forms.MultipleChoiceField(choices=[("A", "new"), ("B", "used")])
    is_read = forms.BooleanField()
    file = forms.FileField()
    secret = forms.EmailField(widget=forms.PasswordInput)
    stated = forms.CharField(error_messages={"required": "Name it."})
    day = IsoDateField()


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [
        ("name", "", "Found nothing; allowed: a text of at most 4 characters."),
        ("name", "a%sb%%", "Found 6 characters; allowed: a text of at most 4 characters."),
        ("count", "", "Found nothing; allowed: a whole number from 1 to 8."),
        ("count", "2 %s", 'Found "2 %s"; allowed: a whole number from 1 to 8.'),
        ("count", "9", "Found 9; allowed: a whole number from 1 to 8."),
        ("share", "0.6", "Found 0.6; allowed: a number of at most 0.5."),
        ("share", "half", 'Found "half"; allowed: a number of at most 0.5.'),
        ("kind", "<b>", 'Found "<b>"; allowed: one of: 100 % new, used.'),
        ("kind", "", "Found nothing; allowed: one of: 100 % new, used."),
        ("several", "", "Found nothing; allowed: one or more of: new, used."),
        ("is_read", "", "Found no tick; allowed: ticked."),
        ("file", "", "Found nothing; allowed: a file that is not empty."),
        ("secret", "hidden", "Found something else; allowed: an e-mail address such as name@example.org."),
        ("stated", "", "Name it."),
        ("day", "", "Found nothing; allowed: a date such as 2026-03-31."),
        ("day", "03/04/2026", "Allowed: a date such as 2026-03-31."),
    ],
)
def test_a_field_says_what_was_found_and_what_is_allowed(name, typed, said):
    assert Sample({name: typed} if typed else {}).errors[name] == [said]


@pytest.mark.parametrize(("count", "is_taken"), [(1, True), (8, True), (0, False)])
def test_what_is_allowed_is_taken(count, is_taken):
    assert ("count" not in Sample({"count": count}).errors) is is_taken


def test_a_validators_own_message_is_kept():
    def message(validator):
        field = forms.IntegerField(validators=[validator])
        tell(field)
        with pytest.raises(ValidationError) as caught:
            field.clean("1")
        return caught.value.messages

    assert message(validators.MinValueValidator(2, "From the second on.")) == ["From the second on."]
    assert message(validators.MinValueValidator(2)) == ["Found 1; allowed: a whole number."]
