"""The search for causes, plain data in and out: one case, its evidence, causes in order, next look.

The caller runs the gauges (they know no causes); here their answers become evidence.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, rows
from repairs.gauges.causes.again import Undone
from repairs.gauges.causes.counts import NO_PRACTICE, Counts, Practice, sharpened
from repairs.gauges.causes.evidence import Read, gather
from repairs.gauges.causes.look import Look, best_looks
from repairs.gauges.causes.net import DAYS, Case, Net, Past, build
from repairs.gauges.causes.posterior import Posterior, posterior
from repairs.gauges.causes.reasons import Contradiction, Reason, contradictions, reasons
from repairs.gauges.causes.table import Table

VERSION = "causes 3"
MOST_WORDS, MOST_READINGS, MOST_DAYS = 200, 60, 40_000.0


@dataclass(frozen=True)
class Asked:
    """A case as somebody tells it: symptoms heard and denied, findings, history, the checks of
    causes that were made, and causes put out of the way with what stayed of what was heard."""

    heard: frozenset[str] = frozenset()
    denied: frozenset[str] = frozenset()
    findings: frozenset[str] = frozenset()
    past: tuple[Past, ...] = ()
    looked: Mapping[str, bool] = field(default_factory=dict)
    undone: Undone = field(default_factory=dict)


@dataclass(frozen=True)
class Found:
    """One cause: its probability, the prior it started from, and what speaks for and against.

    ``prior`` is that of practice, ``sharpened`` what closed cases made of it; ``confirmed`` and
    ``heard`` are their counts.
    """

    key: str
    probability: float
    prior: float
    sharpened: float
    confirmed: Counts
    heard: Mapping[str, Counts]
    reasons: tuple[Reason, ...]

    @property
    def speaks_for(self) -> tuple[Reason, ...]:
        """What raises it, the strongest first."""
        return tuple(one for one in self.reasons if one.times > 1)

    @property
    def speaks_against(self) -> tuple[Reason, ...]:
        """What lowers it, the strongest first."""
        return tuple(one for one in self.reasons if one.times < 1)


@dataclass(frozen=True)
class Answer:
    """Causes in order, what contradicts them, the mass left out, and what to look at next."""

    causes: tuple[Found, ...]
    looks: tuple[Look, ...]
    contradictions: tuple[Contradiction, ...]
    left_out: float
    version: str = VERSION
    counted: int = 0
    case: Case = field(repr=False, default_factory=Case)


def search(
    table: Table, asked: Asked, reads: Iterable[Read], practice: Practice = NO_PRACTICE
) -> Answer:
    """Return the causes of a case in the order of their probability."""
    reads = list(reads)
    case = case_of(asked, reads)
    sharp = sharpened(table, practice)
    net = build(sharp, case)
    found = posterior(net, complaint=bool(case.heard))
    return Answer(
        _found(sharp, case, net, found, practice),
        best_looks(sharp, net, found, taken={*case.looked, *(one.gauge for one in reads)}),
        contradictions(sharp, case, net, found),
        found.left_out,
        counted=practice.cases,
        case=case,
    )


def case_of(asked: Asked, reads: Iterable[Read]) -> Case:
    """What somebody tells and what was read, as one."""
    evidence = gather(reads)
    return Case(
        heard=asked.heard | (evidence.heard - asked.denied),
        denied=asked.denied,
        values=tuple(evidence.values),
        findings=asked.findings,
        past=asked.past,
        facts=evidence.facts,
        looked=asked.looked,
        undone=asked.undone,
    )


def _found(
    table: Table, case: Case, net: Net, found: Posterior, practice: Practice
) -> tuple[Found, ...]:
    rows = [
        Found(
            one.key,
            float(p),
            plain.prior,
            one.prior,
            practice.of(one.key),
            practice.heard(one.key),
            reasons(table, one, case, net),
        )
        for one, plain, p in zip(table.causes, table.drawn.causes, found.p, strict=True)
    ]
    return tuple(sorted(rows, key=lambda row: -row.probability))


def read_asked(given: Mapping[str, Any], table: Table) -> Asked:
    """Read heard, denied, findings, history and checks out of plain data; raises
    GaugeInputError."""
    heard = _words(given, "heard", table.symptoms)
    denied = _words(given, "asked_not_heard", table.symptoms)
    if both := sorted(heard & denied):
        raise GaugeInputError(
            "contradicts", field="heard", value=both[0], other="asked_not_heard", limit=both[0]
        )
    looked, undone = _looked(given, table), _undone(given, table)
    return Asked(heard, denied, _findings(given), _history(given), looked, undone)


def _words(given: Mapping[str, Any], name: str, known: Sequence[str]) -> frozenset[str]:
    words = rows(name, given.get(name) or [], least=0, most=MOST_WORDS)
    for row, word in enumerate(words, 1):
        if not isinstance(word, str) or word not in known:
            raise GaugeInputError(
                "unknown", field=name, row=row, value=word, known=", ".join(known)
            )
    return frozenset(words)


def _findings(given: Mapping[str, Any]) -> frozenset[str]:
    found: set[str] = set()
    listed = rows("findings", given.get("findings") or [], least=0, most=MOST_WORDS)
    for row, one in enumerate(listed, 1):
        if not isinstance(one, Mapping) or absent(one, "term"):
            raise GaugeInputError("missing", field="findings.term", row=row)
        found.add(str(one["term"]))
        if not absent(one, "part"):
            found.add(f"{one['term']}@{one['part']}")
    return frozenset(found)


def _looked(given: Mapping[str, Any], table: Table) -> dict[str, bool]:
    """Checks of causes: which, and whether it was so."""
    found: dict[str, bool] = {}
    known = [one.key for one in table.causes]
    listed = rows("looked", given.get("looked") or [], least=0, most=MOST_WORDS)
    for row, one in enumerate(listed, 1):
        if not isinstance(one, Mapping):
            raise GaugeInputError("missing", field="looked.cause", row=row)
        key = choice("looked.cause", one.get("cause"), known, row=row)
        if not isinstance(one.get("found"), bool):
            raise GaugeInputError("missing", field="looked.found", row=row)
        if found.get(key, one["found"]) != one["found"]:
            raise GaugeInputError("twice", field="looked.cause", row=row, value=key)
        found[key] = one["found"]
    return found


def _undone(given: Mapping[str, Any], table: Table) -> dict[str, dict[str, bool]]:
    """Causes put out of the way, and of each symptom that was heard again whether it stays."""
    found: dict[str, dict[str, bool]] = {}
    heard = [str(one) for one in given.get("heard") or []]
    known = [one.key for one in table.causes if one.undo_minutes]
    listed = rows("undone", given.get("undone") or [], least=0, most=MOST_WORDS)
    for row, one in enumerate(listed, 1):
        if not isinstance(one, Mapping):
            raise GaugeInputError("missing", field="undone.cause", row=row)
        answers = found.setdefault(choice("undone.cause", one.get("cause"), known, row=row), {})
        symptom = choice("undone.symptom", one.get("symptom"), heard, row=row)
        if not isinstance(one.get("stays"), bool):
            raise GaugeInputError("missing", field="undone.stays", row=row)
        if answers.get(symptom, one["stays"]) != one["stays"]:
            raise GaugeInputError("twice", field="undone.symptom", row=row, value=symptom)
        answers[symptom] = one["stays"]
    return found


def _history(given: Mapping[str, Any]) -> tuple[Past, ...]:
    listed = rows("history", given.get("history") or [], least=0, most=MOST_WORDS)
    found = []
    for row, one in enumerate(listed, 1):
        if not isinstance(one, Mapping) or absent(one, "what"):
            raise GaugeInputError("missing", field="history.what", row=row)
        spans = [name for name in DAYS if not absent(one, name)]
        if len(spans) > 1:
            raise GaugeInputError("leave_one", field=", ".join(spans), row=row, value=len(spans))
        days = None
        for name in spans:
            days = DAYS[name] * between(f"history.{name}", one[name], 0.0, MOST_DAYS, row=row)
        found.append(Past(str(one["what"]), days))
    return tuple(found)
