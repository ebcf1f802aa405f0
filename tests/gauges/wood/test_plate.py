"""A plate under its strings: published forces, a grid worked by hand, least squares, simulation."""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.wood.breaking import forces, load
from repairs.gauges.wood.plate import Kind, Place, moved, plate

EDGES = ((0.0, 0.0), (300.0, 0.0), (0.0, 200.0), (300.0, 200.0))
INNER = tuple((60.0 * i, 50.0 * j) for i in range(1, 5) for j in range(1, 4))


def grid(at_edges=0.0, inside=(), tilt=(0.0, 0.0, 0.0), later=None):
    """A grid of edges and inner places; ``inside`` by number, the rest stands still."""
    sunk = dict(inside)
    places = []
    for n, (x, y) in enumerate(EDGES + INNER):
        seat = tilt[0] + tilt[1] * x + tilt[2] * y
        move = at_edges if n < len(EDGES) else sunk.get(n, 0.0)
        kind: Kind = "edge" if n < len(EDGES) else "bridge" if n == 8 else "plate"
        places.append(Place(str(n), kind, x, y, 5.0, 5.0 + move + seat, later))
    return tuple(places)


@pytest.mark.parametrize(
    ("tension", "before", "after", "down"),
    [(66.3, 5, 10, 17.2913), (66.3, 0, 8, 9.2272), (40, 3, 3, 4.1869), (50, 6, 12, 15.622)],
)
def test_the_downforce_is_that_of_the_check_values(tension, before, after, down):
    # Statics; rows string.downforce of the trade's check values.
    assert forces(tension, before, after, 0)[0] == pytest.approx(down, abs=1e-3)
    assert forces(tension, before, after, 0)[1] == 0.0


@pytest.mark.parametrize(("tension", "theta", "down"), [(50, 10, 8.7156), (66.3, 15, 17.3078)])
def test_equal_angles_give_the_printed_total_break(tension, theta, down):
    assert forces(tension, theta / 2, theta / 2, 0)[0] == pytest.approx(down, abs=1e-3)


def test_the_three_forces_are_the_sum_of_both_ends_as_vectors():
    t = 80.0
    before, after, side = (math.radians(d) for d in (4, 9, 6))
    first = t * np.array([-math.cos(before), 0.0, math.sin(before)])
    second = t * np.array(
        [math.cos(after) * math.cos(side), math.cos(after) * math.sin(side), math.sin(after)]
    )
    along, sideways, down = first + second

    assert forces(t, 4, 9, 6) == pytest.approx((down, sideways, along))
    # A turn in the plane alone: 2·T·sin(φ/2) altogether.
    down, sideways, along = forces(t, 0, 0, 6)
    assert math.hypot(sideways, along) == pytest.approx(2 * t * math.sin(math.radians(3)))


def test_a_bridge_that_sinks_by_hand():
    # The dial bridge sits 0.3 mm higher and tilts by a tenth of a mm over 100 mm: all that is taken
    # off, and the bridge's place has sunk by 0.40, its neighbour bulged by 0.15.
    got = plate(
        grid(inside=((8, -0.40), (12, 0.15)), tilt=(0.3, 1e-3, -5e-4)),
        load=load({"t": 130.0, "a": 3.0, "b": 8.0, "s": 0.0}, None, u_angle_deg=0.5, u_tension_n=6),
    )

    assert (got.datum, got.sank_most, got.rose_most) == ("plane", "8", "12")
    assert got.bridge_sink_mm == pytest.approx(0.40, abs=1e-9)
    # Edges at the corners: the leverage of (120, 100) is 1/4 + 30²/(4·150²) = 0.26.
    assert got.u_bridge_sink_mm == pytest.approx(math.sqrt(2) * 0.02 * math.sqrt(1.26))
    assert got.load is not None and got.stiffness_n_per_mm is not None
    down = 130 * (math.sin(math.radians(3)) + math.sin(math.radians(8)))
    assert got.stiffness_n_per_mm == pytest.approx(down / 0.40)
    assert got.verdict is not None and got.verdict.word == "not_judged"
    assert [one.name for one in got.places if one.is_sure] == ["8", "12"]


def test_the_plane_is_that_of_numpy():
    rng = np.random.default_rng(3)
    at, risen = rng.uniform(0, 300, (30, 2)), rng.normal(0, 1, 30)
    places = tuple(
        Place(str(n), "edge" if n < 9 else "plate", at[n][0], at[n][1], 0.0, risen[n], None)
        for n in range(30)
    )
    x = np.array([[1.0, p.x_mm, p.y_mm] for p in places])
    z = np.array([p.pitch_mm for p in places])
    seat = np.linalg.lstsq(x[:9], z[:9], rcond=None)[0]

    assert [m.strung_mm for m in moved(places)[0]] == pytest.approx(list(z - x @ seat))


def test_months_later_it_has_crept():
    places = tuple(
        Place(p.name, p.kind, p.x_mm, p.y_mm, 5, p.pitch_mm, p.pitch_mm - 0.2 * (p.name == "8"))
        for p in grid(inside=((8, -0.4),))
    )
    got = plate(places)

    assert got.crept_most == "8"
    assert got.bridge_creep_mm == pytest.approx(0.2)
    assert plate(grid()).bridge_creep_mm is None
    assert plate(grid()).crept_most is None


