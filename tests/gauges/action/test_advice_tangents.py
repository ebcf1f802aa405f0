"""What is to be changed at a tangent for a check that fails, each reckoned by hand."""

import math

import pytest

from repairs.gauges.action.advice import advise
from repairs.gauges.action.changes import Flag, Prescription
from repairs.gauges.base.verdict import K, Limit
from tests.gauges.action.rooms import check

GAP = Limit(1.0, 2.0, "mm")
PLAY = Limit(0.1, 0.3, "mm")
TOGETHER = Limit(-0.2, 0.2, "mm")


def one(*checks, flags=None):
    (made,) = advise(checks, (), flags or {})
    return made


@pytest.mark.parametrize(
    ("kind", "verb", "what", "string"),
    [
        ("clear_own", "ease", "tangent", 1),
        ("clear_other", "ease", "tangent", 2),  # the tangent that is touched stands at the other
        ("reach", "ease", "travel", 1),
        ("shank", "lower", "shank", 1),
        ("wall", "lower", "wall", 1),
        ("lid", "raise", "lid", 1),
        ("wheel_edge", "ease", "wheel_edge", 1),
    ],
)
def test_what_gives_way(kind, verb, what, string):
    made = one(check(kind, -0.2))

    assert (made.verb, made.what, made.string) == (verb, what, string)
    assert made.by_mm == pytest.approx(0.2)


def test_easing_a_tangent_away_from_its_string_changes_its_gap():
    pair = {(1, 5): Flag(1.5), (2, 5): Flag(1.5)}

    alone, with_other = one(check("clear_own", -0.2)), one(check("clear_own", -0.2), flags=pair)

    assert (alone.gap_change_mm, alone.also_other_string) == (pytest.approx(0.2), False)
    assert (with_other.gap_change_mm, with_other.also_other_string) == (pytest.approx(0.2), True)


def test_a_tangent_that_the_other_string_touches_moves_away_from_that_string():
    """Tangent 2 stands between both strings, so away from string 1 is nearer to its own."""
    second = one(check("clear_other", -0.2, string=1))
    first = one(check("clear_other", -0.2, string=2))

    assert (second.string, second.gap_change_mm) == (2, pytest.approx(-0.2))
    assert (first.string, first.gap_change_mm) == (1, pytest.approx(0.2))


@pytest.mark.parametrize(
    ("gap", "change"), [(2.6, 2.0 - K * 0.03 - 2.6), (0.5, 1.0 + K * 0.03 - 0.5)]
)
def test_a_gap_at_rest_is_brought_surely_into_its_range(gap, change):
    made = one(check("rest_gap", gap, 0.03, limit=GAP, stops=False), flags={(1, 5): Flag(gap)})

    assert (made.verb, made.what, made.turn_deg) == ("turn", "tangent", None)
    assert made.gap_change_mm == pytest.approx(change)
    assert made.by_mm == pytest.approx(abs(change))
    assert not made.also_other_string


def test_a_doubtful_habit_is_left_alone_and_a_doubtful_stop_is_not():
    flags = {(1, 5): Flag(2.02)}

    assert advise([check("rest_gap", 2.02, 0.03, limit=GAP, stops=False)], (), flags) == ()
    assert one(check("reach", 0.05, 0.1)).word == "doubtful"


def test_of_two_tangents_the_one_further_from_the_usual_gap_is_turned_to_the_other():
    flags = {(1, 5): Flag(1.4), (2, 5): Flag(2.6)}

    made = one(check("together", -1.2, 0.03, string=None, limit=TOGETHER), flags=flags)
    other = one(
        check("together", 0.9, 0.03, string=None, limit=TOGETHER),
        flags={(1, 5): Flag(2.3), (2, 5): Flag(1.4)},
    )

    assert (made.string, made.gap_change_mm) == (2, pytest.approx(-1.2))
    assert (other.string, other.gap_change_mm) == (1, pytest.approx(-0.9))


def test_a_turn_takes_the_face_back_and_carries_it_along():
    # r = 3, φ = 0: 3·cos φ′ = 3 − 0.2 gives φ′ = 21.0395°, and 3·sin φ′ = 1.07703 along.
    flags = {(1, 5): Flag(0.8, offset_mm=3.0)}
    limit = Limit(1.0, None, "mm")

    made = one(check("rest_gap", 0.8, limit=limit, stops=False), flags=flags)

    assert made.verb == "turn"
    assert made.turn_deg == pytest.approx(math.degrees(math.acos(2.8 / 3.0)))
    assert made.turn_deg == pytest.approx(21.0395, abs=1e-3)
    assert made.along_mm == pytest.approx(1.07703, abs=1e-5)


def test_a_flag_turned_the_other_way_turns_on_that_way():
    flags = {(1, 5): Flag(0.8, offset_mm=3.0, turn_deg=-20.0)}

    made = one(check("rest_gap", 0.8, limit=Limit(1.0, None, "mm"), stops=False), flags=flags)

    # cos 20° − 0.2/3 = 0.87303: φ′ = −29.19°.
    assert made.turn_deg == pytest.approx(-29.19 + 20.0, abs=0.01)
    assert made.along_mm is not None
    assert made.along_mm < 0


@pytest.mark.parametrize(
    ("gap", "limit", "offset"),
    [
        (2.6, Limit(None, 2.0, "mm"), 3.0),  # it points straight at the string: no nearer
        (0.4, Limit(2.0, None, "mm"), 3.0),  # 3·cos 60° = 1.5 is the furthest back
    ],
)
def test_a_flag_that_no_turn_brings_there_is_re_pinned(gap, limit, offset):
    flags = {(1, 5): Flag(gap, offset_mm=offset)}

    assert one(check("rest_gap", gap, limit=limit, stops=False), flags=flags).verb == "repin"


@pytest.mark.parametrize(("play", "verb", "by"), [(0.05, "ease", 0.15), (0.5, "bush", 0.3)])
def test_the_play_of_a_key_is_brought_to_the_middle_of_its_range(play, verb, by):
    made = one(check("side_play", play, 0.0, string=None, limit=PLAY, stops=False))

    assert (made.verb, made.what, made.by_mm) == (verb, "key", pytest.approx(by))


def test_of_several_changes_of_one_thing_the_greatest_stays_with_its_first_note():
    made = one(
        check("clear_other", -0.2, note=2, key=6),
        check("clear_other", -0.5, note=4, key=6),
        check("clear_other", -0.3, note=5, key=6),
    )

    assert (made.by_mm, made.note, made.word) == (pytest.approx(0.5), 2, "outside")


def test_what_fails_comes_before_what_may_fail_and_the_lowest_note_first():
    made = advise(
        [
            check("reach", 0.05, 0.1, note=1, key=1),
            check("reach", -0.5, note=9, key=9),
            check("reach", -0.5, note=4, key=4),
        ],
        (),
        {},
    )

    assert [(p.word, p.note) for p in made] == [("outside", 4), ("outside", 9), ("doubtful", 1)]


def test_a_change_that_is_not_in_the_table_cannot_be_made():
    with pytest.raises(RuntimeError, match="bush lid is not among the changes"):
        Prescription("bush", "lid", None, None, None, 0.1, 0.0, "lid", 0, "outside")
