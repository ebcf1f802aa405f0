"""From the database to the frozen treatment report, in the language in force."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.cases.models import Case
from repairs.findings.look_models import Examination
from repairs.instruments.part_models import Part
from repairs.language.refusal import WorkshopError
from repairs.language.text import labelled
from repairs.papers import paper_kinds
from repairs.papers.blocks.pictures import (
    finding_blocks,
    findings_of,
    pair_blocks,
    photo_block,
    photos_of,
)
from repairs.papers.blocks.readings import readings_of
from repairs.papers.blocks.treatment_document import TreatmentReport
from repairs.papers.blocks.typed import annex_blocks
from repairs.papers.carried.compile import Whole
from repairs.papers.carried.compile import whole as with_data
from repairs.papers.condition.so_far import decisions_of
from repairs.papers.needs.kind import PaperKind
from repairs.papers.needs.lacks import Facts, empty
from repairs.papers.treatment.answers import answer_rows
from repairs.papers.treatment.before import before_rows
from repairs.papers.treatment.data import changes_data, promises_data
from repairs.papers.treatment.points import Material
from repairs.papers.treatment.readings import twos_of
from repairs.papers.treatment.record import after_rows, record_rows
from repairs.papers.treatment.supplies import bag_line
from repairs.papers.treatment.weighed import weighed
from repairs.papers.treatment.work import left_out_words, work_block, works_of
from repairs.photos.models import Photo
from repairs.readings.models import Reading
from repairs.treatment.models import Intervention
from repairs.treatment.part_models import RemovedPart


def body(case: Case) -> TreatmentReport:
    """What the report of the work on the case says now."""
    return _body(_material(case))


def whole(case: Case) -> Whole:
    """The same with the data that it carries, compiled from the same rows."""
    material = _material(case)
    works, readings = material.works, material.readings
    return with_data(
        _body(material),
        case,
        readings=readings,
        findings=material.standing,
        photos=material.photos,
        changes=tuple(one for work in works for one in changes_data(work, readings)),
        promises=tuple(one for work in works for one in promises_data(work, readings)),
    )


def _body(material: Material) -> TreatmentReport:
    case = material.case
    during = [p for p in material.photos if p.phase == Photo.Phase.DURING]
    after = [p for p in material.photos if p.phase in (Photo.Phase.AFTER, Photo.Phase.RETURN)]
    front = next((p for p in after if p.view == "front"), after[0] if after else None)
    return TreatmentReport(
        case_number=case.number,
        instrument_number=case.instrument.number,
        instrument=str(case.instrument),
        owner=case.owner.name,
        cover=photo_block(front, material.findings) if front else None,
        answer=answer_rows(material),
        before=before_rows(material),
        works=material.blocks,
        pairs=material.pairs,
        during=tuple(photo_block(photo, material.findings) for photo in during),
        not_treated=material.left,
        not_done=material.not_done,
        bags=material.bags,
        record=record_rows(material),
        after=after_rows(material),
        signers=tuple(dict.fromkeys(str(work.sign_off.by) for work in material.works)),
        annex=annex_blocks(_resting_on(material)),
    )


def _resting_on(material: Material) -> Iterable[Reading]:
    """The readings on which a sign-off rests, each once, in the order of their numbers."""
    twos = [two for work in material.works for two in twos_of(work, material.readings)]
    rows = {row.pk: row for two in twos for row in (two.before, two.last) if row is not None}
    return sorted(rows.values(), key=lambda row: row.number)


def _material(case: Case) -> Material:
    """Everything that the report draws on, read in a couple of dozen queries."""
    photos, findings = photos_of(case), findings_of(case)
    blocks = finding_blocks(findings, photos)
    parts = _parts_of(case)
    readings = _readings_of(case)
    look = Examination.objects.filter(case=case).first()
    begun = works_of(case)
    works = [work for work in begun if work.is_signed]
    decisions = decisions_of(case)
    treated = {finding.pk for work in works for finding in work.findings.all()}
    removed = _removed(case)
    return Material(
        case=case,
        examination=look,
        weighed=weighed(case, look),
        hand_back=case.hand_backs.last(),
        works=tuple(works),
        blocks=tuple(work_block(work, blocks, parts, readings, decisions) for work in works),
        findings=blocks,
        left=tuple(block for pk, block in blocks.items() if pk not in treated),
        not_done=tuple(_not_done(case, begun)),
        parts=tuple(parts.values()),
        removed=tuple(removed),
        bags=tuple(bag_line(piece, parts) for piece in removed),
        photos=tuple(photos),
        pairs=pair_blocks(photos, blocks),
        readings=tuple(readings),
        standing=tuple(findings),
    )


def _removed(case: Case) -> list[RemovedPart]:
    """The pieces taken off, each with its photo; they know their case already."""
    removed = list(case.removed_parts.select_related("photo", "removed_by"))
    for piece in removed:
        piece.case = case
    return removed


def _parts_of(case: Case) -> dict[int, Part]:
    parts = {part.pk: part for part in case.instrument.parts.all()}
    for part in parts.values():
        part.instrument = case.instrument
    return parts


def _readings_of(case: Case) -> list[Reading]:
    return sorted(readings_of(case), key=lambda row: (row.taken_at, row.number))


def _not_done(case: Case, begun: Iterable[Intervention]) -> Iterable[str]:
    """Agreed work that was given up or never begun, work not signed off, steps left out."""
    works = list(begun)
    started = {work.agreed_id for work in works}
    for agreed in case.agreed_works.filter(superseded_at=None).select_related("version"):
        if agreed.dropped_at is not None:
            yield _("given up: %(work)s") % {"work": labelled(agreed, agreed.dropped_because)}
        elif agreed.pk not in started:
            yield _("agreed, not begun: %(work)s") % {"work": agreed}
    for work in works:
        if not work.is_signed:
            yield _("begun, not signed off: %(work)s") % {"work": work.agreed}
            continue
        yield from left_out_words(work, with_reason=True)


def contents(report: TreatmentReport) -> list[str]:
    """What will be printed, in a few lines for the screen."""
    works = ngettext(
        "%(count)s piece of work, signed off",
        "%(count)s pieces of work, signed off",
        len(report.works),
    )
    pairs = ngettext(
        "%(count)s pair of photos before and after",
        "%(count)s pairs of photos before and after",
        len(report.pairs),
    )
    bags = ngettext("%(count)s removed part", "%(count)s removed parts", len(report.bags))
    left = ngettext(
        "%(count)s finding left as it is",
        "%(count)s findings left as they are",
        len(report.not_treated),
    )
    return [
        works % {"count": len(report.works)},
        pairs % {"count": len(report.pairs)},
        bags % {"count": len(report.bags)},
        left % {"count": len(report.not_treated)},
    ]


def gaps(report: TreatmentReport) -> list[str]:
    """What the report will say that it does not have."""
    found = [line[:1].upper() + line[1:] for line in report.not_done]
    if not report.pairs:
        found.append(_("No photo shows the same thing before and after."))
    if not any(work.readings for work in report.works):
        found.append(_("No reading belongs to the work."))
    return found


def lack(facts: Facts) -> WorkshopError | None:
    """The refusal while no work is signed off."""
    if facts.is_worked:
        return None
    why = _("no work on it is signed off. Sign off a piece of work first.")
    return empty(facts, TREATMENT_REPORT.name, why)


TREATMENT_REPORT = PaperKind(
    key=paper_kinds.TREATMENT_REPORT,
    purpose=gettext_lazy("What was done about each finding, with what, by whom, and its proof."),
    template="papers/treatment/treatment_report.html",
    body=body,
    whole=whole,
    contents=contents,
    gaps=gaps,
    lack=lack,
    deed="issue",
    shows_tags=True,
)
