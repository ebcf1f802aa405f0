"""What is to be changed for a check that fails, each reckoned by hand from made-up rooms."""

import math

import pytest

from repairs.gauges.action.advice import advise, shortfall_mm
from repairs.gauges.action.changes import Flag, Prescription
from repairs.gauges.action.plan import Check
from repairs.gauges.action.side import Line, SideCheck
from repairs.gauges.base.verdict import K, Limit, judge
from tests.gauges.action.boxes import box, key, run

ROOM = Limit(0.0, None, "mm")
GAP = Limit(1.0, 2.0, "mm")
PLAY = Limit(0.1, 0.3, "mm")
TOGETHER = Limit(-0.2, 0.2, "mm")


def check(kind, value, u=0.0, *, note=5, key=5, string=1, limit=ROOM, **more):
    return Check(kind, note, key, string, judge(value, u, limit), **more)


def seen(kind, value, nut, bridge=0.0, u=0.0, **more):
    """A room of the side view that changes by so much for each mm at nut and bridge."""
    return SideCheck(check(kind, value, u, **more), nut, bridge)


def one(*checks, flags=None):
    (made,) = advise(checks, (), flags or {})
    return made


def by_side(*rooms, flags=None):
    return advise((), rooms, flags or {})


def test_two_flags_too_low_for_their_string_lower_its_nut_once():
    # −0.5 − 0.8·δ ≥ 0 and −0.3 − 0.5·δ ≥ 0: δ ≤ −0.625 and δ ≤ −0.6.
    (made,) = by_side(
        seen("flag_high", -0.3, -0.5, note=2, key=2), seen("flag_high", -0.5, -0.8, note=7, key=7)
    )

    assert (made.verb, made.what, made.key, made.string) == ("lower", "nut", None, 1)
    assert made.by_mm == pytest.approx(0.625)
    assert (made.because, made.note, made.word) == ("flag_high", 2, "outside")


def test_the_end_that_has_to_move_least_is_the_one_to_move():
    rooms = [
        seen("flag_low", -0.5, 0.2, 0.8, note=2, key=2),
        seen("flag_low", -0.4, 0.2, 0.8, note=7, key=7),
    ]

    (made,) = by_side(*rooms)

    # At the nut 0.5/0.2 = 2.5, at the bridge 0.5/0.8 = 0.625.
    assert (made.verb, made.what) == ("raise", "bridge")
    assert made.by_mm == pytest.approx(0.625)


def test_the_move_is_on_by_the_guard_band_where_there_is_room_for_it():
    rooms = [
        seen("flag_low", -0.5, 1.0, u=0.1, note=2, key=2),
        seen("flag_low", -0.5, 0.5, u=0.1, note=7, key=7),
    ]

    (made,) = by_side(*rooms)

    assert made.by_mm == pytest.approx((0.5 + K * 0.1) / 0.5)
    assert made.u_mm == pytest.approx(0.2)


def test_without_room_for_the_guard_band_the_string_is_set_right_at_least():
    # Sure would be 0.6645 and more, but the lid leaves 0.62 − 0.1645.
    rooms = [
        seen("flag_low", -0.5, 1.0, u=0.1, note=2, key=2),
        seen("flag_low", -0.4, 1.0, u=0.1, note=7, key=7),
        seen("lid", 0.62, -1.0, u=0.1, note=0, key=None),
    ]

    (made,) = by_side(*rooms)

    assert (made.what, made.by_mm) == ("nut", pytest.approx(0.5))


@pytest.mark.parametrize(
    "third",
    [
        seen("lid", 0.2, -1.0, note=0, key=None),  # the lid would be struck
        seen("wall", -0.1, 0.0, note=0, key=None),  # a wall that no end of the string moves
    ],
)
def test_where_no_end_mends_all_each_piece_is_mended(third):
    made = by_side(
        seen("flag_low", -0.5, 1.0, note=2, key=2),
        seen("flag_low", -0.4, 1.0, note=7, key=7),
        third,
    )

    assert {p.what for p in made} >= {"tangent"}
    assert "nut" not in {p.what for p in made}
    assert [p.by_mm for p in made if p.what == "tangent"] == [
        pytest.approx(0.5),
        pytest.approx(0.4),
    ]


