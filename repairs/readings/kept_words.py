"""Promised beside reached, in words: of each line of the reading before what this one says."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from repairs.readings.models import Reading
from repairs.readings.promises import Promise, expected_of, judged, promises
from repairs.readings.sheets.cards import YES_NO
from repairs.readings.sheets.common import SIGNS
from repairs.readings.show import FigureRow, digits, figure_rows, unit_words

FOOT, DOG = "foot_full", "dog_card"
FOOT_CODES = ("try.scrape_foot", "try.scrape_toe", "try.scrape_heel", "try.scrape_side")


@dataclass(frozen=True)
class Kept:
    """A promise beside what the next reading found, as values of the figure.

    ``word``: ``inside`` as promised, ``outside`` otherwise, ``not_judged`` where an uncertainty is
    not known. ``short`` is what lacks of the change that was promised; less than 0, it went too
    far.
    """

    figure: FigureRow
    promise: Promise
    promised: float
    reached: float
    word: str
    short: float


def kept(before: Reading, after: Reading) -> Iterator[Kept]:
    """Each promise of the reading before of which the reading after can tell."""
    if before.latest is None or after.latest is None:
        return
    old = {row.key: row for row in figure_rows(before)}
    new = {row.key: row for row in figure_rows(after)}
    for promise in promises(before.latest):
        was, now = old.get(promise.figure), new.get(promise.figure)
        if was is not None and now is not None:
            yield _kept(promise, was, now)


def _kept(promise: Promise, was: FigureRow, now: FigureRow) -> Kept:
    expected, u = expected_of(promise, None)
    got = now.raw - was.raw
    # Two readings, two uncertainties, independent (JCGM 100:2008, 5.1.2).
    us = [one for one in (was.raw_u, now.raw_u) if one is not None]
    got_u = math.hypot(*us) if len(us) == 2 else None
    word, short = judged(expected, u, got, got_u, to_limit=promise.to_limit)
    return Kept(now, promise, was.raw + expected, now.raw, word, short)


@dataclass(frozen=True)
class KeptLine:
    """One promise: of which figure, what was promised, what was reached, and whether it holds."""

    label: str
    promised: str
    reached: str
    sign: str
    word: str
    word_label: str


def promise_lines(before: Reading, after: Reading) -> list[KeptLine]:
    """What the reading before promised, beside what this one found; the foot of a dog by eye."""
    return [*(_line(one) for one in kept(before, after)), *foot_lines(before, after)]


def _line(one: Kept) -> KeptLine:
    row = one.figure
    if one.promise.to_limit:
        promised = row.limit
    else:
        u = one.promise.u if one.promise.u is not None else None
        promised = _with_u(digits(one.promised, row.digits), digits(u, row.digits), row.unit)
    reached = _with_u(digits(one.reached, row.digits), row.u, row.unit)
    return KeptLine(row.label, promised, reached, SIGNS[one.word], one.word, _said(one))


def _with_u(value: str, u: str, unit: str) -> str:
    words = f"{value} ± {u}" if u else value
    return f"{words}\u00a0{unit_words(unit)}" if unit else words


def _said(one: Kept) -> str:
    if one.word == "not_judged":
        return _("not judged")
    if one.word == "inside":
        return _("as promised")
    row = one.figure
    far = _with_u(digits(abs(one.short), row.digits), "", row.unit)
    words = _("short by %(far)s") if one.short > 0 else _("too far by %(far)s")
    return words % {"far": far}


def foot_lines(before: Reading, after: Reading) -> list[KeptLine]:
    """A dog whose foot was to be scraped stands full now, or it does not: nobody measures it."""
    was, now = before.latest, after.raw.get("fields", {}).get(FOOT, "")
    if before.gauge != DOG or was is None or now not in dict(YES_NO):
        return []
    if not any(row.code in FOOT_CODES for row in was.prescriptions.all()):
        return []
    word = "inside" if now == "yes" else "outside"
    return [
        KeptLine(
            _("its foot stands full on the plate"),
            _("yes"),
            str(dict(YES_NO)[now]),
            SIGNS[word],
            word,
            _("as promised") if now == "yes" else _("not yet"),
        )
    ]
