"""Fields of a record, declared once: the form, the page and the papers all walk this list.

A new field of a record is a line in its model and an :class:`Entry` here, in the group under
which it is asked for; form, template and paper need no word of it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from django import forms
from django.db import models
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.text import Truncator, capfirst
from django.utils.translation import gettext as _

from repairs.language.dates import day_words, moment_words
from repairs.language.text import decimal_words

Where = Literal["page", "receipt", "report"]
Text = str | Promise
MOST_SAID = 90  # characters of the line that says what a folded group holds


@dataclass(frozen=True)
class Entry:
    """One field of a record.

    ``shown`` says where it stands by itself; what a page or paper words in its own way (a maker
    with how sure it is) is left out there. ``label`` is for a reader who is not asked but told;
    the model's own name of the field by default. ``said`` words the value; as the field's type
    has it by default. ``lines`` makes a box of so many lines; ``wide`` takes the whole row.
    ``is_price`` keeps it from whoever may not see money.
    """

    name: str
    lines: int = 0
    wide: bool = False
    shown: tuple[Where, ...] = ()
    label: Text = ""
    said: Callable[[Any], str] | None = None
    is_price: bool = False


@dataclass(frozen=True)
class Group:
    """Fields that are asked for together, in the order of the talk."""

    title: Text
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class BoundEntry:
    """A field as a form shows it, and whether it takes the whole width."""

    field: forms.BoundField
    wide: bool


@dataclass(frozen=True)
class BoundGroup:
    """Fields under one heading, folded to a line that says what stands in them."""

    title: Text
    fields: tuple[BoundEntry, ...]

    @property
    def said(self) -> str:
        """What is filled in, in a line."""
        words = [filled_words(entry.field) for entry in self.fields if filled(entry.field)]
        line = " ".join(" · ".join(words).split())
        return Truncator(line).chars(MOST_SAID) or _("nothing said yet")

    @property
    def is_open(self) -> bool:
        """Whether a field is to be mended, or must be filled in before anything can be kept."""
        return any(
            one.field.errors or (one.field.field.required and not filled(one.field))
            for one in self.fields
        )


def filled(field: forms.BoundField) -> bool:
    """Whether a field says anything."""
    return field.value() not in (None, "", False, [])


def filled_words(field: forms.BoundField) -> str:
    """What a field says, in words: the label of a tick or of what was chosen, else its value.

    A measure says what it measures; other words speak for themselves.
    """
    value = field.value()
    if value is True:
        return str(field.label)
    rows = getattr(field.field, "queryset", None)
    if rows is not None:
        # As the field reads it: what was sent may be no key at all.
        with suppress(forms.ValidationError):
            return str(field.field.to_python(value) or "")
        return ""
    chosen = dict(getattr(field.field, "choices", ()))
    if isinstance(value, list):
        return ", ".join(str(chosen.get(one, one)) for one in value)
    if isinstance(value, dt.datetime) and timezone.is_naive(value):
        value = timezone.make_aware(value)  # as a field of a form has it
    is_plain = isinstance(value, (dt.date, Decimal))
    said = value_words(value) if is_plain else field.field.prepare_value(value)
    words = str(chosen.get(value) or said)
    unit = field.field.widget.attrs.get("data-unit", "")
    return f"{field.label} {words} {unit}" if unit else words


def names(groups: Iterable[Group]) -> tuple[str, ...]:
    """The fields of all groups, in their order."""
    return tuple(entry.name for group in groups for entry in group.entries)


def text_boxes(groups: Iterable[Group]) -> dict[str, forms.Textarea]:
    """A text box for each entry of several lines, whichever way its script runs."""
    return {
        entry.name: forms.Textarea(attrs={"rows": entry.lines, "dir": "auto"})
        for group in groups
        for entry in group.entries
        if entry.lines
    }


def bound_groups(form: forms.BaseForm, groups: Iterable[Group]) -> list[BoundGroup]:
    """The groups with the fields of a form; one that the form has not is left out."""
    found = []
    for group in groups:
        kept = (entry for entry in group.entries if entry.name in form.fields)
        rows = tuple(BoundEntry(form[entry.name], entry.wide) for entry in kept)
        found.append(BoundGroup(group.title, rows))
    return found


def facts(
    record: models.Model, groups: Iterable[Group], where: Where, *, prices: bool = True
) -> Iterator[tuple[str, str, str]]:
    """Name, label and words of each field shown there, in the reader's language.

    ``prices``: whether the reader may see sums of money.
    """
    for group in groups:
        for entry in group.entries:
            if where in entry.shown and (prices or not entry.is_price):
                yield entry.name, _label(record, entry), _words(record, entry)


def _label(record: models.Model, entry: Entry) -> str:
    field = record._meta.get_field(entry.name)
    return str(capfirst(str(entry.label or getattr(field, "verbose_name", entry.name))))


def _words(record: models.Model, entry: Entry) -> str:
    if entry.said is not None:
        return entry.said(record)
    if getattr(record._meta.get_field(entry.name), "choices", None):
        return str(getattr(record, f"get_{entry.name}_display")())
    return value_words(getattr(record, entry.name))


def value_words(value: object) -> str:
    """Any plain value as a reader of the language in force writes it; nothing for nothing."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, dt.datetime):
        return moment_words(value)
    if isinstance(value, dt.date):
        return day_words(value)
    return decimal_words(value) if isinstance(value, Decimal) else str(value)