def test_a_room_that_no_end_moves_and_that_is_right_is_no_hindrance():
    (made,) = by_side(
        seen("flag_low", -0.5, 1.0, note=2, key=2),
        seen("flag_low", -0.4, 1.0, note=7, key=7),
        seen("wall", 0.0, 0.0, note=0, key=None),
    )

    assert (made.what, made.by_mm) == ("nut", pytest.approx(0.5))


def test_one_flag_alone_is_its_tangent():
    (made,) = by_side(seen("flag_low", -0.5, 1.0), seen("flag_low", 0.5, 1.0, note=9, key=9))

    assert (made.verb, made.what, made.key) == ("lower", "tangent", 5)


def test_what_is_no_line_is_mended_beside_the_nut():
    made = by_side(
        seen("flag_low", -0.5, 1.0, note=2, key=2),
        seen("flag_low", -0.4, 1.0, note=7, key=7),
        seen("wheel_edge", -0.2, 0.1, note=0, key=None, place="nut_side"),
    )

    assert [(p.what, p.place) for p in made] == [("wheel_edge", "nut_side"), ("nut", None)]


@pytest.mark.parametrize(("room", "verb"), [(0.2, "repin"), (0.4, "raise"), (None, "raise")])
def test_a_flag_too_narrow_for_its_string_is_re_pinned(room, verb):
    # 2·1.645·0.1 = 0.329: a flag that is higher than the string by less can be nowhere surely.
    flags = {(1, 5): Flag(1.5, room_mm=room)}

    (made,) = by_side(seen("flag_high", -0.3, 1.0, u=0.1), flags=flags)

    assert made.verb == verb
    assert made.by_mm == pytest.approx(0.3 + K * 0.1)


def test_what_lacks_is_counted_to_the_limit_and_on_by_the_guard_band():
    assert shortfall_mm(check("reach", -0.3, 0.1)) == pytest.approx(0.3 + K * 0.1)
    assert shortfall_mm(check("reach", 0.05, 0.1)) == pytest.approx(K * 0.1 - 0.05)
    assert shortfall_mm(check("reach", 0.5, 0.1)) == 0.0
    assert shortfall_mm(check("rest_gap", 0.5, 0.1, limit=Limit(1.0, None, "mm"))) == pytest.approx(
        0.5 + K * 0.1
    )
    assert shortfall_mm(check("reach", -0.5, 0.1, limit=Limit(None, 1.0, "mm"))) == 0.0
    assert shortfall_mm(check("reach", -0.5, 0.1, limit=None)) == 0.0


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
    assert one(check("clear_other", -0.2)).gap_change_mm is None


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


def test_the_line_of_a_bent_string_and_its_doubt():
    line = Line(1, 400.0, 20.0, 24.0, 360.0, 29.0, 5.0)

    assert line.height_mm(180) == pytest.approx(24.5)
    assert line.height_mm(380) == pytest.approx(26.5)
    assert (line.nut_share(180), line.nut_share(360), line.nut_share(390)) == (0.5, 0.0, 0.0)
    assert line.u_mm(180, 0.1) == pytest.approx(0.1 * math.hypot(0.5, 0.5))
    assert line.u_mm(90, 0.1) == pytest.approx(0.1 * math.hypot(0.25, 0.75))
    assert line.u_mm(390, 0.1) == pytest.approx(0.1 * math.hypot(0.75, 0.25))
    assert line.u_mm(360, 0.1) == pytest.approx(0.1)


def test_the_doubt_of_a_wheel_s_edge_grows_with_the_slope_beside_it():
    # √(0.03² + (√2·0.1·6/360)²) on the side of the nut, the same with 40 on that of the bridge.
    flag = {"flag_low_mm": 15, "flag_high_mm": 32}
    data = box([key(1, 36, **flag)])
    data["strings"] = [{"nut_height_mm": 20, "bridge_height_mm": 20}] * 2
    data["wheel"] = {
        "from_bridge_mm": 40,
        "rim_height_mm": 25,
        "thickness_mm": 12,
        "edge_drop_mm": 0.3,
    }

    edges = {
        c["place"]: c["verdict"]["u"]
        for c in run(data)["checks"]
        if c["kind"] == "wheel_edge" and c["string"] == 1
    }

    assert edges["nut_side"] == pytest.approx(math.hypot(0.03, math.sqrt(2) * 0.1 * 6 / 360))
    assert edges["bridge_side"] == pytest.approx(math.hypot(0.03, math.sqrt(2) * 0.1 * 6 / 40))
