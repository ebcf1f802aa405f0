"""The force of the wheel over a turn at the bench: what is typed, drawn, said and refused."""

from __future__ import annotations

import re

import pytest
from django.utils import translation

from repairs.readings.actions import measured
from repairs.readings.force_words import pace_words
from repairs.readings.parse import parse, raw_of
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.words import advice_words
from tests.readings import samples
from tests.readings.pages import page_of

SHEET = SHEETS["force_turn"]


def told(language="en", **said):
    words = samples.force() | said
    computed = measured(SHEET, parse(SHEET, raw_of(SHEET, words)))
    with translation.override(language):
        chart = SHEET.chart(computed.given, computed.output, None, None)
        return [advice_words(line) for line in computed.advice], chart


def test_the_swing_is_said_by_turn_and_by_second():
    said, _chart = told()

    # 0.07 mm on a lift of 1.0 mm: 7 %; 0.1 mm of doubt of the lift, 0.002 of the rim: 0.7 %.
    assert said[0] == (
        "Chanterelle: the force swings by ±7.0 % (u 0.7 %) once a turn; at 60 turns a minute that "
        "is once a second: it is heard more often than not."
    )
    assert said[1].startswith("Mouche: the force swings by ±5.0 % (u 0.4 %) once a turn")
    assert said[-1].startswith("What swings once a turn goes when the wheel is centred")


def test_it_is_said_in_french():
    said, chart = told("fr")

    assert said[0] == (
        "Chanterelle\u00a0: l’appui varie de ±7,0\u00a0% (u 0,7\u00a0%) une fois par tour\u202f; à "
        "60 tours par minute, c’est une fois par seconde\u00a0: cela s’entend le plus souvent."
    )
    assert "place sous la corde" in chart.svg
    assert "3\u00a0%\u00a0: passe" in chart.svg


def test_an_oval_wheel_is_not_told_to_be_centred():
    said, _chart = told(ecc_mm="", oval_mm="0,08")

    assert "twice a turn; at 60 turns a minute that is twice a second" in said[0]
    assert said[-1].startswith("What swings twice a turn is an oval wheel")
    assert not any("centred on its axle" in line for line in said)


def test_two_lobes_are_added_up_and_a_rim_that_leaves_a_string_is_told():
    said, _chart = told(oval_mm="0,04", **{"lift_mm-1": "0,06"})

    assert any("all lobes together" in line for line in said)
    assert any("the rim leaves it for a part of each turn" in line for line in said)


def test_a_lobe_in_the_noise_swings_nothing():
    said, chart = told(ecc_mm="0,002", oval_mm="", oval_at_deg="")

    assert said == ["No lobe of the rim is sure enough to make a force swing."]
    assert chart is None


def test_the_drawing_runs_with_time_and_tells_strings_apart_without_colour():
    _said, chart = told()

    places = [int(one) for one in re.findall(r">(\d+)°<", chart.svg)]
    across = [float(one) for one in re.findall(r'<text x="([\d.]+)"[^>]*>\d+°<', chart.svg)]
    assert places == [360, 270, 180, 90, 0]
    assert across == sorted(across)
    curves = re.findall(r"<polyline points=\"[^\"]+\"[^>]+>", chart.svg)
    assert sum("stroke-dasharray" in one for one in curves) == 1
    assert "Chanterelle: ±8" in chart.svg or "Chanterelle: ±7" in chart.svg
    assert "by ±" in chart.alt


@pytest.mark.parametrize(
    ("hz", "words"),
    [(1.0, "once a second"), (2.0, "twice a second"), (1.5, "1.5 times a second")],
)
def test_a_pulse_in_words(hz, words):
    with translation.override("en"):
        assert pace_words(hz) == words


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"lift_mm-1": ""}, "Lift at the wheel, without cotton, row 1"),
        ({"lift_mm-2": "-1"}, "Lift at the wheel, without cotton, row 2"),
        ({"ecc_mm": "dix"}, "Eccentricity"),
        ({"ecc_mm": "7"}, "Eccentricity"),
        ({"ecc_at_deg": "1000"}, "Its high spot"),
        ({"turns_per_min": "600"}, "Crank, as it is turned"),
        ({"from_bridge_mm-1": "999"}, "Wheel, from the bridge, row 1"),
    ],
)
def test_what_cannot_be_is_said_with_its_place_and_stays_typed(
    client, armand, case, said, sentence
):
    client.force_login(armand)

    answer = client.post(
        samples.address(case, "force_turn"), samples.force() | said | samples.about()
    )

    assert sentence in page_of(answer)
    for value in said.values():
        assert not value or f'value="{value}"' in answer.text


@pytest.mark.django_db
def test_a_reading_of_the_wheel_says_what_each_string_feels(client, armand, case):
    client.force_login(armand)
    wheel = samples.reading(case, by=armand)
    page = page_of(client.get(wheel.get_absolute_url()))
    assert "No lift of a string is known yet" in page

    samples.reading(case, by=armand, gauge="force_turn", words=samples.force())
    page = page_of(client.get(wheel.get_absolute_url()))

    # The dial's 10 hundredths on a lift of 1.0 mm.
    assert "Chanterelle: the force swings by ±10" in page
    assert "Pulses a second (Hz)" in page


@pytest.mark.django_db
def test_the_lobes_of_the_last_reading_of_the_wheel_are_offered(client, armand, case):
    client.force_login(armand)
    wheel = samples.reading(case, by=armand)

    page = client.get(samples.address(case, "force_turn")).text

    assert re.search(r'name="ecc_mm" value="0.100\d"', page)
    assert re.search(r'name="ecc_at_deg"[^>]*value="60"', page)
    assert not re.search(r'name="oval_mm"[^>]*value="0', page)
    assert f"reading {wheel.number}" in page_of(client.get(samples.address(case, "force_turn")))
