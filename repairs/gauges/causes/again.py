"""What was heard, and heard again with one cause put out of the way for a moment (a fitting held,
the cover off, two turns of rosin): does it stay, or is it gone?

It is gone when that cause alone makes it. So P(heard, answers | causes S) adds up, over which of
the causes put away makes it alone or whether none does, P of the answers then: a sum of silences,
since P(c alone) = P(silent without c) − P(silent). Source: the noisy-OR itself, by its definition;
how often an answer is wrong is common practice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, np

MISHEARD = 0.05  # how often “gone” or “stays” is said wrongly; common practice
Undone = Mapping[str, Mapping[str, bool]]


@dataclass(frozen=True)
class Heard:
    """H symptoms that are heard, as J columns: the first H with all causes, then one for each
    symptom and cause put away, without that cause.

    ``silent`` (C, J) is the logarithm of 1 − p, ``log_open`` that nothing unlisted makes it. P of
    a symptom and of what was heard again is ``stay`` (H) plus the silences times ``mix`` (J, H);
    ``most`` (C, H) bounds by how much a cause can multiply it, ``best`` (H) how large it can be
    (logarithms).
    """

    symptoms: tuple[str, ...]
    silent: Floats
    log_open: float
    stay: Floats
    mix: Floats
    most: Floats
    best: Floats

    @property
    def nothing(self) -> Floats:
        """Of no cause yet: the logarithm of 1 − p, column by column."""
        return np.zeros(self.silent.shape[1])

    def p(self, quiet: Floats) -> Floats:
        """P of each symptom, with all answers, by its columns’ silence (…, J)."""
        silent = np.exp(self.log_open + quiet)
        if len(self.symptoms) == silent.shape[-1]:
            return 1.0 - silent
        sum_of: Floats = np.maximum(self.stay + silent @ self.mix, 1e-300)
        return sum_of

    def log_p(self, quiet: Floats) -> Floats:
        """Logarithm of P of all symptoms and answers together."""
        total: Floats = np.log(self.p(quiet)).sum(axis=-1)
        return total


def heard_again(
    keys: Sequence[str], symptoms: Sequence[str], silent: Floats, leak: float, undone: Undone
) -> Heard:
    """Put together what is heard (``silent``: causes by symptoms) and heard again."""
    count = len(symptoms)
    away = [
        (column, keys.index(cause), answers[symptom])
        for column, symptom in enumerate(symptoms)
        for cause, answers in undone.items()
        if symptom in answers and cause in keys
    ]
    columns, mix = [silent], np.zeros((count + len(away), count))
    stay, least, most = np.ones(count), np.ones(count), np.ones(silent.shape)
    for column, _cause, stays in away:
        stay[column] *= answer_p(stays, truly=True)
    for place, (column, cause, stays) in enumerate(away, count):
        alone = stay[column] * answer_p(stays, truly=False) / answer_p(stays, truly=True)
        mix[place, column] = alone - stay[column]
        least[column] = min(least[column], alone / stay[column])
        most[cause, column] = max(1.0, alone / stay[column])
        without = silent[:, [column]].copy()
        without[cause] = 0.0
        columns.append(without)
    mix[np.arange(count), np.arange(count)] = -stay - mix.sum(axis=0)
    p, best = -np.expm1(silent), np.log(stay * most.max(axis=0, initial=1.0))
    gain = np.log(1.0 - p + p * most / (least * leak))
    return Heard(tuple(symptoms), np.hstack(columns), math.log1p(-leak), stay, mix, gain, best)


def answer_p(stays: bool, *, truly: bool) -> float:
    """P that it is said to stay, or to be gone, when it truly stays, or is gone."""
    return 1.0 - MISHEARD if stays is truly else MISHEARD
