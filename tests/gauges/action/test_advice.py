"""What is to be changed for a check that fails, each reckoned by hand from made-up rooms."""

import math

import pytest

from repairs.gauges.action.advice import advise, shortfall_mm
from repairs.gauges.action.changes import Flag
from repairs.gauges.action.side import Line
from repairs.gauges.base.verdict import K, Limit
from tests.gauges.action.boxes import box, key, run
from tests.gauges.action.rooms import check, seen


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
