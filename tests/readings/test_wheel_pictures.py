"""Where to tap, chalk and shim: on the picture and on the card, by the number of the place."""

from __future__ import annotations

import re

import pytest
from django.utils import translation

from repairs.charts.mirror import mirrored
from repairs.gauges.wheel.readings import place_near, placed
from repairs.readings.actions import measured
from repairs.readings.parse import parse, raw_of
from repairs.readings.sheets.catalogue import SHEETS
from tests.readings import samples

SHEET = SHEETS["wheel"]


def drawn(language="en", **said):
    words = samples.wheel(samples.wheel_rows(10.0), surface="clean", acclimatised="on", **said)
    computed = measured(SHEET, parse(SHEET, raw_of(SHEET, words)))
    with translation.override(language):
        return SHEET.chart(computed.given, computed.output, None, None)


def test_the_arrow_names_angle_and_place():
    chart = drawn()

    # High at 60°: the fifth of 24 places; opposite 240°, the seventeenth.
    assert "▶ chalk, tap here: 60°, place 5" in chart.svg
    assert "△ or shim here: 240°, place 17" in chart.svg
    assert "playing direction" in chart.svg


def test_the_arrow_in_french():
    chart = drawn("fr")

    assert "▶ craie, frapper ici\u00a0: 60°, place 5" in chart.svg
    assert "△ ou caler ici\u00a0: 240°, place 17" in chart.svg


def test_read_with_the_crank_forward_the_same_row_is_another_place():
    """Turned forward, the row of 60° is the place at 300°: the fifth row still."""
    chart = drawn(turned="forward")

    assert "tap here: 300°, place 5" in chart.svg
    assert "shim here: 120°, place 17" in chart.svg


def test_without_a_blow_to_deal_no_arrow_stands():
    words = samples.wheel(samples.wheel_rows(0.5), surface="clean", acclimatised="on")
    computed = measured(SHEET, parse(SHEET, raw_of(SHEET, words)))
    with translation.override("en"):
        chart = SHEET.chart(computed.given, computed.output, None, None)

    assert chart is not None
    assert "tap here" not in chart.svg


def test_the_arrow_points_inwards_and_the_wedge_stands_opposite():
    svg = drawn().svg
    head, wedge = re.findall(r'<polygon points="([^"]+)"[^>]*stroke="#14181b"', svg)[-2:]

    def middle(points):
        pairs = [tuple(map(float, one.split(","))) for one in points.split()]
        return [sum(axis) / len(pairs) - 210.0 for axis in zip(*pairs, strict=True)]

    # 60° clockwise from the top: right of the middle and above it; the wedge left and below.
    assert middle(head)[0] > 100
    assert middle(head)[1] < -50
    assert middle(wedge)[0] < 0 < middle(wedge)[1]
    tip = [float(v) - 210.0 for v in head.split()[0].split(",")]
    assert (tip[0] ** 2 + tip[1] ** 2) < sum(v**2 for v in middle(head))


def test_of_a_left_handed_instrument_it_is_the_mirror_image():
    turned = mirrored(drawn())

    assert "place 5" in turned.svg


@pytest.mark.parametrize(("angle", "row"), [(0, 1), (8, 2), (356, 1), (350, 4), (181, 3)])
def test_the_nearest_place_is_sought_round_the_turn(angle, row):
    assert place_near([(1, 0.0), (2, 10.0), (3, 180.0), (4, 350.0)], angle) == row


def test_a_place_without_a_reading_is_no_place_to_tap():
    given = {"readings_mm": [0.1, None, *[0.0] * 7], "angles_deg": [40 * k for k in range(9)]}

    assert [row for row, _angle in placed(given)] == [1, 3, 4, 5, 6, 7, 8, 9]
