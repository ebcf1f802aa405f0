"""Charts: sound XML, a title that says what they show, every mark on the sheet, true angles."""

from __future__ import annotations

import math
import re

import pytest
from django.utils import translation
from lxml import etree  # type: ignore[import-untyped]

from repairs.charts.bars import Bar, Row, lying_bars, upright_bars
from repairs.charts.mirror import mirrored
from repairs.charts.polar import CENTRE, PolarSeries, PolarWords, polar_chart
from repairs.charts.svg import Chart, nice_ceiling, nice_ticks, padded, shown
from repairs.readings import show
from repairs.readings.actions import compute
from repairs.readings.models import Reading
from repairs.readings.parse import raw_of
from repairs.readings.sheets.catalogue import SHEETS
from tests.readings import samples

pytestmark = pytest.mark.django_db
WORDS = PolarWords("crank", "high spot", "before")
NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")


def drawn(gauge: str, words: dict[str, str] | None = None) -> Chart | None:
    sheet = SHEETS[gauge]
    computed = compute(sheet, samples.raw(gauge, words))
    return sheet.chart(computed.given, computed.output, computed.given, computed.output)


def wheel_chart(words: dict[str, str]) -> Chart:
    chart = drawn("wheel", words)
    assert chart is not None
    return chart


def tree_of(chart: Chart) -> etree._Element:
    return etree.fromstring(chart.svg.encode())


def places(tree: etree._Element) -> list[tuple[float, float]]:
    """The corners of everything that is drawn; of words, the place where they begin or end."""
    found = []
    for node in tree.iter("line", "circle", "rect", "polygon", "polyline", "text"):
        a = {key: float(value) for key, value in node.attrib.items() if NUMBERS.fullmatch(value)}
        if node.tag == "line":
            found += [(a["x1"], a["y1"]), (a["x2"], a["y2"])]
        elif node.tag == "circle":
            found += [(a["cx"] + d, a["cy"] + d) for d in (-a["r"], a["r"])]
        elif node.tag == "rect":
            found += [(a["x"], a["y"]), (a["x"] + a["width"], a["y"] + a["height"])]
        elif node.tag == "text":
            found += text_box(node, a)
        else:
            values = [float(v) for v in NUMBERS.findall(node.get("points"))]
            found += list(zip(values[::2], values[1::2], strict=True))
    return found


def text_box(node: etree._Element, a: dict[str, float]) -> list[tuple[float, float]]:
    """Both ends of a word, for letters that are on average half as wide as they are high."""
    width = 0.5 * a["font-size"] * len(node.text or "")
    start = {"start": 0.0, "middle": -width / 2, "end": -width}[node.get("text-anchor")]
    return [(a["x"] + start, a["y"]), (a["x"] + start + width, a["y"] - 0.7 * a["font-size"])]


def outside(chart: Chart) -> list[tuple[float, float]]:
    tree = tree_of(chart)
    _x, _y, width, height = (float(v) for v in tree.get("viewBox").split())
    return [(x, y) for x, y in places(tree) if not (-1 <= x <= width + 1 and -1 <= y <= height + 1)]


def wheel_at(high_deg: float) -> dict[str, str]:
    return samples.wheel(samples.wheel_rows(high_deg=high_deg))


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_every_chart_is_sound_titled_and_inside_its_sheet(gauge, language):
    with translation.override(language):
        chart = drawn(gauge)
    if chart is None:
        assert SHEETS[gauge].chart(*[{}] * 4) is None
        return

    tree = tree_of(chart)
    assert tree.tag == "svg"
    assert tree.get("role") == "img"
    assert tree[0].tag == "title"
    assert tree[0].text == chart.alt
    assert len(chart.alt) > 20
    assert outside(chart) == []
    assert not re.search(r"\bnan\b", chart.svg)
    assert "inf" not in chart.svg.replace("infinity", "")


@pytest.mark.parametrize("gauge", ["wheel", "correction", "string_set"])
def test_numbers_in_a_chart_follow_the_language(gauge):
    said = {}
    for language in ("en", "fr"):
        with translation.override(language):
            chart = drawn(gauge)
            assert chart is not None
            said[language] = [t.text for t in tree_of(chart).iter("text")] + [chart.alt]

    assert any(re.search(r"\d\.\d", words) for words in said["en"])
    assert any(re.search(r"\d,\d", words) for words in said["fr"])
    assert not any(re.search(r"\d\.\d", words) for words in said["fr"])
    assert not any(re.search(r"\d,\d", words) for words in said["en"])


def test_a_chart_names_its_strings_in_the_language_of_the_reader():
    chart = drawn("correction")

    assert chart is not None
    assert "first chanterelle" in [node.text for node in tree_of(chart).iter("text")]
    assert "first chanterelle, key 4" in chart.alt


@pytest.mark.parametrize("high", [0, 47, 90, 123, 180, 271, 359])
def test_the_arrow_points_at_the_high_spot(high):
    chart = wheel_chart(wheel_at(high))

    arrow = next(n for n in tree_of(chart).iter("line") if n.get("stroke-width") == "2.4")
    x, y = float(arrow.get("x2")) - CENTRE[0], CENTRE[1] - float(arrow.get("y2"))
    pointed = math.degrees(math.atan2(x, y)) % 360
    assert (float(arrow.get("x1")), float(arrow.get("y1"))) == CENTRE
    assert abs((pointed - high + 180) % 360 - 180) < 1.0
    assert f"high spot at {round(high)}°" in chart.alt or high in (0, 359)


def test_the_profile_bulges_where_the_rim_is_high():
    chart = wheel_chart(wheel_at(90))

    profile = next(n for n in tree_of(chart).iter("polygon") if n.get("stroke-width") == "2.2")
    values = [float(v) for v in NUMBERS.findall(profile.get("points"))]
    xs = [x - CENTRE[0] for x in values[::2]]
    assert max(xs) > 1.5 * -min(xs)


