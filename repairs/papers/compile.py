"""From the database to the frozen condition report, in the language of its reader."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.cases.compile import day_words, leave_words
from repairs.cases.models import Case
from repairs.errors import NothingExaminedError, ReasonForNoPhotoError
from repairs.findings.models import Examination, Finding, PartLook
from repairs.instruments.kinds import (
    material_label,
    scale_entry,
    scale_label,
)
from repairs.instruments.models import Part
from repairs.papers import units
from repairs.papers.document import (
    ConditionReport,
    FindingBlock,
    Hazard,
    PartRow,
    PhotoBlock,
    Row,
)
from repairs.papers.readings import outside_words, reading_blocks
from repairs.people.block import house_block
from repairs.photos.models import PRINT_PX, Photo
from repairs.photos.overlay import Mark
from repairs.press.document import Seal, Sheet
from repairs.press.models import Paper
from repairs.text import in_language

WORST = 3


def condition_report(
    case: Case, *, language: str, made_at: dt.datetime, seal: Seal | None = None
) -> Sheet:
    """Compile the report of a case.

    Raises NothingExaminedError when no part was looked at, and ReasonForNoPhotoError when there
    is neither a photo nor a stated reason.
    """
    with translation.override(language):
        return Sheet(
            kind=Paper.Kind.CONDITION_REPORT,
            template="papers/condition_report.html",
            subject=case.log_key,
            language=language,
            title=_("Condition report %(number)s") % {"number": case.number},
            reference=case.instrument.number,
            house=house_block(),
            made_at=made_at,
            seal=seal,
            body=_body(_Material(case)),
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
        by_id = {part.pk: part for part in self.parts}
        self.findings = list(case.findings.filter(withdrawn_at=None))
        for finding in self.findings:
            finding.part = by_id[finding.part_id]
        self.looks = {look.part_id: look for look in case.looks.all()}
        self.photos = list(case.photos.ready().prefetch_related("tags__finding_link"))
        for photo in self.photos:
            photo.case = case
        self.photo_numbers = self._photo_numbers()
        self._check()

    def _check(self) -> None:
        looked = [k for k in self.looks.values() if k.state == PartLook.State.LOOKED]
        if not looked and not self.findings:
            raise NothingExaminedError(number=self.case.number)
        reason = self.examination.no_photo_reason if self.examination else ""
        if not self.photos and not reason:
            raise ReasonForNoPhotoError(number=self.case.number)

    def _photo_numbers(self) -> Mapping[int, list[int]]:
        """Numbers of the photos on which each finding is tagged, by the finding's id."""
        numbers: defaultdict[int, list[int]] = defaultdict(list)
        for photo in self.photos:
            for finding in bound_findings(photo):
                if photo.number not in numbers[finding]:
                    numbers[finding].append(photo.number)
        return numbers


def bound_findings(photo: Photo) -> list[int]:
    """Ids of the findings that the photo's present tags are bound to."""
    present = [tag for tag in photo.tags.all() if tag.withdrawn_at is None]
    return [tag.finding_link.finding_id for tag in present if hasattr(tag, "finding_link")]


def unbound_tags(case: Case) -> int:
    """How many tags are still drafts; they are listed before a paper is issued."""
    present = [
        tag
        for photo in case.photos.ready().prefetch_related("tags__finding_link")
        for tag in photo.tags.all()
        if tag.withdrawn_at is None
    ]
    return sum(1 for tag in present if not hasattr(tag, "finding_link"))


