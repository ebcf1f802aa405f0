"""From the last readings of a case to its set-up sheet: what it was left with, and by whom."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.cases.models import Case
from repairs.language.refusal import WorkshopError
from repairs.language.text import labelled
from repairs.papers import paper_kinds
from repairs.papers.blocks.readings import heading_words, room_words
from repairs.papers.needs.kind import PaperKind
from repairs.papers.needs.lacks import SETUP_GAUGES, Facts, empty
from repairs.papers.owner.climate import Advised, advised_climate
from repairs.papers.owner.setup_tables import (
    KeyLine,
    StringLine,
    Voicing,
    card_rows,
    key_lines,
    string_lines,
    thing_of,
    voicing_tables,
)
from repairs.readings.models import Reading, Verdict
from repairs.readings.sheets.catalogue import sheet_of, sheets_for
from repairs.readings.show import figure_rows

JUDGED = (Verdict.Word.OUTSIDE, Verdict.Word.DOUBTFUL)
ALWAYS_SAID = {
    "wheel": ("tir_mm", "ecc_mm", "high_spot_deg", "oval_amp_mm", "axial_runout_mm"),
    "action": ("playable_up_to", "surely_up_to"),
}


@dataclass(frozen=True, kw_only=True)
class SetupRow:
    """One figure as it was left."""

    label: str
    value: str
    limit: str = ""
    sign: str = ""
    word: str = ""


@dataclass(frozen=True, kw_only=True)
class SetupBlock:
    """What one gauge said last; or ``missing``, which says that and why nothing is known."""

    key: str
    title: str
    taken: str
    missing: str
    rows: tuple[SetupRow, ...] = ()
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class SetupSheet:
    """How the instrument was left, thing by thing, with its climate."""

    case_number: str
    instrument_number: str
    instrument: str
    owner: str
    done: str
    climate: tuple[tuple[str, str], ...]
    strings: SetupBlock
    string_lines: tuple[StringLine, ...]
    wheel: SetupBlock | None
    keys: SetupBlock | None
    key_lines: tuple[KeyLine, ...]
    voicing: SetupBlock | None
    voicing_tables: tuple[Voicing, ...]
    dog: SetupBlock | None
    action: SetupBlock | None


def body(case: Case) -> SetupSheet:
    """The set-up as the last readings show it, whichever phase they belong to."""
    rows = _setup_readings(case)
    fitting = {sheet.gauge for sheet in sheets_for(case)}
    last = {row.gauge: row for row in rows}
    cards = {thing_of(row): row for row in rows if row.gauge == "voicing_card"}
    spoken = [row for row in cards.values() if not row.not_permitted]

    def block(gauge: str) -> SetupBlock | None:
        return _block(gauge, last.get(gauge)) if gauge in fitting else None

    return SetupSheet(
        case_number=case.number,
        instrument_number=case.instrument.number,
        instrument=str(case.instrument),
        owner=case.owner.name,
        done=_done(rows),
        climate=_climate(case, rows),
        strings=_block("string_set", last.get("string_set")),
        string_lines=string_lines(last.get("string_set")),
        wheel=block("wheel"),
        keys=block("correction"),
        key_lines=key_lines(last.get("correction")),
        voicing=block("voicing_card"),
        voicing_tables=voicing_tables(spoken),
        dog=block("dog_card"),
        action=block("action"),
    )


def _setup_readings(case: Case) -> list[Reading]:
    """Oldest first, so that the last of a gauge stands when they are laid over one another."""
    return list(
        case.readings.present()
        .filter(gauge__in=SETUP_GAUGES)
        .select_related("tool", "taken_by")
        .prefetch_related("results__verdicts")
        .order_by("taken_at", "number")
    )


def _block(gauge: str, row: Reading | None) -> SetupBlock:
    title = capfirst(str(sheet_of(gauge).label))
    if row is None:
        return SetupBlock(key=gauge, title=title, taken="", missing=_("Not measured."))
    if row.not_permitted:
        why = _("Not done: not permitted. %(why)s") % {"why": row.not_permitted}
        return SetupBlock(key=gauge, title=title, taken=heading_words(row), missing=why)
    return SetupBlock(
        key=gauge,
        title=title,
        taken=heading_words(row),
        missing="",
        rows=tuple(_rows(gauge, row)),
        note=row.note,
    )


def _rows(gauge: str, row: Reading) -> Iterator[SetupRow]:
    """The figures that are always told, and whatever else lies outside or too near a limit."""
    if gauge == "dog_card":
        yield from (SetupRow(label=label, value=value) for label, value in card_rows(row))
    said = ALWAYS_SAID.get(gauge, ())
    if not said:
        return
    for figure in figure_rows(row):
        if figure.key in said or figure.word in JUDGED:
            value = f"{figure.value} ± {figure.u}" if figure.u else figure.value
            judged = figure.word != Verdict.Word.NOT_JUDGED
            yield SetupRow(
                label=str(capfirst(figure.label)),
                value=value,
                limit=figure.limit,
                sign=figure.sign if judged else "",
                word=figure.word_label if judged else "",
            )


def _done(rows: Sequence[Reading]) -> str:
    """The last of the readings that the sheet rests on: when, and by whom."""
    return heading_words(rows[-1]) if rows else ""


def _climate(case: Case, rows: Sequence[Reading]) -> tuple[tuple[str, str], ...]:
    """The air at the set-up, and what air is advised from the instrument's own record."""
    rooms = [room_words(row.room_t_c, row.room_rh_pct) for row in rows]
    room = next((words for words in reversed(rooms) if words), "")
    return (
        (_("Air at the set-up"), room or _("not measured")),
        (_("Air advised"), _advised_words(advised_climate(case))),
    )


