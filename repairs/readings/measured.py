"""A finding that says “not measured yet” beside a reading of the same survey is asked about."""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.language.text import folded
from repairs.people.models import User
from repairs.readings.measured_models import Measured
from repairs.readings.models import Reading
from repairs.storage.fixtures import read_fixture

# As people write it, without accents and marks; both languages, for a note may be in either.
UNMEASURED = re.compile(
    r"\b(not (yet )?(been )?measured|unmeasured|(still )?to be measured"
    r"|(non|pas|jamais)( encore)?( ete)? mesuree?s?|reste(nt)? a mesurer|a mesurer)\b"
)
# What was read while it was looked over, or on a later visit; what work changed is another story.
OF_THE_SURVEY = (Reading.Phase.BEFORE, Reading.Phase.FOLLOW_UP)


@dataclass(frozen=True)
class Question:
    """A finding whose words say that it is not measured, and the readings that may have done so."""

    finding: Finding
    readings: tuple[Reading, ...]


@cache
def measured_by() -> Sequence[Mapping[str, Any]]:
    """Which gauges measure which parts, and which terms wherever they are seen; read once."""
    rows: Sequence[Mapping[str, Any]] = read_fixture("measured_by.json")
    return rows


def says_unmeasured(finding: Finding) -> bool:
    """Whether its own words say that nobody measured it yet."""
    return UNMEASURED.search(folded(f"{finding.note} {finding.location}")) is not None


def gauges_for(finding: Finding) -> set[str]:
    """The gauges that measure such a thing on such a part."""
    key, term = finding.part.key, finding.term
    fitting = (row for row in measured_by() if key in row["parts"] or term in row["terms"])
    return {gauge for row in fitting for gauge in row["readings"]}


def questions(case: Case, findings: Iterable[Finding] | None = None) -> list[Question]:
    """What is to be asked of the case; a finding that somebody answered for is asked no more.

    Where the answer was that none of them did, it is asked again once there is a newer reading.
    ``findings`` are those that stand, where they are at hand.
    """
    rows = case.findings.present() if findings is None else findings
    unsaid = [one for one in rows if says_unmeasured(one)]
    if not unsaid:
        return []
    readings = list(
        case.readings.present().filter(phase__in=OF_THE_SURVEY, not_permitted="").defer("raw")
    )
    answers = _answers(unsaid)
    found = ((one, _open(one, readings, answers.get(one.pk, ()))) for one in unsaid)
    return [Question(finding, rows) for finding, rows in found if rows]


def _answers(findings: Iterable[Finding]) -> Mapping[int, list[Measured]]:
    answers: defaultdict[int, list[Measured]] = defaultdict(list)
    for answer in Measured.objects.standing().filter(finding__in=[one.pk for one in findings]):
        answers[answer.finding_id].append(answer)
    return answers


def _open(
    finding: Finding, readings: Iterable[Reading], answers: Sequence[Measured]
) -> tuple[Reading, ...]:
    """The readings that may have measured it and that nobody has judged yet."""
    if any(answer.reading_id for answer in answers):
        return ()
    last = max((answer.said_at for answer in answers), default=None)
    gauges = gauges_for(finding)
    fitting = (row for row in readings if row.gauge in gauges)
    return tuple(row for row in fitting if last is None or row.saved_at > last)


def answered(case: Case) -> list[Measured]:
    """The answers that stand, each with its finding and its reading."""
    rows = Measured.objects.standing().filter(finding__case=case)
    return list(rows.select_related("finding", "reading"))


def measured_numbers(findings: Iterable[int]) -> Mapping[int, tuple[int, ...]]:
    """The numbers of the readings that measured each finding, by the finding's id."""
    rows = Measured.objects.standing().filter(finding__in=list(findings), reading__isnull=False)
    numbers: defaultdict[int, list[int]] = defaultdict(list)
    for finding, number in rows.values_list("finding", "reading__number"):
        if number not in numbers[finding]:
            numbers[finding].append(number)
    return {finding: tuple(sorted(found)) for finding, found in numbers.items()}


@deed()
def say_measured(
    finding: Finding, reading: Reading | None, *, by: User, at: dt.datetime
) -> Measured:
    """Keep which reading measured the finding; None: none of those that there are."""
    locked_case(finding.case_id)
    answer = Measured.objects.create(finding=finding, reading=reading, said_by=by, said_at=at)
    verb = "finding.measured" if reading else "finding.still_to_measure"
    number = reading.number if reading else 0
    record(by, verb, finding.case, at=at, finding=finding.number, reading=number)
    return answer


@deed()
def take_back(finding: Finding, *, by: User, at: dt.datetime) -> None:
    """Let the question stand open again; the answers stay kept."""
    locked_case(finding.case_id)
    Measured.objects.filter(finding=finding, taken_back_at=None).update(taken_back_at=at)
    record(by, "finding.asked_again", finding.case, at=at, finding=finding.number)
