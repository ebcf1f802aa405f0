"""The readings of a case as the condition report shows them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.language.dates import moment_words
from repairs.language.text import decimal_words, labelled
from repairs.papers.blocks.document import FigureLine, ReadingBlock
from repairs.readings.models import Reading, Verdict
from repairs.readings.show import FigureRow, saved, twin_before

OUTSIDE_SHOWN = 4


def readings_of(case: Case) -> list[Reading]:
    """The readings that stand, each with its tool, its person and what was made of it."""
    return list(
        case.readings.present()
        .select_related("tool", "taken_by")
        .prefetch_related("results__verdicts", "results__prescriptions")
    )


def reading_blocks(case: Case) -> tuple[ReadingBlock, ...]:
    """Every reading that stands, as a paper shows it."""
    return blocks_of(readings_of(case))


def blocks_of(rows: Sequence[Reading]) -> tuple[ReadingBlock, ...]:
    """Every reading, with the earlier one of its kind drawn under it."""
    return tuple(_block(row, twin_before(row, rows)) for row in rows)


def outside_words(blocks: tuple[ReadingBlock, ...]) -> tuple[str, ...]:
    """The first figures outside their limits, of the last reading of each kind, for page one."""
    last = {(block.gauge, block.subject): block for block in blocks}
    return tuple(
        labelled(_title(block), f"{figure.label} {figure.value}")
        for block in last.values()
        for figure in block.figures
        if figure.word == Verdict.Word.OUTSIDE
    )[:OUTSIDE_SHOWN]


def _title(block: ReadingBlock) -> str:
    return f"{block.title}, {block.subject}" if block.subject else block.title


def _block(row: Reading, before: Reading | None) -> ReadingBlock:
    shown = saved(row, before)
    result = row.latest
    return ReadingBlock(
        number=row.number,
        title=shown.title,
        subject=row.subject,
        phase=_phase(row),
        taken=_("%(when)s, by %(who)s") % {"when": moment_words(row.taken_at), "who": row.taken_by},
        tool=_tool(row),
        room=room_words(row.room_t_c, row.room_rh_pct),
        gauge=row.gauge,
        version=result.version if result else "",
        chart=shown.chart,
        alt=shown.alt,
        figures=tuple(_line(figure) for figure in shown.figures),
        warnings=shown.warnings,
        advice=shown.advice,
        not_permitted=row.not_permitted,
        note=row.note,
    )


def heading_words(row: Reading) -> str:
    """Which reading it is, when and by whom, with what tool, in what air."""
    parts = (
        _("reading %(number)s") % {"number": row.number},
        _phase(row),
        _("%(when)s, by %(who)s") % {"when": moment_words(row.taken_at), "who": row.taken_by},
        _tool(row),
        room_words(row.room_t_c, row.room_rh_pct),
    )
    return " · ".join(part for part in parts if part)


def room_words(t_c: Decimal | None, rh_pct: Decimal | None) -> str:
    """“18.5 °C, 46 % RH”, as far as it is known."""
    parts = []
    if t_c is not None:
        parts.append(f"{decimal_words(t_c)}\u00a0°C")
    if rh_pct is not None:
        parts.append(_("%(rh)s %% RH") % {"rh": decimal_words(rh_pct)})
    return ", ".join(parts)


def _line(figure: FigureRow) -> FigureLine:
    return FigureLine(
        label=figure.label,
        value=figure.value,
        u=figure.u,
        limit=figure.limit,
        source=figure.source,
        word=figure.word,
        word_label=figure.word_label,
        sign=figure.sign,
    )


def _phase(row: Reading) -> str:
    phase = str(row.get_phase_display())
    if row.round is None:
        return phase
    return _("%(phase)s, round %(round)s") % {"phase": phase, "round": row.round}


def _tool(row: Reading) -> str:
    if row.tool is None:
        return ""
    resolution = f"{decimal_words(row.tool.resolution)}\u00a0{row.tool.unit}"
    return f"{row.tool.name} ({resolution})"