def _advised_words(advised: Advised | None) -> str:
    if advised is None:
        return _("no climate was recorded with it, so none is advised from its own history")
    band = {"low": advised.low, "high": advised.high, "rest": advised.rest, "days": advised.days}
    if not advised.from_record:
        words = _(
            "from %(low)s to %(high)s %% RH, resting at %(rest)s %%; the air recorded has done "
            "harm and vouches for nothing"
        )
    else:
        words = _(
            "from %(low)s to %(high)s %% RH, resting at %(rest)s %%; from %(days)s days recorded"
        )
    said = words % band
    if advised.winter and advised.summer:
        said += _("; in winter %(winter)s %%, in summer %(summer)s %%") % {
            "winter": "–".join(advised.winter),
            "summer": "–".join(advised.summer),
        }
    return said


def contents(sheet: SetupSheet) -> list[str]:
    """What will be printed, in a few lines for the screen."""
    strings = ngettext("%(count)s string", "%(count)s strings", len(sheet.string_lines))
    return [
        strings % {"count": len(sheet.string_lines)},
        *(labelled(one.title, one.taken) for one in _blocks(sheet) if not one.missing),
    ]


def gaps(sheet: SetupSheet) -> list[str]:
    """The things that were not read, by name."""
    return [labelled(one.title, one.missing) for one in _blocks(sheet) if one.missing]


def _blocks(sheet: SetupSheet) -> list[SetupBlock]:
    every = (sheet.strings, sheet.wheel, sheet.keys, sheet.voicing, sheet.dog, sheet.action)
    return [one for one in every if one is not None]


def lack(facts: Facts) -> WorkshopError | None:
    """The refusal while nothing of the set-up was read."""
    if facts.is_set_up:
        return None
    why = _("nothing of its set-up was read (%(readings)s). Take one of them first.") % {
        "readings": facts.setup_readings
    }
    return empty(facts, SETUP_SHEET.name, why)


SETUP_SHEET = PaperKind(
    key=paper_kinds.SETUP_SHEET,
    purpose=gettext_lazy(
        "How the instrument was left: strings, wheel, keys, pressure, dog, action."
    ),
    template="papers/owner/setup_sheet.html",
    body=body,
    contents=contents,
    gaps=gaps,
    lack=lack,
    deed="receipt",
)
