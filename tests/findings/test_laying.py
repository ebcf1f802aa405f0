"""A map laid over a photo by four taps: what it finds, and what it refuses."""

from __future__ import annotations

import math

import pytest

from repairs.findings.laying import Anchor, CannotLayError, Point, lay

SIZE = (1200, 900)
ANCHORS = {
    "head": Anchor((180, 10)),
    "tail": Anchor((180, 860)),
    "right": Anchor((350, 740), slides=True),
    "left": Anchor((16, 740), slides=True),
}
MM = 0.758


def on_photo(place: Point, *, turn_deg: float = 70, scale: float = 0.9) -> Point:
    """Where a place of the map lies on a photo of an instrument that lies aslant, in shares."""
    a = math.radians(turn_deg)
    x, y = (place[0] - 180) * scale, (place[1] - 430) * scale
    across, down = x * math.cos(a) - y * math.sin(a), x * math.sin(a) + y * math.cos(a)
    return (600 + across) / SIZE[0], (450 + down) / SIZE[1]


def laid(taps: dict[str, Point]):
    return lay(ANCHORS, taps, size_px=SIZE, mm_per_unit=MM)


def through(six, place: Point) -> Point:
    a, b, c, d, e, f = six
    return a * place[0] + c * place[1] + e, b * place[0] + d * place[1] + f


def test_four_taps_find_every_other_place_both_ways():
    found = laid({name: on_photo(one.at) for name, one in ANCHORS.items()})

    for place in ((180.0, 430.0), (60.0, 200.0), (300.0, 700.0)):
        assert through(found.to_photo, place) == pytest.approx(on_photo(place), abs=1e-9)
        assert through(found.to_map, on_photo(place)) == pytest.approx(place, abs=1e-6)
    assert found.off_mm == pytest.approx(0, abs=1e-9)


def test_a_mirror_image_is_laid_too():
    taps = {name: on_photo((360 - one.at[0], one.at[1])) for name, one in ANCHORS.items()}

    found = laid(taps)

    assert through(found.to_map, on_photo((300, 200))) == pytest.approx((60, 200), abs=1e-6)


def test_a_widest_place_may_be_tapped_a_little_off_along_the_edge():
    taps = {name: on_photo(one.at) for name, one in ANCHORS.items()}
    taps["right"], taps["left"] = on_photo((350, 755)), on_photo((16, 755))

    found = laid(taps)

    assert through(found.to_map, on_photo((180, 430))) == pytest.approx((180, 430), abs=2)
    assert found.off_mm < 2


def test_a_tap_in_the_wrong_place_is_told_in_millimetres():
    taps = {name: on_photo(one.at) for name, one in ANCHORS.items()}
    taps["head"] = on_photo((300, 200))

    assert laid(taps).off_mm > 8


@pytest.mark.parametrize(
    "taps",
    [
        {"head": (0.1, 0.1), "tail": (0.9, 0.9), "right": (0.5, 0.1)},
        {"head": (0.1, 0.1), "tail": (0.9, 0.9), "right": (0.5, 0.1), "nowhere": (0.2, 0.9)},
        {"head": (0.1, 0.1), "tail": (0.4, 0.4), "right": (0.6, 0.6), "left": (0.8, 0.8)},
        dict.fromkeys(ANCHORS, (0.5, 0.5)),
    ],
    ids=["three", "an unknown one", "in one line", "all in one place"],
)
def test_places_that_say_nothing_are_refused(taps):
    with pytest.raises(CannotLayError):
        laid(taps)
