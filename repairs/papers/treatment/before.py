"""What was known and decided before the work, point by point."""

from __future__ import annotations

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.cases.compile import maker_words
from repairs.instruments.part_models import Part
from repairs.instruments.scales import scale_label
from repairs.language.dates import day_words
from repairs.language.text import labelled, semicolons
from repairs.papers.blocks.document import Row
from repairs.papers.blocks.treatment_document import WorkBlock
from repairs.papers.condition.report import CONDITION_REPORT
from repairs.papers.treatment.points import (
    Material,
    point,
)
from repairs.press.models import Paper


def before_rows(material: Material) -> tuple[Row, ...]:
    """What was known and decided before the first cut."""
    agreed = material.case.agreed_works.filter(superseded_at=None).select_related("version")
    return (
        point("significance", _significance(material)),
        point("condition_before", _condition(material)),
        point("goals", _goals(material)),
        point("options", material.weighed.options),
        point("risk", material.weighed.risk),
        point("plan", "\n".join(f"{one.number} · {one}" for one in agreed)),
        point("minimum", _minimum(material)),
        point("reversibility", _grades(material)),
    )


def _significance(material: Material) -> str:
    """Maker and date, how many parts are known as original, and what was laid down about it."""
    instrument = material.case.instrument
    kept = sum(1 for part in material.parts if part.originality == Part.Originality.ORIGINAL)
    original = ngettext("%(count)s part is original", "%(count)s parts are original", kept)
    known = original % {"count": kept} if kept else _("originality of its parts not recorded")
    said = (maker_words(material.case), instrument.date_text, known, instrument.restrictions)
    return semicolons(part for part in said if part)


def _condition(material: Material) -> str:
    look = material.examination
    grade = scale_label("overall_grade", look.overall_grade) if look and look.overall_grade else ""
    report = Paper.objects.current(CONDITION_REPORT.key, material.case.log_key)
    issued = (
        _("condition report of %(day)s, code %(code)s")
        % {"day": day_words(report.issued_at), "code": report.code}
        if report
        else _("no condition report was issued")
    )
    state = labelled(grade, look.overall_state if look else "")
    return "\n".join(part for part in (state, issued) if part)


def _goals(material: Material) -> str:
    look = material.examination
    proposed = look.proposal if look else ""
    purposes = dict.fromkeys(block.purpose for block in material.blocks if block.purpose)
    return "\n".join(part for part in (proposed, *purposes) if part)


def _minimum(material: Material) -> str:
    """How many findings were answered, and how many were left alone on purpose or for later."""
    every = len(material.findings)
    treated = every - len(material.left)
    words = ngettext(
        "%(treated)s of %(every)s findings was treated",
        "%(treated)s of %(every)s findings were treated",
        treated,
    )
    unasked = ", ".join(str(block.number) for block in material.blocks if block.is_emergency)
    rest = (
        _("done before the owner could be asked: work %(numbers)s") % {"numbers": unasked}
        if unasked
        else _("nothing was done that was not agreed")
    )
    return semicolons((words % {"treated": treated, "every": every}, rest))


def _grades(material: Material) -> str:
    return "\n".join(f"{block.number} · {_grade(block)}" for block in material.blocks)


def _grade(block: WorkBlock) -> str:
    """The grade alone, unless it would say more than what was done."""
    return block.grade if block.undoing.startswith(capfirst(block.grade)) else block.undoing
