"""The page on which an estimate is written, as a whole: its fields, its options, their lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django.forms import BaseForm
from django.http import QueryDict
from django.utils.translation import gettext as _

from repairs.estimates.compile import options_of
from repairs.estimates.forms import EstimateForm, LineForm, OptionForm
from repairs.estimates.models import Estimate, Option, OptionLine
from repairs.estimates.placed import PlacedField
from repairs.estimates.wishes import OptionWish
from repairs.procedures.versions import procedures_for

MOST_OPTIONS, MOST_LINES = 4, 10
FIRST_KINDS = (Option.Kind.SAFE, Option.Kind.PLAYABLE, Option.Kind.FULL, Option.Kind.OTHER)
FIRST_LINES, SPARE_LINES = 2, 1


class OptionPart:
    """One option on the page: its own form, and the forms of its lines."""

    is_asked = False  # a row more was asked for

    def __init__(self, number: int, form: OptionForm, lines: list[LineForm]) -> None:
        self.number, self.form, self.lines = number, form, lines

    @property
    def is_open(self) -> bool:
        """The first one, and any that says something or has a fault."""
        if self.number == 1 or self.is_asked or (self.form.is_bound and not self.is_left_empty()):
            return True
        initial = [self.form.initial, *(line.initial for line in self.lines)]
        return any(value for said in initial for key, value in said.items() if key != "kind")

    @property
    def kind_label(self) -> str:
        """What the option is for, in words; empty until it is chosen."""
        kind = str(self.form["kind"].value() or "")
        return str(Option.Kind(kind).label) if kind in Option.Kind.values else ""

    @property
    def is_full(self) -> bool:
        """Whether no line can be added any more."""
        return len(self.lines) >= MOST_LINES

    def is_left_empty(self) -> bool:
        """Whether neither the option nor any line of it was touched."""
        return self.form.is_left_empty() and all(line.is_left_empty() for line in self.lines)

    def forms(self) -> Iterator[BaseForm]:
        """Those that say something; what is left empty has no fault."""
        if not self.is_left_empty():
            yield self.form
            yield from (line for line in self.lines if not line.is_left_empty())

    def placed_fields(self) -> Iterator[PlacedField]:
        """Those of ``forms()``, each with where it stands."""
        if self.is_left_empty():
            return
        option = _("Option %(number)s") % {"number": self.number}
        yield from (PlacedField(field, option) for field in self.form)
        for number, line in enumerate(self.lines, 1):
            if line.is_left_empty():
                continue
            told = {"number": self.number, "line": number}
            place = _("Option %(number)s, line %(line)s") % told
            yield from (PlacedField(field, place) for field in line)

    def wish(self) -> OptionWish:
        """The option as wished, without lines left empty. Call it after ``is_valid``."""
        said = self.form.cleaned_data
        lines = [line.wish() for line in self.lines if not line.is_left_empty()]
        return OptionWish(**said, lines=lines)


class EstimateEntry:
    """The whole page. ``more`` names what shall get one more row; nothing is judged then."""

    def __init__(self, estimate: Estimate, data: QueryDict | None = None) -> None:
        self.estimate = estimate
        self.more = data.get("more", "") if data is not None else ""
        self.is_sent = data is not None and not self.more
        self.data = data
        self.shared = self._choices()
        self.form = EstimateForm(
            data if self.is_sent else None,
            instance=estimate,
            initial=typed(EstimateForm, data) if self.more else None,
        )
        self.options = self._typed_options() if data is not None else self._kept_options()

    def _choices(self) -> dict[str, Any]:
        case = self.estimate.case
        findings = list(case.findings.present())
        return {
            "procedures": {one.key: one for one in procedures_for(case.instrument.kind)},
            "findings": {str(row.number): row for row in findings},
            "currency": self.estimate.currency,
        }

    # As it is kept ---------------------------------------------------------------------------

    def _kept_options(self) -> list[OptionPart]:
        rows = options_of(self.estimate)
        if rows:
            return [self._kept(number, row) for number, row in enumerate(rows, 1)]
        return [self._blank(number, kind) for number, kind in enumerate(FIRST_KINDS[:3], 1)]

    def _kept(self, number: int, row: Option) -> OptionPart:
        names = ("kind", "title", "promise", "risk", "reversibility", "left_out", "ceiling")
        said = {name: getattr(row, name) for name in names}
        lines = [kept_line(line) for line in row.lines.all()]
        spare = min(SPARE_LINES, MOST_LINES - len(lines))
        return self._part(number, said, [*lines, *({} for _ in range(spare))])

    def _blank(self, number: int, kind: str) -> OptionPart:
        return self._part(number, {"kind": kind}, [{} for _ in range(FIRST_LINES)])

    def _part(
        self, number: int, said: Mapping[str, Any], lines: Sequence[Mapping[str, Any]]
    ) -> OptionPart:
        currency = self.estimate.currency
        form = OptionForm(initial=said, prefix=f"o{number}", currency=currency)
        rows = [
            LineForm(initial=line, prefix=f"o{number}l{place}", **self.shared)
            for place, line in enumerate(lines, 1)
        ]
        return OptionPart(number, form, rows)

    # As it was typed -------------------------------------------------------------------------

    def _typed_options(self) -> list[OptionPart]:
        count = self._count("options", MOST_OPTIONS, self.more == "option")
        parts = [self._typed(number) for number in range(1, count + 1)]
        for part in parts:
            part.is_asked = self.more == f"o{part.number}"
        parts[-1].is_asked |= self.more == "option"
        return parts

    def _count(self, name: str, most: int, one_more: bool) -> int:
        assert self.data is not None  # noqa: S101 - asked only of what was sent
        words = self.data.get(name, "")
        count = int(words) if words.isascii() and words.isdigit() and len(words) < 4 else 0
        return min(most, max(1, count + one_more))

    def _typed(self, number: int) -> OptionPart:
        prefix, data = f"o{number}", self.data
        count = self._count(f"{prefix}-lines", MOST_LINES, self.more == prefix)
        kind = {"kind": FIRST_KINDS[number - 1]}
        if not self.is_sent:
            lines = [typed(LineForm, data, f"{prefix}l{n}") for n in range(1, count + 1)]
            return self._part(number, kind | typed(OptionForm, data, prefix), lines)
        currency = self.estimate.currency
        form = OptionForm(data, initial=kind, prefix=prefix, currency=currency)
        rows = [LineForm(data, prefix=f"{prefix}l{n}", **self.shared) for n in range(1, count + 1)]
        return OptionPart(number, form, rows)

    # What the page asks ----------------------------------------------------------------------

    @property
    def may_grow(self) -> bool:
        """Whether one more option fits."""
        return len(self.options) < MOST_OPTIONS

    def forms(self) -> Iterator[BaseForm]:
        """Every form of the page, from its head to the last line."""
        yield self.form
        for option in self.options:
            yield from option.forms()

    def is_valid(self) -> bool:
        """Whether it was sent and every form of it can be kept."""
        judged = [form.is_valid() for form in self.forms()]  # every one, to show all faults at once
        return self.is_sent and all(judged)

    def see(self, revision: int) -> None:
        """Base what was typed on the revision that the person is being shown."""
        if self.data is not None:
            data = self.data.copy()
            data["seen"] = str(revision)
            self.form.data = data

    @property
    def errors(self) -> bool:
        """Whether something that was sent is wrong."""
        return self.is_sent and any(form.errors for form in self.forms())

    def non_field_errors(self) -> list[str]:
        """Sentences that are about no single field, of all forms."""
        return [str(error) for form in self.forms() for error in form.non_field_errors()]

    def __iter__(self) -> Iterator[PlacedField]:
        yield from (PlacedField(field) for field in self.form)
        for option in self.options:
            yield from option.placed_fields()

    def understood(self) -> dict[str, str]:
        """Times that were not typed in whole minutes, each with what it was taken for."""
        lines = [line for option in self.options for line in option.lines]
        said = [line.understood() for line in lines if not line.is_left_empty()]
        return dict(pair for pairs in said for pair in pairs)

    def wishes(self) -> list[OptionWish]:
        """The options as wished, in their order; those left empty are none."""
        return [option.wish() for option in self.options if not option.is_left_empty()]


def kept_line(line: OptionLine) -> dict[str, Any]:
    """A line that was saved, as the fields of its form."""
    names = ("words", "minutes_low", "minutes_high", "amount", "is_sampling")
    said = {name: getattr(line, name) for name in names}
    said["what"] = line.version.key if line.version else line.kind
    said["findings"] = [str(one.number) for one in line.findings.all()]
    return said


LISTS = ("findings",)
FIELDS: Mapping[Any, tuple[str, ...]] = {
    OptionForm: (*OptionForm.base_fields, "ceiling"),
    LineForm: (*LineForm.base_fields, "what", "amount", "findings"),
    EstimateForm: (*EstimateForm.base_fields,),
}


def typed(form: type[BaseForm], data: QueryDict | None, prefix: str = "") -> dict[str, Any]:
    """What was typed into the fields of the form, unjudged, to be shown again."""
    said: dict[str, Any] = {}
    if data is None:
        return said
    for name in FIELDS[form]:
        key = f"{prefix}-{name}" if prefix else name
        if key in data:
            said[name] = data.getlist(key) if name in LISTS else data[key]
    return said
