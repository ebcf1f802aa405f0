"""Groups of the intake that lie folded: each says in a line what holds while nobody opens it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.dateparse import parse_date, parse_datetime
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from repairs.cases.models import LEAVES, Case
from repairs.language.dates import day_words, moment_words
from repairs.language.text import labelled
from repairs.screens.entries import BoundEntry, Group, bound_groups
from repairs.screens.fields import read_decimal


@dataclass(frozen=True)
class FoldedGroup:
    """Fields under a heading, what they say in a line, and whether one of them is to be mended."""

    title: str
    state: str
    leaves: tuple[BoundEntry, ...]
    fields: tuple[BoundEntry, ...]
    is_open: bool


def folded_groups(form: forms.BaseForm, groups: Iterable[Group]) -> list[FoldedGroup]:
    """The groups of an intake form; the leaves apart, as each is answered by one tap."""
    return [
        FoldedGroup(
            title=str(group.title),
            state=_state(form, group.fields),
            leaves=tuple(one for one in group.fields if one.field.name in LEAVES),
            fields=tuple(one for one in group.fields if one.field.name not in LEAVES),
            is_open=any(one.field.errors for one in group.fields),
        )
        for group in bound_groups(form, groups)
    ]


def _state(form: forms.BaseForm, fields: tuple[BoundEntry, ...]) -> str:
    """What the group says: by its first field, or by all the leaves."""
    first = fields[0].field.name
    return _STATES["leaves" if first in LEAVES else first](form)


def _leaves(form: forms.BaseForm) -> str:
    answers = {name: form[name].value() for name in LEAVES if name in form.fields}
    decided = {name: said for name, said in answers.items() if said in ("yes", "no")}
    if not decided:
        return _("not decided: ask first")
    told = (str(labelled(LEAVES[name], Case.Leave(said).label)) for name, said in decided.items())
    return capfirst(", ".join(told))


def _bringer(form: forms.BaseForm) -> str:
    who = str(form["bringer_name"].value() or _("the owner in person"))
    return f"{who} · {_value(form)}"


def _value(form: forms.BaseForm) -> str:
    value = form["insured_value"].value()
    if value in (None, ""):
        return _("no value is said")
    try:
        words = form.fields["insured_value"].prepare_value(read_decimal(value))
    except forms.ValidationError:
        words = value
    unit = form.fields["insured_value"].widget.attrs.get("data-unit", "")
    return f"{words} {unit}".strip()


def _days(form: forms.BaseForm) -> str:
    moment: Any = form["received_at"].value()
    if isinstance(moment, str):
        moment = _read(moment, parse_datetime)
    if moment and timezone.is_naive(moment):
        moment = timezone.make_aware(moment)  # as the browser's own picker gives it
    received = moment_words(moment) or "—"
    promised: Any = form["promised_on"].value()
    if isinstance(promised, str):
        promised = _read(promised, parse_date)
    if not promised:
        return received
    return f"{received} · {_('promised for %(day)s') % {'day': day_words(promised)}}"


def _read(words: str, parse: Callable[[str], Any]) -> Any:
    """The moment or day as the browser's picker sent it; None when it is none."""
    try:
        return parse(words)
    except ValueError:
        return None


_STATES: Mapping[str, Callable[[forms.BaseForm], str]] = {
    "leaves": _leaves,
    "bringer_name": _bringer,
    "received_at": _days,
}
