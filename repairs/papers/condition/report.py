"""From the database to the frozen condition report, in the language in force."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.cases.models import Case
from repairs.findings.hazards import hazards_of
from repairs.findings.look_models import Examination, PartLook
from repairs.findings.refusals import NothingExaminedError
from repairs.instruments.models import Instrument
from repairs.instruments.part_models import Part
from repairs.language.refusal import WorkshopError
from repairs.papers import paper_kinds
from repairs.papers.after import report_survey
from repairs.papers.blocks.document import (
    ConditionReport,
    FindingBlock,
    PartRow,
    PhotoBlock,
)
from repairs.papers.blocks.pictures import finding_blocks, findings_of, photo_block, photos_of
from repairs.papers.blocks.readings import blocks_of, outside_words, readings_of
from repairs.papers.blocks.typed import annex_blocks
from repairs.papers.carried.compile import Whole
from repairs.papers.carried.compile import whole as with_data
from repairs.papers.condition import instrument_units, units
from repairs.papers.condition.cautions import _protection_words, hazard_cautions, protected_rows
from repairs.papers.condition.former import former_words
from repairs.papers.condition.so_far import so_far_rows
from repairs.papers.needs.kind import PaperKind
from repairs.papers.needs.lacks import Facts
from repairs.papers.needs.refusals import ReasonForNoPhotoError

WORST = 3


def body(case: Case) -> ConditionReport:
    """What the report of the case says now."""
    return _body(_Material(case))


def whole(case: Case) -> Whole:
    """The same with the data that it carries, compiled from the same rows."""
    material = _Material(case)
    return with_data(
        _body(material),
        case,
        readings=material.readings,
        findings=material.findings,
        photos=material.photos,
    )


class _Material:
    """Everything that the report draws on, read in a handful of queries."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.instrument = case.instrument
        self.examination = Examination.objects.filter(case=case).select_related("examiner").first()
        self.parts = list(self.instrument.parts.all())
        for part in self.parts:
            part.instrument = self.instrument
        self.findings = findings_of(case)
        self.looks = {look.part_id: look for look in case.looks.all()}
        self.photos = photos_of(case)
        self.readings = readings_of(case)


def _body(material: _Material) -> ConditionReport:
    case, instrument, look = material.case, material.instrument, material.examination
    blocks = finding_blocks(material.findings, material.photos)
    photos = tuple(photo_block(photo, blocks) for photo in material.photos)
    readings = blocks_of(material.readings)
    return ConditionReport(
        case_number=case.number,
        instrument_number=instrument.number,
        instrument=str(instrument),
        owner=case.owner.name,
        cover=_cover(material, photos),
        answer=units.answer_rows(case, look),
        worst=_worst(blocks.values()),
        outside=outside_words(readings),
        nothing_seen=not blocks,
        no_photo_reason="" if photos else getattr(look, "no_photo_reason", ""),
        **_identity(instrument),
        **_stay(case),
        photos=photos,
        findings=tuple(blocks.values()),
        readings=readings,
        **_parts_shown(material),
        **_judged(material),
        photo_set=instrument_units.photo_set_rows(instrument, material.photos),
        restrictions=instrument.restrictions,
        annex=annex_blocks(material.readings),
    )


def _stay(case: Case) -> dict[str, Any]:
    """Why it is here, what its owner said and allowed, and what has happened since."""
    return {
        "owner_words": case.owner_words,
        "stay": units.stay_rows(case),
        "leaves": case.leaves,
        "leave_decided_by": case.leave_decided_by,
        "so_far": so_far_rows(case),
    }


def _cover(material: _Material, photos: Sequence[PhotoBlock]) -> PhotoBlock | None:
    """The front of the instrument, or the first photo when nobody took the front."""
    for block, row in zip(photos, material.photos, strict=True):
        if row.view == "front":
            return block
    return photos[0] if photos else None


def _worst(blocks: Iterable[FindingBlock]) -> tuple[FindingBlock, ...]:
    return tuple(sorted(blocks, key=lambda b: (-b.severity, b.urgency, b.number))[:WORST])


def _identity(instrument: Instrument) -> dict[str, Any]:
    """The report's fields that tell this instrument from every other."""
    return {
        "identity": instrument_units.identity_rows(instrument),
        "sizes": instrument_units.size_rows(instrument),
        "label_text": instrument.label_text,
    }


