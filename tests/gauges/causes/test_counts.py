"""Closed cases sharpen priors and the P of symptoms, with the weight of twenty: by hand."""

from __future__ import annotations

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.causes.counts import (
    NO_PRACTICE,
    Closed,
    Counts,
    counted,
    share,
    sharpened,
)
from repairs.gauges.causes.net import Case, build
from repairs.gauges.causes.posterior import posterior
from repairs.gauges.causes.search import Asked, search
from repairs.gauges.causes.sheet import foreseen
from repairs.gauges.causes.table import Table
from tests.gauges.causes.test_look_and_reasons import HEARD, table


def closed(*causes: str, heard: str = "", denied: str = "") -> Closed:
    return Closed(frozenset(causes), frozenset(heard.split()), frozenset(denied.split()))


def prior(known: Table, key: str) -> float:
    return known.cause(key).prior


def test_a_share_starts_as_practice_with_the_weight_of_twenty():
    assert share(0.05, None) == 0.05
    assert share(0.05, Counts(0, 0)) == pytest.approx(0.05)
    assert share(0.05, Counts(3, 10)) == pytest.approx((20 * 0.05 + 3) / 30)
    with pytest.raises(GaugeInputError, match="confirmed is 3"):
        Counts(3, 2)
    with pytest.raises(GaugeInputError, match="must not be less"):
        Counts(-1, 2)


def test_each_case_counts_for_its_causes_and_against_the_others():
    known = table()
    sharp = sharpened(known, counted(known, [closed("off"), closed("off", "hand"), closed()]))

    assert prior(sharp, "off") == pytest.approx((20 * 0.05 + 2) / 23)
    assert prior(sharp, "hand") == pytest.approx((20 * 0.05 + 1) / 23)
    assert prior(sharp, "lip") == pytest.approx(20 * 0.02 / 23)
    assert sharp.drawn is known and known.drawn is known


def test_a_symptom_counts_where_it_was_asked_and_no_other_cause_makes_it():
    known = table()
    practice = counted(
        known,
        [
            closed("off", heard="swells"),
            closed("off", denied="swells"),
            closed("off", denied="swells"),
            closed("off"),  # nobody asked
            closed("off", "hand", heard="swells"),  # whose swell it was, nobody knows
            closed("off", "lip", heard="swells ticks"),
        ],
    )
    sharp = sharpened(known, practice)

    assert practice.heard("off") == {"swells": Counts(2, 4)}
    assert practice.heard("lip") == {"ticks": Counts(1, 1)}
    assert practice.heard("hand") == {}
    assert sharp.cause("off").symptoms["swells"] == pytest.approx((20 * 0.9 + 2) / 24)
    assert sharp.cause("hand").symptoms["swells"] == 0.9


def test_counts_move_the_answer_and_each_cause_says_them():
    known = table()
    before = posterior(build(known, HEARD), complaint=True).p[0]
    practice = counted(known, [closed("off")] * 8 + [closed("lip")] * 12)

    answer = search(known, Asked(heard=frozenset({"swells"})), [], practice)

    off = next(one for one in answer.causes if one.key == "off")
    assert off.probability > before + 0.1
    assert (off.prior, off.confirmed) == (0.05, Counts(8, 20)) and answer.counted == 20
    assert off.sharpened == pytest.approx((20 * 0.05 + 8) / 40)
    lone = search(known, Asked(heard=frozenset({"swells"})), [])
    assert {(one.prior, one.sharpened) for one in lone.causes} == {(0.05, 0.05), (0.02, 0.02)}
    assert lone.counted == 0 and lone.version == answer.version


def test_the_same_counts_give_the_same_table_and_figures_are_foreseen_once():
    known = table()
    one, two = (sharpened(known, counted(known, [closed("off")])) for _ in range(2))

    assert one is two and sharpened(known, NO_PRACTICE) is known
    assert foreseen(one.drawn, "ecc") is foreseen(known, "ecc")
    assert build(one, Case()).keys == build(known, Case()).keys


def test_what_no_longer_stands_in_the_table_counts_as_a_case_of_something_else():
    known = table()
    practice = counted(known, [closed("gone")])

    assert practice.cases == 1 and practice.of("off") == Counts(0, 1)
    assert practice.of("gone") == Counts(0, 1)