def _body(material: _Material) -> ConditionReport:
    case, instrument, look = material.case, material.instrument, material.examination
    blocks = {f.pk: _finding_block(f, material) for f in material.findings}
    worst = sorted(blocks.values(), key=lambda b: (-b.severity, b.urgency, b.number))[:WORST]
    photos = tuple(_photo_block(photo, blocks) for photo in material.photos)
    cover = next(
        (p for p, row in zip(photos, material.photos, strict=True) if row.view == "front"),
        photos[0] if photos else None,
    )
    readings = reading_blocks(case)
    return ConditionReport(
        case_number=case.number,
        instrument_number=instrument.number,
        instrument=str(instrument),
        owner=case.owner.name,
        cover=cover,
        answer=units.answer_rows(case, look),
        worst=tuple(worst),
        outside=outside_words(readings),
        nothing_seen=not blocks,
        no_photo_reason="" if photos else getattr(look, "no_photo_reason", ""),
        owner_words=case.owner_words,
        identity=units.identity_rows(instrument),
        sizes=units.size_rows(instrument),
        label_text=instrument.label_text,
        stay=units.stay_rows(case),
        leaves=leave_words(case),
        leave_decided_by=case.leave_decided_by,
        photos=photos,
        findings=tuple(blocks.values()),
        readings=readings,
        parts=_part_rows(material),
        parts_looked_at=tuple(_names(material, PartLook.State.LOOKED)),
        parts_not_examined=_not_examined(material),
        parts_not_said=len(material.parts) - len(material.looks),
        protected=_protected(material.parts),
        examination=units.examination_rows(look),
        judgement=units.judgement_rows(look),
        hazards=_hazards(look),
        hazard_rows=units.hazard_rows(look),
        hazards_note=look.hazards_note if look else "",
        photo_set=units.photo_set_rows(instrument, material.photos),
        so_far=units.so_far_rows(),
        restrictions=instrument.restrictions,
        examiner=str(look.examiner) if look else "",
    )


def _finding_block(finding: Finding, material: _Material) -> FindingBlock:
    return FindingBlock(
        number=finding.number,
        part=finding.part.label(),
        term=finding.term_label,
        definition=finding.definition,
        location=finding.location,
        extent=finding.extent,
        severity=finding.severity,
        severity_label=scale_label("severity", finding.severity),
        stability=str(finding.get_stability_display()),
        age=str(finding.get_age_display()),
        urgency=finding.urgency_label,
        cause=finding.cause_label,
        note=finding.note,
        photos=tuple(material.photo_numbers.get(finding.pk, ())),
    )


def _photo_block(photo: Photo, blocks: Mapping[int, FindingBlock]) -> PhotoBlock:
    original = photo.original
    if original is None:
        raise ValueError("a ready photo has an original")
    marks = tuple(
        Mark(
            number=blocks[tag.finding_link.finding_id].number,
            shape=tag.shape,
            points=tuple((x, y) for x, y in tag.points),
        )
        for tag in photo.tags.all()
        if tag.withdrawn_at is None
        and hasattr(tag, "finding_link")
        and tag.finding_link.finding_id in blocks
    )
    facing = dict.fromkeys(f for f in bound_findings(photo) if f in blocks)
    width, height = original.size_px(PRINT_PX)
    return PhotoBlock(
        number=photo.number,
        picture=original.derivative(PRINT_PX),
        width=width,
        height=height,
        caption=photo.words,
        alt=photo.alt,
        phase=str(photo.get_phase_display()),
        taken_at=day_words(original.taken_at),
        sha256=original.sha256,
        marks=marks,
        findings=tuple(sorted((blocks[f] for f in facing), key=lambda b: b.number)),
    )


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
            )
        )
    return tuple(rows)


def _protection_words(part: Part) -> str:
    if part.protection:
        return _("listed: see below")
    return _("not listed") if part.material else _("not known")


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


def _protected(parts: list[Part]) -> tuple[tuple[str, str, str], ...]:
    """Parts of protected material: part, material, what the rules say of it."""
    return tuple(
        (part.label(), material_label(part.material), in_language(part.protection["note"]))
        for part in parts
        if part.protection
    )


def _hazards(look: Examination | None) -> tuple[Hazard, ...]:
    rows = []
    for key in look.hazards if look else []:
        entry = scale_entry("hazards", key)
        if entry:
            rows.append(
                Hazard(
                    key=str(key),
                    label=in_language(entry["label"]),
                    caution=in_language(entry.get("caution")),
                )
            )
    return tuple(rows)


def counts_words(report: ConditionReport) -> str:
    """How many findings and photos the report has, in a sentence for the screen."""
    findings = ngettext("%(count)s finding", "%(count)s findings", len(report.findings)) % {
        "count": len(report.findings)
    }
    photos = ngettext("%(count)s photo", "%(count)s photos", len(report.photos)) % {
        "count": len(report.photos)
    }
    return f"{findings}, {photos}"


__all__ = ["Row", "bound_findings", "condition_report", "counts_words", "unbound_tags"]
