"""How suspect each cause is, given symptoms, verdicts and findings. Plain data in, plain data out.

The fault table is data (``fixtures/faults.json``). A cause starts from the weights that link it
to the chosen symptoms. Each figure that was judged multiplies it by a factor (``times`` when the
figure reads as the cause would have it, ``else_times`` when it reads otherwise), each finding
that points to it likewise. Doubtful and not judged change nothing. The factors are judgements of
the bench and the figures of one gauge are not independent: the shares are shares of suspicion,
not probabilities.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from repairs.findings.vocabulary import term_label
from repairs.language.text import in_language

Row = Mapping[str, Any]
Faults = Mapping[str, Sequence[Row]]

ABOVE, BELOW, INSIDE, OUTSIDE = "above", "below", "inside", "outside"
BEYOND = {OUTSIDE, ABOVE, BELOW}  # outside, with or without the side being known
WORDS = {
    OUTSIDE: gettext_noop("outside its limit"),
    ABOVE: gettext_noop("above its limit"),
    BELOW: gettext_noop("below its limit"),
    INSIDE: gettext_noop("inside its limit"),
}


@dataclass(frozen=True)
class Reason:
    """A sentence: which reading or finding raised or lowered a cause."""

    words: str
    raises: bool

    def __str__(self) -> str:
        return self.words


@dataclass(frozen=True)
class Deciding:
    """A figure that is not settled yet and would set a cause apart from its rival.

    ``separates`` is the mean change of the logarithm of their ratio over the outcomes, each
    taken as equally likely, for nobody has counted them. ``again``: read before, but doubtful.
    """

    gauge: str
    figure: str
    gauge_label: str
    label: str
    separates: float
    again: bool


@dataclass(frozen=True)
class Ranked:
    """One cause in the order of suspicion. ``share`` adds up to 1 over the list."""

    key: str
    label: str
    check: str
    remedy: str
    caution: str
    irreversible: bool
    share: float
    because: tuple[Reason, ...]
    deciding: tuple[Deciding, ...]

    @property
    def share_pct(self) -> int:
        """The share in steps of 5 %: it is no finer than that."""
        return 5 * round(self.share * 20)

    @property
    def readings(self) -> list[tuple[str, str, list[Deciding]]]:
        """``deciding`` under its gauges, (name, label, figures), the best gauge first."""
        found: dict[tuple[str, str], list[Deciding]] = {}
        for row in self.deciding:
            found.setdefault((row.gauge, row.gauge_label), []).append(row)
        return [(gauge, label, rows) for (gauge, label), rows in found.items()]


def rank(
    faults: Faults,
    symptoms: Sequence[str],
    evidence: Mapping[str, str],
    terms: Mapping[str, int],
) -> list[Ranked]:
    """Return the causes to check, the most suspect first.

    ``evidence`` maps “gauge.figure” to inside, outside, above, below (outside with its side
    known), doubtful or not_judged. ``terms`` counts the findings by “term” and “term@part”.
    Without a known symptom, the causes that a reading beyond its limit points to are ranked.
    """
    # Factors are multiplied as if the figures spoke independently, which those of one gauge do not:
    # the order is to be trusted, the shares only in steps of five per cent.
    weights = _weights(faults, symptoms) or _pointed_to(faults, evidence)
    rows = [row for row in faults["causes"] if row["key"] in weights]
    scores = {row["key"]: weights[row["key"]] * _factor(row, evidence, terms) for row in rows}
    rows.sort(key=lambda row: -scores[row["key"]])
    total = sum(scores.values())
    return [_ranked(faults, row, scores[row["key"]] / total, rows, evidence, terms) for row in rows]


def deciding_reading(ranked: Sequence[Ranked]) -> Deciding | None:
    """The reading that would best separate the first two causes, if any would."""
    if len(ranked) < 2 or not ranked[0].deciding:
        return None
    return ranked[0].deciding[0]


def _weights(faults: Faults, symptoms: Sequence[str]) -> dict[str, float]:
    weights: dict[str, float] = defaultdict(float)
    for link in faults["links"]:
        if link["symptom"] in symptoms:
            weights[link["cause"]] += link["weight"]
    return dict(weights)


def _pointed_to(faults: Faults, evidence: Mapping[str, str]) -> dict[str, float]:
    return {
        row["key"]: 1.0
        for row in faults["causes"]
        for entry in row["evidence"]
        if evidence.get(_key(entry)) in BEYOND and _times(entry, evidence[_key(entry)]) > 1
    }


def _key(row: Row) -> str:
    return f"{row['gauge']}.{row['figure']}"


def _is_as_expected(entry: Row, word: str) -> bool | None:
    """Does the figure read as the cause would have it? None when the word does not tell."""
    when = entry["when"]
    if word == when or (when == OUTSIDE and word in BEYOND):
        return True
    if word == INSIDE or (word in BEYOND and when == INSIDE):
        return False
    # “Outside” without its side neither confirms nor denies a cause that wants one of the two.
    return False if {word, when} == {ABOVE, BELOW} else None


def _times(entry: Row, word: str | None) -> float:
    is_so = None if word is None else _is_as_expected(entry, word)
    if is_so is None:
        return 1.0
    return float(entry["times"] if is_so else entry["else_times"])


def _seen(entry: Row, terms: Mapping[str, int]) -> bool:
    parts = entry.get("parts")
    keys = [f"{entry['term']}@{part}" for part in parts] if parts else [entry["term"]]
    return any(terms.get(key) for key in keys)


def _factor(cause: Row, evidence: Mapping[str, str], terms: Mapping[str, int]) -> float:
    read = math.prod(_times(entry, evidence.get(_key(entry))) for entry in cause["evidence"])
    seen = math.prod(float(e["times"]) for e in cause["findings"] if _seen(e, terms))
    return read * seen


def _ranked(
    faults: Faults,
    row: Row,
    share: float,
    rows: Sequence[Row],
    evidence: Mapping[str, str],
    terms: Mapping[str, int],
) -> Ranked:
    rival = next((other for other in rows if other is not row), None)
    return Ranked(
        row["key"],
        in_language(row["label"]),
        in_language(row["check"]),
        in_language(row["remedy"]),
        in_language(row["caution"]),
        row["irreversible"],
        share,
        tuple(_because(faults, row, evidence, terms)),
        tuple(_deciding(faults, row, rival, evidence)),
    )


def _because(
    faults: Faults, cause: Row, evidence: Mapping[str, str], terms: Mapping[str, int]
) -> Iterator[Reason]:
    labels = {_key(row): row["label"] for row in faults["figures"]}
    for entry in cause["evidence"]:
        word = evidence.get(_key(entry), "")
        times = _times(entry, word)
        if times != 1:
            figure = capfirst(in_language(labels[_key(entry)]))
            yield Reason(_reading_words(entry, figure, word, times > 1), times > 1)
    for entry in cause["findings"]:
        if _seen(entry, terms):
            words = _("Seen on the instrument: %(term)s.") % {"term": term_label(entry["term"])}
            yield Reason(words, True)


def _reading_words(entry: Row, figure: str, word: str, raises: bool) -> str:
    facts = {"figure": figure, "word": _(WORDS[word]), "says": in_language(entry["says"])}
    if _is_as_expected(entry, word):
        return _("%(figure)s, %(word)s: %(says)s") % facts
    if raises:
        return _("%(figure)s, %(word)s: this speaks for it.") % facts
    return _("%(figure)s, %(word)s: this speaks against it.") % facts


def _deciding(
    faults: Faults, cause: Row, rival: Row | None, evidence: Mapping[str, str]
) -> list[Deciding]:
    """The figures that would move a cause against the first of the others, the best first."""
    entries = [*cause["evidence"], *(rival["evidence"] if rival else ())]
    wanted = {_key(entry) for entry in entries}
    open_figures = [
        row
        for row in faults["figures"]
        if _key(row) in wanted
        and row.get("takeable", True)
        and evidence.get(_key(row), "doubtful") == "doubtful"
    ]
    gauges = {row["key"]: row["label"] for row in faults["gauges"]}
    found = [
        Deciding(
            row["gauge"],
            row["figure"],
            in_language(gauges[row["gauge"]]),
            in_language(row["label"]),
            _separation(faults, _key(row), cause, rival),
            _key(row) in evidence,
        )
        for row in open_figures
    ]
    return sorted((d for d in found if d.separates > 0), key=lambda d: -d.separates)


def _separation(faults: Faults, key: str, cause: Row, rival: Row | None) -> float:
    whens = {e["when"] for c in faults["causes"] for e in c["evidence"] if _key(e) == key}
    outcomes = (INSIDE, ABOVE, BELOW) if whens & {ABOVE, BELOW} else (INSIDE, OUTSIDE)
    # How often each outcome comes up nobody has counted; taken alike, none is favoured.
    changes = []
    for word in outcomes:
        known = {key: word}
        ratio = _factor(cause, known, {}) / (_factor(rival, known, {}) if rival else 1.0)
        changes.append(abs(math.log(ratio)))
    return sum(changes) / len(changes)
