"""Page one of a condition report: what a reader who has one minute must know.

Pure: from the body to what stands on the page. A text that is too long for it is opened there and
stands whole under its own heading; what stands whole on page one is not said again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.utils.translation import ngettext

from repairs.language.openings import opening
from repairs.language.text import semicolons
from repairs.papers.blocks.document import ConditionReport, FindingBlock, Hazard, Row

FACTS = {
    "owner_or_agent": 110,
    "entry_purpose": 60,
    "examination_date": 110,
    "playable_state": 150,
}
STATE, ACTS = "overall_grade", {"recommendations": 420, "handling": 220}
STATE_LETTERS, HAZARD_LETTERS = 260, 160
WHEN = ("urgency", "next_check")


@dataclass(frozen=True)
class FirstPage:
    """What page one says beside the pictures; every value is short enough for it."""

    facts: tuple[Row, ...]
    state: Row | None
    acts: tuple[Row, ...]
    when: tuple[Row, ...]
    hazards: tuple[tuple[str, str], ...]
    more_hazards: tuple[Hazard, ...]
    counts: str
    whole: frozenset[tuple[str, str]]


def first_page(report: ConditionReport) -> FirstPage:
    """Page one of that report; ``whole`` are key and value of what it says in full."""
    answers = {row.key: row for row in (*report.judgement, *report.answer)}
    facts = [_opened(answers[key], most) for key, most in FACTS.items() if key in answers]
    acts = [_opened(answers[key], most) for key, most in ACTS.items() if key in answers]
    state = _opened(answers[STATE], STATE_LETTERS) if STATE in answers else None
    when = [answers[key] for key in WHEN if key in answers]
    said = (*facts, *acts, *when, *([state] if state else []))
    return FirstPage(
        facts=tuple(row for row in facts if row.is_said),
        state=state,
        acts=tuple(row for row in acts if row.is_said),
        when=tuple(row for row in when if row.is_said),
        hazards=tuple((one.label, opening(one.caution, HAZARD_LETTERS)) for one in report.hazards),
        more_hazards=tuple(one for one in report.hazards if len(one.caution) > HAZARD_LETTERS),
        counts=counted(report),
        whole=frozenset((row.key, row.value) for row in (*said, *_dated(report)) if row.is_said),
    )


def _dated(report: ConditionReport) -> list[Row]:
    """The day of the examination by itself, which page one tells together with who examined."""
    return [row for row in report.examination if row.key == "examination_date"]


def _opened(row: Row, most: int) -> Row:
    return replace(row, value=opening(row.value, most))


def not_yet_said(rows: Iterable[Row], page: FirstPage) -> tuple[Row, ...]:
    """The rows but those that stand whole on page one."""
    return tuple(row for row in rows if (row.key, row.value) not in page.whole)


def counted(report: ConditionReport) -> str:
    """“16 findings (6 × major, 9 × moderate, 1 × slight); 38 parts examined, 3 not”."""
    return semicolons(part for part in (_findings(report.findings), _parts(report)) if part)


def _findings(findings: tuple[FindingBlock, ...]) -> str:
    words = ngettext("%(count)s finding", "%(count)s findings", len(findings))
    by_severity = Counter((one.severity, one.severity_label) for one in findings)
    told = ", ".join(
        f"{count} × {label}" for (_severity, label), count in sorted(by_severity.items())[::-1]
    )
    said = words % {"count": len(findings)}
    return f"{said} ({told})" if told else said


def _parts(report: ConditionReport) -> str:
    words = ngettext(
        "%(count)s part examined", "%(count)s parts examined", len(report.parts_looked_at)
    )
    said = words % {"count": len(report.parts_looked_at)}
    if not report.parts_not_examined:
        return said
    hidden = len(report.parts_not_examined)
    unseen = ngettext("%(count)s not examined", "%(count)s not examined", hidden)
    return f"{said}, {unseen % {'count': hidden}}"
