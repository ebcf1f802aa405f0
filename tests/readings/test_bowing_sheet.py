"""The bowing window at the bench: what is typed, what it says, and what it refuses."""

from __future__ import annotations

import pytest
from django.utils import translation

from repairs.readings.actions import measured
from repairs.readings.models import Reading
from repairs.readings.parse import parse, raw_of
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.words import advice_words
from tests.readings import samples
from tests.readings.pages import page_of

SHEET = SHEETS["bowing_window"]


def typed(rows=None, **said):
    """The plausible sheet with some cells typed otherwise; ``rows`` are key, place and sound."""
    words = samples.bowing() | said
    if rows is None:
        return words
    fields = {key: value for key, value in words.items() if "-" not in key}
    cells = [dict(zip(("key", "at_mm", "sound"), row, strict=True)) for row in rows]
    return samples.form(fields, cells)


def told(rows=None, **said):
    computed = measured(SHEET, parse(SHEET, raw_of(SHEET, typed(rows, **said))))
    with translation.override("en"):
        return [advice_words(line) for line in computed.advice], computed


def test_the_ear_names_the_key_and_the_string_is_raised_by_a_thicker_shim():
    said, computed = told()

    # Keys 10 and 15 speak and 20 chokes: key 23 bears 2^(−8/12) of what key 15 does.
    assert said[0].startswith("From key 20 on the wheel presses harder")
    assert said[1].startswith("Wipe the rim")
    lift = 1.2 * 2 ** (-8 / 12)
    up = (1.2 - lift) * 345 / 320
    assert said[-1].startswith(f"Raise the string at the bridge by {up:.3f} ± ")
    assert "by a thicker shim or its screw" in said[-1]
    assert f"lifts it by {lift:.3f} mm" in said[-1]
    assert computed.output["by_ear"]


def test_a_string_that_hardly_touches_is_let_down():
    said, _computed = told([("5", "", "weak")], lift_mm="0,02")

    assert any(line.startswith("Give the rim one or two turns of rosin more") for line in said)


def test_keys_without_a_place_stand_in_equal_temperament():
    _said, computed = told([("12", "", "speaks"), ("23", "258", "")])

    first, second = computed.given["keys"]
    assert first["at_mm"] == pytest.approx(172.5)
    assert second["at_mm"] == 258


def test_an_untyped_table_goes_up_to_the_highest_key():
    _said, computed = told([], highest="19")

    assert [key["key"] for key in computed.given["keys"]] == list(range(1, 20))


def test_without_a_lift_the_window_stands_and_nothing_is_told():
    said, computed = told(lift_mm="")

    assert said == []
    assert {figure.key for figure in computed.figures} >= {"least_n", "most_n", "lift_most_mm"}


BAD = [
    ({"tension_n": ""}, None, "Tension: is missing."),
    ({"pitch_hz": "sol"}, None, "Pitch of the open string"),
    ({"length_mm": "10000"}, None, "Check the unit"),
    ({"lift_mm": "-0,7"}, None, "Lift at the wheel, without cotton"),
    ({"wheel_mm": "17"}, None, "impossible"),
    ({"from_bridge_mm": "180"}, None, "Wheel, from the bridge"),
    ({}, [("12", "172", ""), ("5", "86", "")], "Key, row 2"),
    ({}, [("5", "86", ""), ("5", "100", "")], "Key, row 2"),
    ({}, [("5", "172", ""), ("12", "86", "")], "Place from the nut, row 2"),
    ({}, [("5", "9999", "")], "Place from the nut, row 1"),
]


@pytest.mark.django_db
@pytest.mark.parametrize(("said", "rows", "sentence"), BAD)
def test_what_cannot_be_is_said_with_its_place_and_stays_typed(
    client, armand, case, said, rows, sentence
):
    client.force_login(armand)
    words = typed(rows, **said)

    answer = client.post(samples.address(case, "bowing_window"), words | samples.about())

    page = page_of(answer)
    assert not Reading.objects.exists()
    assert sentence in page
    for name, value in [*said.items(), *((n, v) for n, v in words.items() if rows and "-" in n)]:
        if value and not name.startswith("sound"):
            assert f'value="{value}"' in answer.text, name


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("wanted", "is_told"), [("55", True), ("", False)], ids=["a wanted tension", "none"]
)
def test_a_wanted_tension_is_answered_by_sizes(case, armand, wanted, is_told):
    row = samples.string("Chanterelle", "345", "392", "0,8", wanted_n=wanted)
    sheet = SHEETS["string_set"]
    computed = measured(sheet, parse(sheet, raw_of(sheet, samples.form({}, [row]))))

    assert bool(computed.advice) is is_told
    if is_told:
        with translation.override("en"):
            (words,) = map(advice_words, computed.advice)
        # d = 2/(L·f)·√(T/(π·ρ))/2: 55 N, 345 mm, 392 Hz, 1300 kg/m³ is 0.858 mm.
        assert "55.0 N are reached by gut" in words
        assert "of 0.858 ± " in words
        assert "Thinner beside it: 0.840 mm" in words
        assert "thicker: 0.860 mm" in words
