"""The parts of a description's form: fields, folded groups of fields, rows. Fields write their own HTML,
because a form of two hundred of them takes a template five times as long."""

import re
from dataclasses import dataclass, field

from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.projects.describing.fields import CHOICE, YES_NO, FieldSpec, RowsSpec


def entry_id(name: str) -> str:
    """Return a field's id in the page."""
    return "f-" + re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")


@dataclass(slots=True)
class Entry:
    """One field as shown: what is typed in it, what is wrong with it, what another person saved there."""

    name: str
    spec: FieldSpec
    value: str
    errors: list[str] = field(default_factory=list)
    theirs: str | None = None

    @property
    def id(self) -> str:
        return entry_id(self.name)

    def html(self) -> SafeString:
        own_id, told = self.id, self._told()
        needed = ' <span class="optional">needed</span>' if self.spec.is_required else ""
        linked = f' aria-describedby="{own_id}-help"' if told else ""
        invalid = ' aria-invalid="true"' if self.errors else ""
        common = f'name="{escape(self.name)}" id="{own_id}"{linked}{invalid}'
        if self.spec.kind in (CHOICE, YES_NO):
            control = f"<select {common}>{self._options()}</select>"
        else:
            control = f'<input {common} value="{escape(self.value)}" autocomplete="off" spellcheck="false">'
        below = f'<div id="{own_id}-help">{told}</div>' if told else ""
        style = "field has-error" if self.errors else "field"
        return SafeString(
            f'<div class="{style}"><label for="{own_id}">{escape(self.spec.label)}{needed}</label>'
            f"{control}{below}</div>\n"
        )

    def _options(self) -> str:
        first = "choose" if self.spec.is_required else "not stated"
        choices = list(self.spec.choices)
        if self.value and self.value not in dict(choices):
            choices.append((self.value, self.value))  # kept as typed, and refused with its error
        options = [f'<option value="">{first}</option>']
        for value, word in choices:
            chosen = " selected" if value == self.value else ""
            options.append(f'<option value="{escape(value)}"{chosen}>{escape(word)}</option>')
        return "".join(options)

    def _told(self) -> str:
        """Return what stands below the field: errors first, then a version saved meanwhile, then help."""
        parts = []
        if self.errors:
            parts.append(
                f'<div class="error">{"".join(f"<p>{escape(text)}</p>" for text in self.errors)}</div>'
            )
        if self.theirs is not None:
            parts.append(f'<p class="stale">Saved meanwhile: {escape(self.theirs or "left blank")}</p>')
        if self.spec.help:
            parts.append(f'<div class="help">{escape(self.spec.help)}</div>')
        return "".join(parts)


@dataclass(slots=True)
class Group:
    """A folded group of fields, open where something in it wants to be seen."""

    title: str
    entries: list[Entry]

    @property
    def is_open(self) -> bool:
        return any(entry.errors or entry.theirs is not None for entry in self.entries)

    def html(self) -> SafeString:
        filled = sum(bool(entry.value) for entry in self.entries)
        stated = f" <small>{filled} stated</small>" if filled else ""
        inner = "".join(entry.html() for entry in self.entries)
        opened = " open" if self.is_open else ""
        return SafeString(
            f'<details class="group"{opened}><summary><span>{escape(self.title)}</span>{stated}</summary>'
            f'<div class="body field-grid">{inner}</div></details>\n'
        )


@dataclass(slots=True)
class Row:
    """One pinion, or one line of a table; `was` is a pinion's place in the stored description."""

    number: int
    name: str
    title: str
    entries: list[Entry]
    groups: list[Group]
    errors: list[str]
    was: str = ""

    @property
    def has_errors(self) -> bool:
        folded = any(group.is_open for group in self.groups)
        return bool(self.errors) or folded or any(entry.errors for entry in self.entries)

    @property
    def id(self) -> str:
        return entry_id(self.name)


@dataclass(slots=True)
class RowBlock:
    """All rows of one list, with room for more or not."""

    spec: RowsSpec
    rows: list[Row]
    errors: list[str]

    @property
    def id(self) -> str:
        return entry_id(self.spec.name)

    @property
    def has_room(self) -> bool:
        return len(self.rows) < self.spec.most

    @property
    def is_open(self) -> bool:
        return bool(self.errors) or any(row.has_errors for row in self.rows)