def test_a_dial_that_shrinks_outwards_and_a_later_start_turn_the_picture():
    rows = samples.wheel_rows(high_deg=30)
    turned = compute(
        SHEETS["wheel"],
        raw_of(SHEETS["wheel"], samples.wheel(rows, sign="-1", start_deg="20")),
    )

    assert turned.output["high_spot_deg"] == pytest.approx(30 + 180 + 20, abs=0.5)


def test_a_wheel_without_a_sure_direction_has_no_arrow():
    series = PolarSeries([0, 90, 180, 270], [0.001, -0.001, 0.001, -0.001])

    chart = polar_chart(series, words=WORDS, alt="A round wheel", high_spot_deg=None, ecc_mm=0)

    assert "high spot" not in chart.svg
    assert 'stroke-width="2.4"' not in chart.svg


def test_a_flat_series_and_one_far_larger_before_are_drawn():
    now = PolarSeries([0, 90, 180, 270], [0.0, 0.0, 0.0, 0.0])
    before = PolarSeries([0, 90, 180, 270], [1.0, -1.0, 1.0, -1.0])

    for earlier in (None, before):
        chart = polar_chart(now, words=WORDS, alt="x", high_spot_deg=10, ecc_mm=0, before=earlier)
        assert outside(chart) == []


@pytest.mark.parametrize("count", [1, 2, 23, 60])
def test_bars_of_any_count_and_sign_stay_on_the_sheet(count):
    bars = [
        Bar(f"{n}", (-1) ** n * n * 1.7, 0.5, -2, 2, -3.0 * n, "✕") for n in range(1, count + 1)
    ]

    rows = [Row("first chanterelle", bars), Row("second chanterelle", bars[:2])]

    assert outside(upright_bars(rows, unit="cents", alt="x", before="before")) == []


def test_bars_of_no_height_are_drawn():
    assert outside(upright_bars([Row("", [Bar("1", 0.0)])], unit="cents", alt="x")) == []
    assert outside(lying_bars([Bar("1", 0.0)], unit="N", alt="x")) == []


def test_a_very_long_name_stays_on_the_sheet():
    bars = [Bar("Trompette with a name that does not end " * 3, 31.5, 0.4)]

    chart = lying_bars(bars, unit="N", alt="x")

    assert outside(chart) == []
    assert "…" in chart.svg


def test_names_are_escaped():
    chart = lying_bars([Bar("<b>&</b>", 3.0)], unit="N", alt="<script>")

    assert "<b>" not in chart.svg
    assert tree_of(chart)[0].text == "<script>"


@pytest.mark.parametrize(
    ("low", "high", "ticks"),
    [
        (0, 10, [0, 2, 4, 6, 8, 10]),
        (-3, 3, [-2, 0, 2]),
        (0.0, 0.05, [0, 0.01, 0.02, 0.03, 0.04, 0.05]),
        (4, 4, [4]),
        (0, math.inf, [0]),
    ],
)
def test_ticks_are_round(low, high, ticks):
    assert nice_ticks(low, high) == pytest.approx(ticks)


@pytest.mark.parametrize(
    ("value", "ceiling"),
    [(0.1, 0.1), (0.11, 0.2), (3, 5), (7, 10), (0, 1), (-1, 1), (math.nan, 1)],
)
def test_a_ceiling_is_round_and_not_less(value, ceiling):
    assert nice_ceiling(value) == pytest.approx(ceiling)


def test_a_range_has_air_and_is_never_empty():
    assert padded([3.0]) == pytest.approx((2.64, 3.36))
    assert padded([0.0, 0.0]) == (-1.0, 1.0)
    assert shown(-0.5) == "−0.5"


HANDED = ["wheel", "correction", "action"]


@pytest.mark.parametrize("gauge", HANDED)
def test_the_chart_of_a_left_handed_instrument_is_the_mirror_image(gauge):
    chart = drawn(gauge)
    assert chart is not None

    turned = mirrored(chart)

    width = float(tree_of(chart).get("viewBox").split()[2])
    before, after = sorted(places(tree_of(chart))), sorted(places(tree_of(turned)))
    assert SHEETS[gauge].is_handed
    assert outside(turned) == []
    assert min(x for x, _y in after) == pytest.approx(width - max(x for x, _y in before), abs=0.02)
    assert turned.alt == chart.alt
    words = [node.text for node in tree_of(chart).iter("text")]
    assert [node.text for node in tree_of(turned).iter("text")] == words
    assert tree_of(mirrored(turned)).xpath("//text/@x") == [
        f"{float(x):.2f}" for x in tree_of(chart).xpath("//text/@x")
    ]


def test_only_a_picture_of_the_instrument_has_a_hand():
    assert sorted(gauge for gauge, sheet in SHEETS.items() if sheet.is_handed) == sorted(HANDED)


def test_the_nut_of_a_left_handed_fiddle_lies_on_the_right():
    chart = drawn("action")
    assert chart is not None

    def at(one: Chart, word: str) -> float:
        texts = tree_of(one).iter("text")
        return next(float(node.get("x")) for node in texts if node.text == word)

    assert at(chart, "nut") < at(chart, "bridge")
    assert at(mirrored(chart), "nut") > at(mirrored(chart), "bridge")


def test_a_reading_of_a_left_handed_instrument_shows_the_mirror_image(post, case):
    case.instrument.left_handed = True
    case.instrument.save()

    post(samples.wheel())

    shown_now = show.saved(Reading.objects.get())
    usual = wheel_chart(samples.wheel())
    assert shown_now.chart != usual.svg
    assert [n.text for n in etree.fromstring(shown_now.chart).iter("text")]
