"""One move a tangent: what several checks ask of it is never two rows, one on top of the other."""

from collections import Counter

import numpy as np
import pytest

from repairs.gauges.action.advice import advise
from repairs.gauges.action.changes import Flag
from repairs.gauges.base.verdict import Limit
from tests.gauges.action.boxes import STRING, box, key, run
from tests.gauges.action.rooms import check

GAP = Limit(1.0, 2.0, "mm")
TOGETHER = Limit(-0.2, 0.2, "mm")


def asked(first, second, *checks, offset=None):
    flags = {(1, 5): Flag(first, offset), (2, 5): Flag(second, offset)}
    met = check("together", first - second, string=None, limit=TOGETHER)
    return advise([*checks, met], (), flags)


def test_a_gap_and_its_fellow_are_one_turn():
    # 2.6 must come to 2.0 for its own sake and to 1.4 to meet its fellow: 1.2, not 0.6 and 1.2.
    (made,) = asked(1.4, 2.6, check("rest_gap", 2.6, string=2, limit=GAP, stops=False))

    assert (made.string, made.verb) == (2, "turn")
    assert made.gap_change_mm == pytest.approx(-1.2)


def test_a_tangent_that_swings_against_its_string_goes_back_and_its_fellow_follows():
    # Tangent 1 must stand 0.5 further off, at 1.5; tangent 2 at 2.2 then comes to it.
    first, second = asked(1.0, 2.2, check("clear_own", -0.5))

    assert (first.string, first.gap_change_mm) == (1, pytest.approx(0.5))
    assert (second.string, second.gap_change_mm) == (2, pytest.approx(-0.7))
    assert not (first.also_other_string or second.also_other_string)


def test_a_move_that_makes_both_meet_needs_no_second():
    (made,) = asked(0.9, 1.5, check("clear_own", -0.6))

    assert made.gap_change_mm == pytest.approx(0.6)


def test_what_stops_a_note_goes_before_a_habit():
    flags = {(1, 5): Flag(2.4)}
    checks = [check("rest_gap", 2.4, limit=GAP, stops=False), check("clear_own", -0.1)]

    (made,) = advise(checks, (), flags)

    assert made.because == "clear_own"
    assert made.gap_change_mm == pytest.approx(0.1)


def test_a_key_is_not_cut_further_in_for_a_gap_that_a_turn_takes_away():
    # It lacks 0.9 with a gap of 2.6; at 2.0 it lacks 0.3; what lacks 0.5 lacks nothing then.
    turned = check("rest_gap", 2.6, limit=GAP, stops=False)
    made = advise([turned, check("reach", -0.9, string=None)], (), {(1, 5): Flag(2.6)})
    freed = advise([turned, check("reach", -0.5, string=None)], (), {(1, 5): Flag(2.6)})
    other = advise([turned, check("reach", -0.9, string=None, key=6)], (), {(1, 5): Flag(2.6)})

    assert {p.because: p.by_mm for p in made} == pytest.approx({"rest_gap": 0.6, "reach": 0.3})
    assert [p.because for p in freed] == ["rest_gap"]
    assert {p.because: p.by_mm for p in other} == pytest.approx({"rest_gap": 0.6, "reach": 0.9})


def test_a_tangent_touched_on_both_sides_is_thinned():
    # 0.2 away from its own string and 0.3 nearer to it: only a back thinner by 0.5 serves both.
    away, thin = advise(
        [check("clear_own", -0.2, string=2), check("clear_other", -0.3, string=1)],
        (),
        {(1, 5): Flag(1.5), (2, 5): Flag(1.5)},
    )

    assert (away.string, thin.verb, thin.string) == (2, "thin", 2)
    assert away.gap_change_mm == pytest.approx(0.2)
    assert thin.by_mm == pytest.approx(0.5)


@pytest.mark.parametrize("seed", range(20))
def test_no_keybox_gives_one_tangent_two_moves_across_its_string(seed):
    dice = np.random.default_rng(seed)
    keys = [
        key(n, 345 * (1 - 2 ** (-n / 12)), (dice.uniform(0.2, 3), dice.uniform(0.2, 3)),
            thickness_mm=dice.uniform(1, 3), side_play_mm=dice.uniform(0, 0.6),
            offset_mm=[None, 3.0][n % 2], returns=["free", "slow", "sticks"][n % 3])
        for n in range(1, 13)
    ]  # fmt: skip
    data = {**box(keys, spacing_nut_mm=6, spacing_bridge_mm=8), "length_mm": 345}
    data["strings"] = [{**STRING, "amplitude_mm": dice.uniform(0.2, 2)}, STRING]

    made = run(data)["prescriptions"]

    across = [p for p in made if p["what"] == "tangent" and p["gap_change_mm"] is not None]
    assert max(Counter((p["key"], p["string"]) for p in across).values(), default=0) <= 1
    plays = Counter(p["key"] for p in made if p["what"] == "key")
    assert max(plays.values(), default=0) <= 1


def test_followed_to_the_letter_both_strings_are_met_together():
    """The joint move of a key is applied to the gaps that it was reckoned from."""
    dice = np.random.default_rng(7)
    for _ in range(200):
        gaps = [dice.uniform(0.3, 3.0), dice.uniform(0.3, 3.0)]
        checks = [
            check("rest_gap", gap, 0.03, string=s, limit=GAP, stops=False)
            for s, gap in enumerate(gaps, 1)
        ]
        made = asked(*gaps, *checks)
        now = dict(enumerate(gaps, 1))
        for one in made:
            now[one.string] += one.gap_change_mm
        if made:
            assert abs(now[1] - now[2]) <= 0.2 + 1e-9