@pytest.mark.parametrize(
    ("edges", "datum"),
    [((), "none"), (EDGES[:1], "offset"), (EDGES[:2], "offset"), (EDGES[:3], "plane"),
     (((0, 0), (100, 0), (200, 0)), "offset")],
)  # fmt: skip
def test_what_the_edges_can_tell(edges, datum):
    places = tuple(Place(f"e{n}", "edge", x, y, 1, 1.2, None) for n, (x, y) in enumerate(edges))
    found, known = moved((*places, Place("b", "bridge", 50, 60, 1, 1, None)))

    assert known == datum
    assert found[-1].strung_mm == pytest.approx(0.0 if datum == "none" else -0.2)
    assert plate((Place("b", "bridge", 50, 60, 1, 1, None),)).notes == ("no_edges",)


def test_by_simulation_u_covers_and_a_still_plate_is_not_said_to_move():
    """A few hundred of a still grid; the whole table is drawn by ``manage.py measure cover``."""
    rng, drawn, covered, false_alarm = np.random.default_rng(9), 250, 0, 0
    for _ in range(drawn):
        a, b = rng.normal(0, 0.02, (2, len(EDGES + INNER)))
        seat = rng.normal(0, [0.5, 1e-3, 1e-3])
        still = tuple(
            Place(p.name, p.kind, p.x_mm, p.y_mm, p.slack_mm + a[n], p.pitch_mm + b[n], None)
            for n, p in enumerate(grid(inside=(), tilt=tuple(seat)))
        )
        found = moved(still)[0]
        covered += sum(abs(m.strung_mm) <= 1.96 * m.u_strung_mm for m in found)
        false_alarm += any(m.is_sure for m in found)

    assert covered / (drawn * len(EDGES + INNER)) == pytest.approx(0.95, abs=0.015)
    assert false_alarm / drawn <= 0.08


ROW = {"place": "1", "slack_mm": 5.0, "pitch_mm": 4.8}
LOADED = {"tension_n": 130, "before_deg": 3, "after_deg": 8}


def test_the_sign_of_the_dial_is_read_as_it_is_told():
    rows = [{**ROW, "kind": "bridge"}]

    assert gauges()["plate"].run({"places": rows})["bridge_sink_mm"] == pytest.approx(0.2)
    turned = gauges()["plate"].run({"places": rows, "sign": "sinks"})
    assert turned["bridge_sink_mm"] == pytest.approx(-0.2)
    assert (turned["sank_most"], turned["rose_most"]) == (None, "1")


def test_a_side_thrust_says_its_side():
    got = gauges()["plate"].run({"places": [ROW], **LOADED, "side_deg": 4, "side_to": "bass"})

    assert got["load"]["side_to"] == "bass"
    assert got["load"]["side_n"] == pytest.approx(
        130 * math.cos(math.radians(8)) * math.sin(math.radians(4))
    )
    straight = gauges()["plate"].run({"places": [ROW], **LOADED, "side_to": "bass"})
    assert (straight["load"]["side_n"], straight["load"]["side_to"]) == (0.0, None)


@pytest.mark.parametrize(
    ("more", "code", "field", "row"),
    [
        ({"places": []}, "too_few", "places", None),
        ({"places": None}, "missing", "places", None),
        ({"places": [ROW, {"place": "2", "pitch_mm": 4}]}, "missing", "slack_mm", 2),
        ({"places": [ROW, {**ROW, "place": "2", "pitch_mm": "x"}]}, "not_a_number", "pitch_mm", 2),
        ({"places": [{**ROW, "pitch_mm": 10_000}]}, "too_big", "pitch_mm", 1),
        ({"places": [{**ROW, "later_mm": -900}]}, "too_small", "later_mm", 1),
        ({"places": [{**ROW, "x_mm": 5}]}, "missing", "y_mm", 1),
        ({"places": [{**ROW, "kind": "rim"}]}, "unknown", "kind", 1),
        ({"places": [ROW, ROW]}, "twice", "place", 2),
        ({"places": [{**ROW, "kind": "bridge"}, {**ROW, "place": "2", "kind": "bridge"}]},
         "twice", "kind", 2),
        ({"sign": "up"}, "unknown", "sign", None),
        ({"before_deg": 3}, "missing", "tension_n", None),
        ({**LOADED, "after_deg": 365}, "too_big", "after_deg", None),
        ({**LOADED, "after_deg": -5}, "not_positive", "after_deg", None),
        ({**LOADED, "side_deg": 5}, "missing", "side_to", None),
        ({**LOADED, "side_deg": -5, "side_to": "bass"}, "too_small", "side_deg", None),
        ({**LOADED, "tension_n": 0}, "too_small", "tension_n", None),
    ],
)  # fmt: skip
def test_bad_input_is_refused_with_its_field_and_row(more, code, field, row):
    with pytest.raises(GaugeInputError) as refused:
        gauges()["plate"].run({"places": [ROW], **more})

    assert (refused.value.code, refused.value.field, refused.value.row) == (code, field, row)
