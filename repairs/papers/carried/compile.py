"""From the rows of a case to the data that its report carries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.gauges.base.verdict import VERSION as VERDICTS
from repairs.papers.blocks.pictures import photo_numbers
from repairs.papers.carried.document import (
    FindingData,
    PhotoData,
    ReportData,
    TagData,
)
from repairs.papers.carried.readings import files_of, quantity, reading_data
from repairs.papers.carried.schema import schema_enclosure
from repairs.photos.models import Photo
from repairs.press.document import Enclosure
from repairs.readings.models import Reading


@dataclass(frozen=True)
class Whole:
    """A paper as it is compiled: its words, and what it carries beside them."""

    body: Any
    carried: ReportData | None = None
    enclosures: tuple[Enclosure, ...] = ()


def whole(
    body: object,
    case: Case,
    *,
    readings: Sequence[Reading],
    findings: Sequence[Finding],
    photos: Sequence[Photo],
    **more: Any,
) -> Whole:
    """The words of a report with the data of the very rows that they were compiled from."""
    carried = ReportData(
        case=case.number,
        instrument=case.instrument.number,
        instrument_kind=case.instrument.kind,
        verdicts=VERDICTS,
        readings=tuple(reading_data(row) for row in readings),
        findings=_findings(findings, photos),
        photos=_photos(findings, photos),
        **more,
    )
    return Whole(body, carried, (schema_enclosure(), *files_of(readings)))


def _findings(findings: Sequence[Finding], photos: Sequence[Photo]) -> tuple[FindingData, ...]:
    numbers = photo_numbers(photos)
    return tuple(
        FindingData(
            number=one.number,
            part=one.part.key,
            part_label=one.part.label(),
            term=one.term,
            term_label=one.term_label,
            location=one.location,
            extent=quantity(one.extent_value, one.extent_unit),
            severity=one.severity,
            stability=one.stability,
            age=one.age,
            urgency=one.urgency,
            cause=one.cause,
            note=one.note,
            photos=tuple(numbers.get(one.pk, ())),
        )
        for one in findings
    )


def _photos(findings: Sequence[Finding], photos: Sequence[Photo]) -> tuple[PhotoData, ...]:
    numbers = {one.pk: one.number for one in findings}
    return tuple(_photo(photo, numbers) for photo in photos)


def _photo(photo: Photo, numbers: dict[int, int]) -> PhotoData:
    original = photo.original
    if original is None:
        raise ValueError("a ready photo has an original")
    return PhotoData(
        number=photo.number,
        sha256=original.sha256,
        size_bytes=original.size_bytes,
        width_px=original.width,
        height_px=original.height,
        phase=photo.phase,
        view=photo.view,
        caption=photo.caption,
        taken_at=original.taken_at,
        tags=tuple(
            TagData(
                finding=numbers[tag.finding_link.finding_id],
                shape=tag.shape,
                points=tuple((x, y) for x, y in tag.points),
            )
            for tag in photo.tags.all()
            if tag.withdrawn_at is None
            and hasattr(tag, "finding_link")
            and tag.finding_link.finding_id in numbers
        ),
    )
