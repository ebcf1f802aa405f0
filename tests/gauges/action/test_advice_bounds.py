"""Advice just where it turns over: one end or each piece, turn or new pin, ease or bush."""

from __future__ import annotations

import math

import pytest

from repairs.gauges.action.advice import advise, shortfall_mm
from repairs.gauges.action.changes import Flag
from repairs.gauges.base.verdict import K, Limit
from tests.gauges.action.rooms import check, seen


def test_a_lid_that_leaves_just_so_much_lets_the_nut_be_raised_by_it():
    low = [seen("flag_low", -0.5, 1.0, note=n, key=n) for n in (2, 7)]

    (made,) = advise((), [*low, seen("lid", 0.5, -1.0, note=0, key=None)], {})
    assert (made.verb, made.what) == ("raise", "nut")
    assert made.by_mm == pytest.approx(0.5)
    less = advise((), [*low, seen("lid", 0.499, -1.0, note=0, key=None)], {})
    assert [p.what for p in less] == ["tangent", "tangent"]


def test_an_end_that_moves_nothing_of_what_fails_is_not_moved():
    # The nut moves neither room; the bridge by 0.5 for each mm: 0.4/0.5 and 0.5/0.5.
    rooms = [seen("wall", -0.4, 0.0, 0.5, note=0, key=None, place="a"),
             seen("wall", -0.5, 0.0, 0.5, note=0, key=None, place="b")]  # fmt: skip

    (made,) = advise((), rooms, {})

    assert (made.verb, made.what) == ("raise", "bridge")
    assert made.by_mm == pytest.approx(1.0)
    assert (made.key, made.string, made.place, made.because) == (None, 1, None, "wall")


def test_each_string_is_mended_by_its_own_nut_and_by_its_first_note():
    rooms = [
        seen("flag_low", -0.5, 1.0, note=9, key=9, string=2),
        seen("flag_low", -0.4, 1.0, note=7, key=7, string=2),
        seen("flag_low", -0.3, 1.0, note=5, key=5, string=1),
        seen("shank", -0.6, 0.5, note=0, key=8, string=1),
    ]

    made = advise((), rooms, {})

    # The shank lacks 0.6, of which the nut gives 0.5 for each mm.
    assert [(p.string, p.what, p.because, p.note) for p in made] == [
        (1, "nut", "shank", 0), (2, "nut", "flag_low", 7),
    ]  # fmt: skip
    assert [p.by_mm for p in made] == pytest.approx([1.2, 0.5])


def test_two_doubtful_flags_are_no_matter_of_the_nut():
    rooms = [seen("flag_low", 0.05, 1.0, u=0.1, note=n, key=n) for n in (2, 7)]

    made = advise((), rooms, {})

    assert [(p.what, p.word) for p in made] == [("tangent", "doubtful")] * 2
    assert [p.by_mm for p in made] == pytest.approx([K * 0.1 - 0.05] * 2)
    assert {(p.u_mm, p.because) for p in made} == {(0.1, "flag_low")}


def test_a_room_without_a_limit_holds_no_end_back():
    rooms = [seen("flag_low", -0.5, 1.0, note=n, key=n) for n in (2, 7)]
    free = seen("lid", 0.0, -1.0, note=0, key=None, limit=None)
    upper = seen("lid", 0.0, -1.0, note=0, key=None, limit=Limit(None, 9.0, "mm"))

    (made,) = advise((), [*rooms, free, upper], {})

    assert made.what == "nut"
    assert made.by_mm == pytest.approx(0.5)


def test_a_room_without_a_known_doubt_lacks_what_it_lacks():
    assert shortfall_mm(check("reach", -0.5, None)) == pytest.approx(0.5)
    assert shortfall_mm(check("reach", 0.0, 0.0)) == 0.0


@pytest.mark.parametrize(
    ("kind", "room", "u", "verb"),
    [
        ("flag_low", 0.329, 0.1, "lower"), ("flag_low", 0.3289, 0.1, "repin"),
        ("flag_high", 0.329, 0.1, "raise"), ("flag_high", 0.0, 0.0, "raise"),
        ("flag_high", -0.1, 0.0, "repin"), ("shank", 0.1, 0.1, "lower"),
    ],
)  # fmt: skip
def test_only_a_flag_that_is_too_narrow_gets_a_new_pin(kind, room, u, verb):
    flags = {(1, 5): Flag(1.5, room_mm=room), (2, 5): Flag(1.5, room_mm=9.0)}

    (made,) = advise((), [seen(kind, -0.5, 1.0, u=u)], flags)

    assert made.verb == verb


def together(first, second, value=-0.5):
    limit = Limit(-0.2, 0.2, "mm")
    of = check("together", value, 0.0, string=None, limit=limit)
    (made,) = advise([of], (), {(1, 5): first, (2, 5): second})
    return made


def test_of_two_gaps_as_far_from_the_usual_one_the_first_is_changed():
    made = together(Flag(1.0), Flag(2.0))

    assert (made.string, made.key, made.gap_change_mm, made.by_mm) == (1, 5, 1.0, 1.0)
    assert (made.turn_deg, made.along_mm, made.also_other_string) == (None, None, False)
    assert together(Flag(1.2), Flag(1.9)).string == 2
    assert together(Flag(1.1), Flag(1.8)).string == 1