def _parts_shown(material: _Material) -> dict[str, Any]:
    """The report's fields about the parts, looked at or not."""
    return {
        "parts": _part_rows(material),
        "parts_looked_at": tuple(_names(material, PartLook.State.LOOKED)),
        "parts_not_examined": _not_examined(material),
        "parts_not_said": len(material.parts) - len(material.looks),
        "protected": protected_rows(material.parts),
    }


def _judged(material: _Material) -> dict[str, Any]:
    """The report's fields about the whole: the judgement, and what may hurt the reader."""
    case, look = material.case, material.examination
    photographers = dict.fromkeys(str(photo.sent_by) for photo in material.photos)
    return {
        "examination": units.examination_rows(
            look,
            photographers=", ".join(photographers),
            former=former_words(case, material.findings, CONDITION_REPORT.key),
        ),
        "judgement": units.judgement_rows(look),
        "hazards": hazard_cautions(hazards_of(case, look)),
        "hazard_rows": units.hazard_rows(hazards_of(case, look)),
        "hazards_note": look.hazards_note if look else "",
        "examiner": str(look.examiner) if look else "",
    }


def _part_rows(material: _Material) -> tuple[PartRow, ...]:
    """The parts about which anything is recorded; the rest is counted, not listed."""
    seen: defaultdict[int, list[int]] = defaultdict(list)
    for finding in material.findings:
        seen[finding.part_id].append(finding.number)
    rows = []
    for part in material.parts:
        look = material.looks.get(part.pk)
        if not (look or part.material or part.pk in seen):
            continue
        rows.append(
            PartRow(
                label=part.label(),
                depth=part.depth,
                material=part.material_label,
                material_note=part.material_note,
                protection=_protection_words(part),
                originality=part.originality_label,
                state=str(look.get_state_display()) if look else _("not said"),
                findings=tuple(seen.get(part.pk, ())),
                is_plain=_is_plain(part),
            )
        )
    return tuple(rows)


def _is_plain(part: Part) -> bool:
    """Whether what it is made of is all that is to be said: nothing protected or replaced."""
    is_replaced = part.originality in (Part.Originality.OLD, Part.Originality.LATER)
    return not (part.protection or is_replaced)


def _names(material: _Material, state: str) -> Iterable[str]:
    for part in material.parts:
        look = material.looks.get(part.pk)
        if look and look.state == state:
            yield part.label()


def _not_examined(material: _Material) -> tuple[tuple[str, str], ...]:
    rows = []
    for part in material.parts:
        look = material.looks.get(part.pk)
        if look and look.state == PartLook.State.NOT_EXAMINED:
            rows.append((part.label(), look.why))
    return tuple(rows)


def contents(report: ConditionReport) -> list[str]:
    """What will be printed, in a few lines for the screen."""
    lines = [
        ngettext("%(count)s finding", "%(count)s findings", len(report.findings)),
        ngettext("%(count)s photo", "%(count)s photos", len(report.photos)),
        ngettext("%(count)s reading", "%(count)s readings", len(report.readings)),
    ]
    counts = (len(report.findings), len(report.photos), len(report.readings))
    return [line % {"count": count} for line, count in zip(lines, counts, strict=True)]


def gaps(report: ConditionReport) -> list[str]:
    """What the report will say that it does not know."""
    found = []
    if report.parts_not_said:
        found.append(
            ngettext(
                "Nothing is said of %(count)s part of the kind.",
                "Nothing is said of %(count)s parts of the kind.",
                report.parts_not_said,
            )
            % {"count": report.parts_not_said}
        )
    if not report.examiner:
        found.append(_("The general judgement is not written yet."))
    return found


def lack(facts: Facts) -> WorkshopError | None:
    """The refusal of a report with nothing to report, or no photo and no reason why."""
    if not facts.is_examined:
        return NothingExaminedError(number=facts.number)
    return None if facts.may_lack_photo else ReasonForNoPhotoError(number=facts.number)


CONDITION_REPORT = PaperKind(
    key=paper_kinds.CONDITION_REPORT,
    purpose=gettext_lazy("What was found, where and how bad, with photos and readings."),
    template="papers/condition/condition_report.html",
    body=body,
    whole=whole,
    contents=contents,
    gaps=gaps,
    lack=lack,
    deed="issue",
    also=report_survey,
    consequence=gettext_lazy("A survey is then reported."),
    shows_tags=True,
)
