"""The first page of a treatment report: ten lines that answer what an owner asks first."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.cases.compile import maker_words
from repairs.language.dates import day_words
from repairs.language.text import labelled
from repairs.papers.blocks.document import Row
from repairs.papers.blocks.treatment_document import WorkBlock
from repairs.papers.treatment.points import (
    Material,
    bag_words,
    count_words,
    pairs_after,
    point,
)
from repairs.readings.models import Verdict

MOST_NAMED = 3
MOST_NOT_DONE = 2


def answer_rows(material: Material) -> tuple[Row, ...]:
    """The first page in ten lines."""
    case, instrument = material.case, material.case.instrument
    said = (maker_words(case), instrument.place_made, instrument.date_text)
    name = instrument.name or instrument.kind_label
    agreed = dict.fromkeys(block.agreement for block in material.blocks)
    return (
        point("object", ", ".join(part for part in (name, *said) if part)),
        point("owner", case.owner.name),
        point("purpose", labelled(case.reason_label, case.owner_words)),
        point("agreement", "\n".join(agreed)),
        point("work_done", "\n".join(_work_line(block) for block in material.blocks)),
        point("proof", _proof_words(material.blocks)),
        point("not_done", _first_of(material.not_done), empty=_("all that was agreed was done")),
        point("parts_kept", bag_words(material.removed), empty=_("nothing was taken off")),
        point("next_check", day_words(_next_check(material)), empty=_("none agreed")),
        point("responsible", ", ".join(dict.fromkeys(block.signed for block in material.blocks))),
    )


def _work_line(block: WorkBlock) -> str:
    parts = ", ".join(block.parts)
    return f"{block.number} · {block.title}" + (f" ({parts})" if parts else "")


def _first_of(lines: tuple[str, ...]) -> str:
    """The first few; how many more there are is said."""
    more = len(lines) - MOST_NOT_DONE
    if more <= 0:
        return "\n".join(lines)
    rest = ngettext("and %(count)s more, see below", "and %(count)s more, see below", more)
    return "\n".join((*lines[:MOST_NOT_DONE], rest % {"count": more}))


def _proof_words(blocks: Iterable[WorkBlock]) -> str:
    """How the figures of the readings after the work lie; those outside by name."""
    pairs = pairs_after(blocks)
    outside = [
        str(capfirst(labelled(pair.title, f"{figure.label} {figure.after}")))
        for pair in pairs
        for figure in pair.figures
        if figure.word == Verdict.Word.OUTSIDE
    ]
    return "\n".join((count_words(pairs), *outside[:MOST_NAMED]))


def _next_check(material: Material) -> Any:
    row = material.hand_back or material.examination
    return row.next_check_on if row else None
