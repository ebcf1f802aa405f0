"""Faults drawn from the table by a simulator of its own, the twenty worked ones, and forty more.

A thousand faults are drawn by ``manage.py measure causes``; here fewer, in the same way, so that
the suite stays quick: bounds are those of the thousand less two standard deviations of a share.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from repairs.causes.tables import plain, table_of
from repairs.gauges.causes.net import build
from repairs.gauges.causes.posterior import posterior
from tests.causes.simulator import Fault, faults

KIND = "vielle_french"
ONE, TWO, ANY = 130, 110, 150


def ranked(fault: Fault) -> tuple[list[str], dict[str, float]]:
    """Keys, the likeliest first, and the probability of each."""
    net = build(table_of(KIND), fault.case)
    found = posterior(net, complaint=True)
    order = np.argsort(-found.p)
    return [net.keys[i] for i in order], dict(zip(net.keys, found.p.tolist(), strict=True))


@cache
def drawn(count: int, causes: int, known: bool) -> list[tuple[Fault, list[str], dict[str, float]]]:
    rows = faults(dict(plain("wheel_fiddle")), count, 11, causes=causes, known=known)
    return [(fault, *ranked(fault)) for fault in rows]


def least(share: float, count: int) -> float:
    return share - 2 * math.sqrt(share * (1 - share) / count)


def test_the_true_cause_is_first_and_within_three():
    rows = [*drawn(ONE, 1, True), *drawn(TWO, 2, True)]

    first = sum(keys[0] in fault.truth for fault, keys, _p in rows) / len(rows)
    three = sum(bool(fault.truth & set(keys[:3])) for fault, keys, _p in rows) / len(rows)

    assert first >= least(0.85, len(rows))
    assert three >= least(0.97, len(rows))


def test_no_exact_posterior_could_be_first_more_often():
    rows = drawn(ANY, 0, False)

    first = sum(keys[0] in fault.truth for fault, keys, _p in rows) / len(rows)
    ceiling = sum(max(p.values()) for _fault, _keys, p in rows) / len(rows)

    assert first == pytest.approx(ceiling, abs=0.07)


def test_stated_probabilities_come_true():
    rows = [*drawn(ANY, 0, False), *drawn(ONE, 1, True), *drawn(TWO, 2, True)][:ANY]
    stated = np.array([p for _fault, _keys, shares in rows for p in shares.values()])
    true = np.array([key in fault.truth for fault, _keys, shares in rows for key in shares])

    for tenth in range(10):
        here = (stated >= tenth / 10) & (stated < (tenth + 1) / 10 + (tenth == 9))
        if here.sum() >= 20:
            share, count = float(stated[here].mean()), int(here.sum())
            doubt = 3 * math.sqrt(share * (1 - share) / count)
            assert true[here].mean() == pytest.approx(share, abs=0.05 + doubt)