@pytest.mark.parametrize(
    ("gap", "turn", "wanted", "verb", "turned"),
    [
        # A face 3 mm out that leans by 60° stands 1.5 mm nearer when it points straight.
        (3.5, 60.0, 2.0, "turn", 0.0), (3.51, 60.0, 2.0, "repin", None),
        (3.5, -60.0, 2.0, "turn", 0.0),
        # From straight on, back to 60°: 3·(1 − 0.5) = 1.5.
        (0.51, 0.0, 2.0, "turn", 59.78), (0.49, 0.0, 2.0, "repin", None),
    ],
)  # fmt: skip
def test_a_face_turns_from_straight_on_to_sixty_degrees(gap, turn, wanted, verb, turned):
    limit = Limit(wanted, wanted, "mm")
    flags = {(1, 5): Flag(gap, offset_mm=3.0, turn_deg=turn)}

    (made,) = advise([check("rest_gap", gap, limit=limit, stops=False)], (), flags)

    assert made.verb == verb
    assert made.gap_change_mm == pytest.approx(wanted - gap)
    if turned is None:
        assert (made.turn_deg, made.along_mm) == (None, None)
    else:
        assert made.turn_deg == pytest.approx(turned - turn, abs=0.1)
        along = 3 * (math.sin(math.radians(turned)) - math.sin(math.radians(turn)))
        assert made.along_mm == pytest.approx(along, abs=0.01)


def test_a_face_on_its_pin_cannot_be_turned_to_any_gap():
    made = together(Flag(0.5, offset_mm=0.0), Flag(1.5, offset_mm=0.0))

    assert (made.verb, made.turn_deg, made.gap_change_mm) == ("turn", None, 1.0)
    assert together(Flag(1.0, offset_mm=0.5), Flag(1.2, offset_mm=0.5)).turn_deg is not None


@pytest.mark.parametrize(
    ("sounding", "verb"), [(295.0, "bend"), (1900.0, "bend"), (1930.0, "turn"), (None, "turn")]
)
def test_a_turn_that_would_be_heard_gives_way_to_a_bend(sounding, verb):
    # Turned by 47.6° a face 3 mm out comes 0.977 mm nearer and goes 2.215 mm along the string:
    # 13 cents where it sounds over 295 mm, 2 cents over 1,920 mm.
    near = Flag(1.5, offset_mm=3.0, sounding_mm=sounding)
    made = together(Flag(0.523, offset_mm=3.0, sounding_mm=sounding), near)

    assert made.verb == verb
    assert made.gap_change_mm == pytest.approx(0.977)
    assert made.by_mm == pytest.approx(0.977)
    if verb == "turn":
        assert made.turn_deg == pytest.approx(47.6, abs=0.05)
    else:
        assert (made.turn_deg, made.along_mm) == (None, None)


def test_a_tangent_of_a_pair_takes_the_other_with_it():
    limit = Limit(1.0, 2.0, "mm")
    pair = {(1, 5): Flag(2.5), (2, 5): Flag(1.5)}

    (made,) = advise([check("rest_gap", 2.5, limit=limit, stops=False)], (), pair)

    assert made.also_other_string
    assert made.gap_change_mm == pytest.approx(-0.5)


@pytest.mark.parametrize(
    ("play", "limit", "verb", "by"),
    [
        # Only a least play: the key is eased to it. Only a most: bushed to its half.
        (0.05, Limit(0.1, None, "mm"), "ease", 0.05),
        (0.5, Limit(None, 0.3, "mm"), "bush", 0.35),
        (0.5, Limit(0.0, 0.4, "mm"), "bush", 0.3),
        (0.0, Limit(0.2, 0.4, "mm"), "ease", 0.3),
    ],
)
def test_play_is_eased_or_bushed_to_the_middle(play, limit, verb, by):
    of = check("side_play", play, 0.0, string=None, limit=limit, stops=False)

    (made,) = advise([of], (), {})

    assert (made.verb, made.what) == (verb, "key")
    assert made.by_mm == pytest.approx(by)


def test_a_string_alone_takes_no_other_tangent_with_it():
    alone = {(1, 5): Flag(1.5), (1, 6): Flag(1.5)}

    (made,) = advise([check("clear_own", -0.2)], (), alone)

    assert not made.also_other_string


def test_a_slow_key_is_eased_by_a_tenth():
    (made,) = advise([check("returns", -0.1, string=None)], (), {})

    assert (made.verb, made.what, made.by_mm, made.u_mm) == ("ease", "key", 0.1, 0.0)


def test_two_reasons_to_move_one_tangent_are_one_move_and_two_strings_stay_two():
    checks = [
        check("clear_own", -0.2, string=1), check("clear_own", -0.2, string=2),
        check("clear_other", -0.3, string=2), check("clear_other", -0.3, 0.2, string=2, note=3),
    ]  # fmt: skip

    made = advise(checks, (), {})

    assert [(p.because, p.string, p.note, p.word) for p in made] == [
        ("clear_other", 1, 3, "outside"), ("clear_own", 2, 5, "outside"),
    ]  # fmt: skip
    # The doubtful one of note 3 wants more: 0.3 + 1.645·0.2.
    assert made[0].by_mm == pytest.approx(0.3 + K * 0.2)


def test_of_one_note_what_is_of_no_key_comes_first():
    made = advise((), [seen("shank", -0.2, 1.0, note=0, key=1),
                       seen("lid", -0.2, 0.0, note=0, key=None, string=2)], {})  # fmt: skip

    assert [(p.what, p.key) for p in made] == [("lid", None), ("shank", 1)]
