"""Causes of a case: its newest readings, its findings, and what is told. A luthier decides."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from repairs.cases.models import Case
from repairs.causes.tables import label_of, row_of, table_of
from repairs.causes.words import (
    contradiction_words,
    heard_words,
    look_name,
    moved_words,
    per_cent,
    practice_words,
    reason_words,
    said,
)
from repairs.gauges.causes.counts import NO_PRACTICE, Practice
from repairs.gauges.causes.evidence import Read
from repairs.gauges.causes.look import Look
from repairs.gauges.causes.net import Past
from repairs.gauges.causes.search import Answer, Asked, Found, case_of, search
from repairs.language.text import in_language
from repairs.readings.models import Result
from repairs.readings.parse import parse
from repairs.readings.sheets.catalogue import sheet_of

SHOWN = 0.05  # causes at least so likely stand in full; the others in one fold
MOST_SHOWN = 8
REPEATED = ("wheel", "correction")  # two readings in a row tell what does not hold still
RIGHT_BEFORE = dt.timedelta(hours=1)


@dataclass(frozen=True)
class Told:
    """What is told of a case on the page: symptoms heard and denied, words of its history, checks
    of causes with what they found, causes put out of the way with what stayed."""

    heard: frozenset[str] = frozenset()
    denied: frozenset[str] = frozenset()
    past: tuple[Past, ...] = ()
    looked: Mapping[str, bool] = field(default_factory=dict)
    undone: Mapping[str, Mapping[str, bool]] = field(default_factory=dict)


@dataclass(frozen=True)
class Likely:
    """One cause as people read it."""

    key: str
    label: str
    probability: float
    words: str
    share: str
    practice: str
    heard_here: tuple[str, ...]
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    no_reading: str
    check: str
    remedy: str
    caution: str
    irreversible: bool
    minutes: int

    @property
    def share_pct(self) -> int:
        """The probability in whole per cent, for the bar beside it."""
        return round(100 * self.probability)


@dataclass(frozen=True)
class NextLook:
    """A look as people read it: ``gauge`` of a sheet of readings, ``cause`` of a check, ``symptom``
    that is asked for, ``again``: symptoms that are heard again."""

    name: str
    about: str
    moves: str
    minutes: int
    bits: float
    gauge: str
    cause: str
    symptom: str
    again: tuple[Again, ...]


@dataclass(frozen=True)
class Again:
    """A symptom that is heard again with a cause put out of the way: the name of its answers, and
    whether it stays where that is known."""

    key: str
    label: str
    stays: bool | None = None


@dataclass(frozen=True)
class Undone:
    """A cause that was put out of the way, as people read it."""

    label: str
    again: tuple[Again, ...]


@dataclass(frozen=True)
class Looked:
    """A check that was made, as people read it."""

    key: str
    label: str
    is_so: bool


@dataclass(frozen=True)
class Diagnosis:
    """All that the page shows."""

    likely: tuple[Likely, ...]
    others: tuple[Likely, ...]
    looks: tuple[NextLook, ...]
    contradictions: tuple[str, ...]
    looked: tuple[Looked, ...]
    undone: tuple[Undone, ...]
    left_out: str
    counted: int
    has_evidence: bool


def diagnose(case: Case, told: Told, practice: Practice = NO_PRACTICE) -> Diagnosis:
    """The causes of a case, the likeliest first, and what to look at next; ``practice`` is what
    closed cases say."""
    kind = case.instrument.kind
    asked = Asked(told.heard, told.denied, terms_of(case), told.past, told.looked, told.undone)
    reads = list(reads_of(case))
    return _shown(kind, search(table_of(kind), asked, reads, practice))


def symptoms_of(case: Case, told: Told) -> tuple[frozenset[str], frozenset[str]]:
    """Symptoms heard and denied, those with them that a card of the case notes by itself."""
    known = case_of(Asked(told.heard, told.denied), reads_of(case))
    return known.heard, known.denied


def reads_of(case: Case) -> Iterator[Read]:
    """The newest reading of each gauge and subject, with the one taken right before it."""
    newest, before = _newest(case)
    for result in newest:
        earlier = before.get(result.pk)
        again = None if earlier is None else _read(earlier)
        yield replace(_read(result), again=again)


def _read(result: Result) -> Read:
    """A reading as it was given, and what the gauge said."""
    reading = result.reading
    sheet = sheet_of(reading.gauge)
    parsed = parse(sheet, reading.raw)
    given = {} if parsed.problems else sheet.to_input(parsed.values, parsed.rows)
    return Read(reading.gauge, given, result.output)


def _newest(case: Case) -> tuple[list[Result], dict[int, Result]]:
    """The newest result of each gauge and subject; and which was taken right before which.

    A new instrument is read in many rounds; only the last word on each thing is fetched whole. What
    was not permitted has no result, claims nothing, and takes no earlier reading's place.
    """
    rows = case.readings.present().exclude(results=None).order_by("number", "results__pk")
    last: dict[tuple[str, str], tuple[int, int, dt.datetime]] = {}
    before: dict[int, int] = {}
    names = ("gauge", "subject", "pk", "results__pk", "taken_at")
    for gauge, subject, reading, result, at in rows.values_list(*names):
        known = last.get((gauge, subject))
        if gauge in REPEATED and known and known[0] != reading and at - known[2] <= RIGHT_BEFORE:
            before[result] = known[1]
        last[gauge, subject] = (reading, result, at)
    newest = {result for _reading, result, _at in last.values()}
    wanted = newest | {before[one] for one in newest if one in before}
    rows_of = Result.objects.filter(pk__in=wanted).order_by("reading__number")
    found = {one.pk: one for one in rows_of.select_related("reading")}
    again = {one: found[before[one]] for one in newest if one in before}
    return [one for one in found.values() if one.pk in newest], again


def terms_of(case: Case) -> frozenset[str]:
    """What the findings of the case say, as “term” and “term@part”."""
    found: set[str] = set()
    for term, part in case.findings.present().values_list("term", "part__key"):
        found |= {term, f"{term}@{part}"}
    return frozenset(found)


def _shown(kind: str, answer: Answer) -> Diagnosis:
    known = answer.case
    told = (known.heard, known.values, known.findings, known.past, known.looked)
    has_evidence = any(bool(one) for one in told)
    causes = [_likely(kind, one) for one in answer.causes]
    likely = [one for one in causes if one.probability >= SHOWN and has_evidence][:MOST_SHOWN]
    others = [one for one in causes if one not in likely and one.probability >= 0.01]
    return Diagnosis(
        tuple(likely),
        tuple(others) if has_evidence else (),
        tuple(_look(kind, one) for one in answer.looks) if has_evidence else (),
        tuple(contradiction_words(kind, one) for one in answer.contradictions),
        tuple(
            Looked(key, label_of(kind, "causes", key), is_so) for key, is_so in known.looked.items()
        ),
        tuple(
            Undone(label_of(kind, "causes", key), again_of(kind, key, answers))
            for key, answers in known.undone.items()
        ),
        per_cent(answer.left_out),
        answer.counted,
        has_evidence,
    )


def _likely(kind: str, one: Found) -> Likely:
    row = row_of(kind, "causes", one.key)
    return Likely(
        one.key,
        in_language(row["label"]),
        one.probability,
        said(one.probability),
        per_cent(one.probability),
        practice_words(one),
        tuple(heard_words(kind, one)),
        tuple(reason_words(kind, reason) for reason in one.speaks_for),
        tuple(reason_words(kind, reason) for reason in one.speaks_against),
        in_language(row.get("no_reading")),
        in_language(row["check"]),
        in_language(row["remedy"]),
        in_language(row["caution"]),
        row["irreversible"],
        round(row["minutes"]),
    )


def _look(kind: str, look: Look) -> NextLook:
    return NextLook(
        look_name(kind, look),
        label_of(kind, "causes", look.key) if look.kind in ("check", "undo") else "",
        moved_words(kind, look),
        round(look.minutes),
        look.bits,
        look.key if look.kind == "reading" else "",
        look.key if look.kind == "check" else "",
        look.key if look.kind == "symptom" else "",
        again_of(kind, look.key, dict.fromkeys(look.hears)),
    )


def again_of(kind: str, cause: str, answers: Mapping[str, bool | None]) -> tuple[Again, ...]:
    """Symptoms that are heard again, each with the name that its answers have on the page."""
    return tuple(
        Again(f"{cause}:{symptom}", label_of(kind, "symptoms", symptom), stays)
        for symptom, stays in answers.items()
    )
