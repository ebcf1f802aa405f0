"""Findings and photos as papers show them: blocks that bear the same numbers, and their pairs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from django.utils.text import capfirst

from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.instruments.scales import scale_label
from repairs.language.dates import day_words
from repairs.language.text import semicolons
from repairs.papers.blocks.document import FindingBlock, PhotoBlock
from repairs.papers.blocks.treatment_document import PairBlock
from repairs.photos.models import PRINT_PX, Photo
from repairs.photos.overlay import Mark
from repairs.photos.pairs import Pair, pair_of, view_pairs
from repairs.photos.seen import seen_words
from repairs.readings.measured import measured_numbers

Blocks = Mapping[int, FindingBlock]


def photos_of(case: Case) -> list[Photo]:
    """The ready photos with their tags and what those are bound to."""
    every = case.photos.ready().select_related("sent_by")
    photos = list(every.prefetch_related("tags__finding_link"))
    for photo in photos:
        photo.case = case
    return photos


def findings_of(case: Case) -> list[Finding]:
    """The findings that stand, each with its part and that part's instrument at hand."""
    findings = list(case.findings.filter(withdrawn_at=None).select_related("part"))
    for finding in findings:
        finding.part.instrument = case.instrument
    return findings


def bound_findings(photo: Photo) -> list[int]:
    """Ids of the findings that the photo's present tags are bound to."""
    present = [tag for tag in photo.tags.all() if tag.withdrawn_at is None]
    return [tag.finding_link.finding_id for tag in present if hasattr(tag, "finding_link")]


def unbound_tags(case: Case) -> int:
    """How many tags are still drafts; they are listed before a paper is issued."""
    present = [tag for photo in photos_of(case) for tag in photo.tags.all()]
    return sum(
        1 for tag in present if tag.withdrawn_at is None and not hasattr(tag, "finding_link")
    )


def photo_numbers(photos: Iterable[Photo]) -> Mapping[int, list[int]]:
    """Numbers of the photos on which each finding is tagged, by the finding's id."""
    numbers: defaultdict[int, list[int]] = defaultdict(list)
    for photo in photos:
        for finding in bound_findings(photo):
            if photo.number not in numbers[finding]:
                numbers[finding].append(photo.number)
    return numbers


def finding_blocks(findings: Iterable[Finding], photos: Sequence[Photo]) -> dict[int, FindingBlock]:
    """Each finding as a paper shows it, by its id."""
    rows = list(findings)
    numbers = photo_numbers(photos)
    measured = measured_numbers(one.pk for one in rows)
    return {
        one.pk: _finding_block(one, numbers.get(one.pk, []), measured.get(one.pk, ()))
        for one in rows
    }


def _finding_block(
    finding: Finding, photos: Iterable[int], readings: Iterable[int]
) -> FindingBlock:
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
        photos=tuple(photos),
        readings=tuple(readings),
    )


def photo_block(photo: Photo, blocks: Blocks) -> PhotoBlock:
    """The photo with its marks, and the findings that face it."""
    original = photo.original
    if original is None:
        raise ValueError("a ready photo has an original")
    facing = dict.fromkeys(f for f in bound_findings(photo) if f in blocks)
    width, height = original.size_px(PRINT_PX)
    return PhotoBlock(
        number=photo.number,
        picture=original.derivative(PRINT_PX),
        width=width,
        height=height,
        caption=photo.words,
        alt=seen_words(photo),
        phase=str(photo.get_phase_display()),
        taken_at=day_words(original.taken_at),
        sha256=original.sha256,
        marks=_marks(photo, blocks),
        findings=tuple(sorted((blocks[f] for f in facing), key=lambda b: b.number)),
        view=photo.view,
    )


def _marks(photo: Photo, blocks: Blocks) -> tuple[Mark, ...]:
    return tuple(
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


def pair_blocks(photos: Sequence[Photo], blocks: Blocks) -> tuple[PairBlock, ...]:
    """Photos before and after of the same finding, then of the same view, each two once."""
    shown: dict[tuple[int, int], tuple[Pair, list[str]]] = {}
    tagged = _photos_by_finding(photos)
    for pk, block in blocks.items():
        pair = pair_of(tagged[pk])
        if pair is not None:
            _add(shown, pair, f"{block.number} · {block.name}{_views_apart(pair)}")
    for pair in view_pairs(photos):
        _add(shown, pair, pair.before.view_label)
    return tuple(
        PairBlock(
            of=str(capfirst(semicolons(names))),
            before=photo_block(pair.before, blocks),
            after=photo_block(pair.after, blocks),
        )
        for pair, names in shown.values()
    )


def _photos_by_finding(photos: Iterable[Photo]) -> Mapping[int, list[Photo]]:
    """Each finding's photos, looked up once: hundreds of photos bear more than 1,000 tags."""
    tagged: defaultdict[int, list[Photo]] = defaultdict(list)
    for photo in photos:
        for finding in dict.fromkeys(bound_findings(photo)):
            tagged[finding].append(photo)
    return tagged


def _views_apart(pair: Pair) -> str:
    """The two views, where they differ: the photos show the same thing, not from the same side."""
    views = [pair.before.view_label, pair.after.view_label]
    return "" if pair.is_same_view or not all(views) else f" ({' – '.join(views)})"


def _add(shown: dict[tuple[int, int], tuple[Pair, list[str]]], pair: Pair, name: str) -> None:
    key = pair.before.number, pair.after.number
    shown.setdefault(key, (pair, []))[1].append(name)
