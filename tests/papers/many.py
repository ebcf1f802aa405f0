"""A case as large as a long restoration leaves it: hundreds of photos, more than 1,000 tags."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from typing import Any

from repairs.cases.models import Case
from repairs.findings.models import Finding, FindingTag
from repairs.photos.models import Original, Photo, Tag
from repairs.press.models import Paper

AT = dt.datetime(2026, 11, 21, 10, 0, tzinfo=dt.UTC)
PHASES = ("arrival", "before", "during", "after")


def photographed(case: Case, count: int, *, by: Any) -> list[Photo]:
    """Ready photos of every phase, whose files nobody reads."""
    first = case.photos.count() + 1
    numbers = range(first, first + count)
    originals = Original.objects.bulk_create(
        Original(
            sha256=f"{case.pk:032d}{number:032d}",
            file_name=f"originals/{number}.jpg",
            size_bytes=1,
            format="JPEG",
            width=400,
            height=300,
            kept_at=AT,
        )
        for number in numbers
    )
    return Photo.objects.bulk_create(
        Photo(
            case=case,
            number=number,
            original=original,
            phase=PHASES[number % len(PHASES)],
            state=Photo.State.READY,
            sent_name=f"IMG_{number}.jpg",
            sent_at=AT,
            sent_by=by,
        )
        for number, original in zip(numbers, originals, strict=True)
    )


def tagged(case: Case, photos: list[Photo], count: int, *, by: Any) -> list[Tag]:
    """Tags spread over the photos, each bound to a finding of its own."""
    part = case.instrument.parts.all()[0]
    first = (case.findings.order_by("-number").values_list("number", flat=True).first() or 0) + 1
    findings = Finding.objects.bulk_create(
        Finding(
            case=case,
            number=first + number,
            part=part,
            term="worm",
            severity=2,
            urgency=2,
            changed_at=AT,
            changed_by=by,
        )
        for number in range(count)
    )
    tags = Tag.objects.bulk_create(
        Tag(
            photo=photos[number % len(photos)],
            shape="point",
            points=[[0.5, 0.5]],
            drawn_at=AT,
            drawn_by=by,
        )
        for number in range(count)
    )
    FindingTag.objects.bulk_create(
        FindingTag(finding=finding, tag=tag) for finding, tag in zip(findings, tags, strict=True)
    )
    return tags


def issued(case: Case, count: int, *, by: Any) -> None:
    """Versions of one report, each a minute after the one that it replaces."""
    last = Paper.objects.current("condition_report", case.log_key)
    first = last.version + 1 if last else 1
    papers = Paper.objects.bulk_create(_report(case, first + one, by) for one in range(count))
    for older, newer in pairwise([*filter(None, [last]), *papers]):
        newer.replaces_id = older.pk
    Paper.objects.bulk_update(papers, ["replaces"], batch_size=500)


def _report(case: Case, version: int, by: Any) -> Paper:
    said = f"{case.pk} {version}"
    return Paper(
        kind="condition_report",
        subject=case.log_key,
        title=f"Report {version}",
        language="en",
        version=version,
        code=said,
        sha256=said,
        file_name="papers/none.pdf",
        size_bytes=1,
        pages=1,
        data={},
        renderer="none",
        issued_at=AT + dt.timedelta(minutes=version),
        issued_by=by,
    )
