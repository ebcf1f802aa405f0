"""Causes to check first in a case. It proposes; a luthier decides."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from typing import NamedTuple

from repairs.cases.models import Case
from repairs.causes.ranking import ABOVE, BELOW, BEYOND, INSIDE, OUTSIDE, Faults, Ranked, rank
from repairs.instruments.kinds import kind_of
from repairs.language.text import in_language
from repairs.readings.models import Result, Verdict
from repairs.storage.fixtures import read_fixture

WORST_FIRST = ("doubtful", "not_judged", INSIDE)


class Symptom(NamedTuple):
    """What may be heard, felt or seen: its label and hint in the reader’s language."""

    key: str
    label: str
    hint: str


@cache
def faults() -> Faults:
    """The whole fault table."""
    table: Faults = read_fixture("faults.json")
    return table


@cache
def faults_of(kind: str) -> Faults:
    """The part of the fault table that makes sense for a kind of instrument.

    A figure is ``takeable`` when a sheet for that kind is there to take it with.
    """
    table, pattern = faults(), kind_of(kind)
    symptoms = [row for row in table["symptoms"] if pattern.fits(row["families"])]
    keys = {row["key"] for row in symptoms}
    links = [row for row in table["links"] if row["symptom"] in keys]
    linked = {row["cause"] for row in links}
    causes = [row for row in table["causes"] if row["key"] in linked]
    gauges = {sheet.gauge for sheet in pattern.sheets}
    figures = [{**row, "takeable": row["gauge"] in gauges} for row in table["figures"]]
    return {
        **table,
        "symptoms": symptoms,
        "links": links,
        "causes": causes,
        "figures": figures,
    }


def symptom_choices(kind: str | None = None) -> list[tuple[str, list[Symptom]]]:
    """Symptoms under the names of their groups, those of a kind of instrument only."""
    table = faults() if kind is None else faults_of(kind)
    groups = []
    for group in table["groups"]:
        rows = [
            Symptom(row["key"], in_language(row["label"]), in_language(row["hint"]))
            for row in table["symptoms"]
            if row["group"] == group["key"]
        ]
        if rows:
            groups.append((in_language(group["label"]), rows))
    return groups


def diagnose(case: Case, chosen: Sequence[str]) -> list[Ranked]:
    """Rank the causes from the case's newest readings, its findings and the chosen symptoms."""
    table = faults_of(case.instrument.kind)
    return rank(table, chosen, evidence_of(case), terms_of(case))


def evidence_of(case: Case) -> dict[str, str]:
    """What the newest reading of each gauge and subject says, the worst word for each figure."""
    names = _names()
    said: dict[str, set[str]] = defaultdict(set)
    for result in _newest(case):
        gauge = result.reading.gauge
        for figure, word in [*_judged(result), *_ticked(gauge, result)]:
            key = f"{gauge}.{figure}"
            said[names.get(key, key)].add(word)
    return {key: _worst(words) for key, words in said.items()}


def _newest(case: Case) -> Iterable[Result]:
    """The newest result of each gauge and subject, without what was typed.

    A new instrument is read in many rounds; only the last word on each thing is fetched whole. What
    was not permitted has no result, claims nothing, and takes no earlier reading's place.
    """
    rows = case.readings.present().exclude(results=None).order_by("number", "results__pk")
    newest = {
        (gauge, subject): result
        for gauge, subject, result in rows.values_list("gauge", "subject", "results__pk")
    }
    kept = Result.objects.filter(pk__in=newest.values()).order_by("reading__number")
    return kept.select_related("reading").defer("reading__raw").prefetch_related("verdicts")


@cache
def _names() -> dict[str, str]:
    """Verdicts that are read under the name of another figure of the fault table."""
    return {
        name: f"{row['gauge']}.{row['figure']}"
        for row in faults()["figures"]
        for name in row.get("reads", [])
    }


def _judged(result: Result) -> Iterator[tuple[str, str]]:
    for verdict in result.verdicts.all():
        yield verdict.figure.partition(":")[0], _word_with_side(verdict)


def _ticked(gauge: str, result: Result) -> Iterator[tuple[str, str]]:
    """A card has choices in the place of figures: “grabbed” stands for above, and so on."""
    card = result.output.get("card") or {}
    for row in faults()["figures"]:
        if row["gauge"] == gauge and "words" in row:
            word = row["words"].get(str(card.get(row["figure"])).lower())
            if word is not None:
                yield row["figure"], word


def _word_with_side(verdict: Verdict) -> str:
    if verdict.word != OUTSIDE:
        return verdict.word
    if verdict.upper is not None and verdict.value > verdict.upper:
        return ABOVE
    return BELOW if verdict.lower is not None and verdict.value < verdict.lower else OUTSIDE


def _worst(words: Iterable[str]) -> str:
    """One word for the rows of a figure. Inside needs every row to be inside."""
    # One string that reads well does not excuse another that does not; and where two fail on
    # opposite sides, “outside” is all that can be said of the figure.
    found = set(words)
    beyond = found & BEYOND
    if beyond:
        return beyond.pop() if len(beyond) == 1 else OUTSIDE
    return next(word for word in WORST_FIRST if word in found)


def terms_of(case: Case) -> dict[str, int]:
    """How many findings the case has, by term and by term@part."""
    counted: Counter[str] = Counter()
    for term, part in case.findings.present().values_list("term", "part__key"):
        counted[term] += 1
        counted[f"{term}@{part}"] += 1
    return dict(counted)
