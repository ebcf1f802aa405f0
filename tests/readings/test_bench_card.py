"""The card of the bench: only what is to be done, where, which way and how far."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from django.utils import translation

from repairs.readings.bench_card import BenchCard, cards_of
from repairs.readings.models import Prescription
from repairs.readings.show import prescription_words
from tests.readings import samples

# Key 4 stands sharp and key 9 flat: the one goes to the nut, the other to the wheel.
CENTS = dict.fromkeys(range(1, 13), "0") | {4: "8", 9: "-8"}


def card_of(case, *, by) -> BenchCard:
    words = samples.keys(CENTS, u_cents="0,2")
    reading = samples.reading(case, by=by, gauge="correction", words=words)
    (card,) = cards_of(reading)
    return card


def test_only_what_is_to_be_moved_stands_on_the_card_in_the_order_of_the_keys(case, armand):
    card = card_of(case, by=armand)

    assert card.title == "2 tangents to move"
    assert [(line.name, line.way) for line in card.lines] == [
        ("4", "← towards the nut"),
        ("9", "towards the wheel →"),
    ]
    assert [line.why.split()[-1] for line in card.lines] == ["sharp", "flat"]
    assert [key.number for key in card.keys if key.is_wrong] == ["4", "9"]
    assert card.leave == "The 10 other keys stand right: do not touch them."


def test_how_far_is_the_prescription_s_own_figure(case, armand):
    card = card_of(case, by=armand)

    told = {row.target: row for row in Prescription.objects.filter(code="keys.move")}
    for line in card.lines:
        amount = told[f"first, {line.name}"].amount
        assert amount is not None
        assert line.far == f"{abs(amount):.1f}\u00a0mm"
        assert ("wheel" in line.way) is (amount > 0)


def test_a_left_handed_instrument_has_its_arrows_the_other_way(case, armand):
    type(case.instrument).objects.update(left_handed=True)
    case.instrument.refresh_from_db()

    card = card_of(case, by=armand)

    assert {line.way for line in card.lines} == {"towards the nut →", "← towards the wheel"}
    assert card.left_handed


def test_keys_that_are_right_have_no_card(case, armand):
    words = samples.keys(dict.fromkeys(CENTS, "0"), u_cents="0,2")
    reading = samples.reading(case, by=armand, gauge="correction", words=words)

    assert cards_of(reading) == []


def test_the_card_of_a_wheel_says_where_to_tap_and_where_to_shim(case, armand):
    reading = samples.reading(case, by=armand)

    (card,) = cards_of(reading)

    tap, shim = (line for line in card.lines if line.name)
    assert (tap.name, shim.name) == ("60°", "240°")
    assert tap.far == shim.far == "0.10\u00a0mm"
    assert card.chart.startswith("<svg")
    steps = [line.way for line in card.lines if not line.name]
    assert "Measure again." in steps
    assert len({line.key for line in card.lines}) == len(card.lines)


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.parametrize("gauge", samples.SAMPLES)
def test_every_gauge_that_prescribes_has_its_card(case, armand, gauge, language):
    reading = samples.reading(case, by=armand, gauge=gauge)

    with translation.override(language):
        cards = cards_of(reading)

    assert all(line.way for card in cards for line in card.lines)


def test_a_line_without_words_of_its_own_is_said_as_the_reading_says_it(case, armand):
    reading = samples.reading(case, by=armand)
    rows = [row for row in samples.result_of(reading).prescriptions.all() if ".step." in row.code]

    (card,) = cards_of(reading)

    said = {line.way for line in card.lines}
    assert {prescription_words(row) for row in rows} <= said


@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_page_of_the_card_can_be_ticked_and_printed(case, armand, client, language):
    armand.language = language
    armand.save()
    card_of(case, by=armand)
    client.force_login(armand)

    page = client.get(reverse("readings:card", args=[case.number, 1])).text

    assert len(re.findall(r'<input type="checkbox" name="\d+">', page)) == 2
    assert re.search(rf'data-ticks="{armand.pk}-\d+-first"', page)
    assert "data-print" in page
    assert case.number in page


def test_a_reading_without_work_for_the_hands_says_so(case, armand, client):
    words = samples.keys(dict.fromkeys(CENTS, "0"), u_cents="0,2")
    samples.reading(case, by=armand, gauge="correction", words=words)
    client.force_login(armand)

    page = client.get(reverse("readings:card", args=[case.number, 1])).text
    detail = client.get(reverse("readings:detail", args=[case.number, 1])).text

    assert "Nothing is to be turned" in page
    assert "checkbox" not in page
    assert reverse("readings:card", args=[case.number, 1]) not in detail
