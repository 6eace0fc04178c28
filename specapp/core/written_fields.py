"""Fields of forms written by joining strings.

Django writes each field from a template of its own and includes others for the widget, its attributes and
each option: half the time of a page with a form. The markup of widgets is Django's, that of the field around
them is this project's; whatever is not known here goes through its template.
"""

from collections.abc import Callable, Mapping
from typing import Any

from django.forms import BooleanField
from django.forms.renderers import TemplatesSetting
from django.utils.safestring import SafeString

from specapp.core.markup import as_markup

_WIDGETS = "django/forms/widgets/"
_INPUTS = ("text", "number", "email", "url", "password", "hidden", "date", "checkbox", "file")


class WrittenFields(TemplatesSetting):
    """The templates of the project, passed over for what is written here."""

    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        writer = _WRITERS.get(template_name)
        if writer is None:
            return super().render(template_name, context, request)
        return writer(context)


def _text(value: Any) -> str:
    return as_markup(value if isinstance(value, SafeString) else str(value))


def _attributes(widget: Mapping[str, Any]) -> str:
    return "".join(
        f" {name}" if value is True else f' {name}="{_text(value)}"'
        for name, value in widget["attrs"].items()
        if value is not False
    )


def _input(context: Mapping[str, Any]) -> str:
    widget = context["widget"]
    value = "" if widget["value"] is None else f' value="{_text(widget["value"])}"'
    return f'<input type="{widget["type"]}" name="{_text(widget["name"])}"{value}{_attributes(widget)}>'


def _textarea(context: Mapping[str, Any]) -> str:
    widget = context["widget"]
    value = _text(widget["value"]) if widget["value"] else ""
    return f'<textarea name="{_text(widget["name"])}"{_attributes(widget)}>\n{value}</textarea>'


def _option(option: Mapping[str, Any]) -> str:
    return (
        f'\n  <option value="{_text(option["value"])}"{_attributes(option)}>{_text(option["label"])}</option>'
    )


def _select(context: Mapping[str, Any]) -> str:
    widget = context["widget"]
    groups = []
    for title, options, _ in widget["optgroups"]:
        inside = "".join(map(_option, options))
        if title:
            inside = f'\n  <optgroup label="{_text(title)}">{inside}\n  </optgroup>'
        groups.append(inside)
    return f'<select name="{_text(widget["name"])}"{_attributes(widget)}>{"".join(groups)}\n</select>'


def _field(context: Mapping[str, Any]) -> str:
    """Return a field with its label, help and errors, each told to those who hear the page."""
    field = context["field"]
    errors, label, help_text = field.errors, _text(field.label), field.help_text
    if field.use_fieldset:
        head, foot = f"<fieldset><legend>{label}</legend>", "</fieldset>"
    else:
        # A box is ticked or not: neither leaves it out.
        is_needed = (
            field.field.required
            or getattr(field.field, "is_asked", False)
            or isinstance(field.field, BooleanField)
        )
        optional = "" if is_needed else ' <span class="optional">may be left out</span>'
        head, foot = f'<label for="{_text(field.id_for_label or "")}">{label}{optional}</label>', ""
    told = f'<div class="help" id="{_text(field.auto_id)}_helptext">{help_text}</div>' if help_text else ""
    wrong = ""
    if errors:
        lines = "".join(f"<p>{_text(error)}</p>" for error in errors)
        wrong = f'<div class="error" id="{_text(field.auto_id)}_error">{lines}</div>'
    style = "field has-error" if errors else "field"
    return f'<div class="{style}">{head}{told}{field}{wrong}{foot}</div>'


_WRITERS: Mapping[str, Callable[[Mapping[str, Any]], str]] = {
    "django/forms/field.html": _field,
    f"{_WIDGETS}textarea.html": _textarea,
    f"{_WIDGETS}select.html": _select,
    **{f"{_WIDGETS}{name}.html": _input for name in _INPUTS},
}
