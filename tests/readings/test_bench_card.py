"""The card of the bench: only what is to be done, where, which way and how far."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from django.utils import timezone, translation

from repairs.readings.bench_card import BenchCard, cards_of
from repairs.readings.cards.codes import DRAWN
from repairs.readings.models import Prescription
from repairs.readings.setup.actions import begin
from repairs.readings.setup_models import SetUpMark
from repairs.readings.show import prescription_words
from repairs.screens.drawings import drawing
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


def test_cleaning_and_rest_come_before_any_blow(case, armand):
    reading = samples.reading(case, by=armand)

    (card,) = cards_of(reading)

    said = [line.way for line in card.lines]
    tap = next(n for n, line in enumerate(card.lines) if line.name == "60°")
    assert said.index("Clean the rim and rosin it again.") < tap
    assert said.index("Let it acclimatise at its target humidity.") < tap
    assert said.index("Re-seat the hub or shim it.") + 1 == tap


def test_the_wheel_is_drawn_with_its_crank_its_places_and_where_to_tap(case, armand):
    reading = samples.reading(case, by=armand)

    (card,) = cards_of(reading)

    assert card.chart_said == "The wheel seen from the crank, tap at 60°, or shim at 240°"
    for words in ("crank, 0°", "tap 60°", "shim 240°"):
        assert f">{words}</text>" in card.chart
    assert card.chart.count('r="3.00"') == 24  # a dot for each place that was read


def test_a_cut_comes_after_its_consent_and_says_that_it_cannot_be_undone(case, armand, client):
    done = {"surface": "clean", "acclimatised": "yes", "recentred": "yes", "leave": "yes"}
    words = samples.wheel(samples.wheel_rows(ecc=0, oval=12), rim="original", **done)
    reading = samples.reading(case, by=armand, words=words)
    (card,) = cards_of(reading)

    said = [line.way for line in card.lines]
    assert said.index("Have the consent to turning.") < said.index("to turn off")
    assert [line.way for line in card.lines if line.is_cut][-1] == "to turn off"
    client.force_login(armand)
    page = client.get(reverse("readings:card", args=[case.number, 1])).text
    assert "cannot be undone" in page


def test_all_that_one_key_asks_for_is_one_row_with_one_tick(case, armand):
    reading = samples.reading(case, by=armand, gauge="action")
    rows = list(samples.result_of(reading).prescriptions.filter(target="3", amount__gt=0))

    (card,) = cards_of(reading)

    (line,) = (one for one in card.lines if one.name == "3")
    assert len(rows) == len(line.acts) > 1
    assert all(act.far.endswith("\u00a0mm") for act in line.acts)
    assert line.where == "key"


@pytest.mark.parametrize(("language", "note"), [("en", "B"), ("fr", "si")])
def test_a_key_is_called_by_its_note_where_the_strings_were_read(
    case, armand, language, note, client
):
    samples.reading(case, by=armand, gauge="string_set")  # its chanterelle is g′, 392 Hz
    card = card_of(case, by=armand)

    assert [(line.name, line.where) for line in card.lines] == [("B", "key 4"), ("E", "key 9")]
    with translation.override(language):
        again = cards_of(case.readings.get(gauge="correction"))
    assert again[0].lines[0].name == note


def test_without_a_reading_of_the_strings_no_note_is_guessed(case, armand):
    card = card_of(case, by=armand)

    assert [(line.name, line.where) for line in card.lines] == [("4", "key"), ("9", "key")]


def test_the_end_of_a_card_asks_for_the_reading_and_what_rests_on_it(case, armand):
    card = card_of(case, by=armand)

    assert card.again == (
        "When all is done, read again: keys, cents from a tuner. Then what rests on it: dog."
    )


def test_the_play_of_the_dog_is_spoken_of(case, armand):
    words = samples.SAMPLES["dog_card"]() | {"play_mm": "0,4", "foot_full": "no"}
    reading = samples.reading(case, by=armand, gauge="dog_card", words=words)

    (card,) = cards_of(reading)

    assert any(one.startswith("Play in its slot: 0,4 mm.") for one in card.sayings)


@pytest.mark.parametrize("gauge", samples.SAMPLES)
def test_the_drawings_of_a_card_are_there(case, armand, gauge, client):
    samples.reading(case, by=armand, gauge=gauge)
    client.force_login(armand)

    assert client.get(reverse("readings:card", args=[case.number, 1])).status_code == 200


def test_every_act_that_has_a_drawing_has_one_of_ours():
    for _start, names in DRAWN:
        assert all(drawing(name).startswith("<svg") for name in names)


def test_from_the_card_the_change_is_noted_in_the_set_up_with_one_tap(case, armand, client):
    begin(case, by=armand, at=timezone.now())
    samples.reading(case, by=armand)
    client.force_login(armand)
    page = client.get(reverse("readings:card", args=[case.number, 1])).text
    sent = dict(re.findall(r'name="(step|known|tap)" value="([^"]+)"', page))

    client.post(reverse("readings:setup_mark", args=[case.number]), sent | {"what": "changed"})

    assert [(row.step, row.what) for row in SetUpMark.objects.all()] == [("wheel", "changed")]


def keyboard_reading(case, armand, first: float, second: float):
    """A keyboard whose strings ask for those moves of the bridge, in mm, with u 0.05."""
    words = samples.keys(CENTS, u_cents="0,2")
    reading = samples.reading(case, by=armand, gauge="correction", words=words)
    result = samples.result_of(reading)
    Prescription.objects.bulk_create(
        Prescription(
            result=result,
            position=100 + place,
            code="keys.move_bridge",
            target=name,
            amount=amount,
            u=0.05,
            unit="mm",
        )
        for place, (name, amount) in enumerate((("first", first), ("second", second)))
    )
    return case.readings.get(pk=reading.pk)


def test_two_strings_that_ask_differently_of_one_bridge_are_told_its_skew(case, armand):
    (card,) = cards_of(keyboard_reading(case, armand, 1.81, 1.35))

    assert card.lines[0].way == (
        "Bridge askew: under the first chanterelle 1.8\u00a0mm away from the nut, under the second "
        "chanterelle 1.4\u00a0mm away from the nut; 0.46\u00a0mm between the two. Then read all "
        "keys again, before any tangent."
    )
    assert [line.name for line in card.lines[1:]] == ["4", "9"]
    assert not any("bridge" in words for words in card.sayings)


def test_a_skew_within_the_uncertainty_is_one_move_of_the_bridge(case, armand):
    (card,) = cards_of(keyboard_reading(case, armand, -0.62, -0.58))

    line = card.lines[0]
    assert (line.name, line.far, line.way) == ("Bridge", "0.6\u00a0mm", "towards the nut")


def test_ends_that_go_opposite_ways_are_told_with_both_ways(case, armand):
    (card,) = cards_of(keyboard_reading(case, armand, 0.4, -0.3))

    assert "0.40\u00a0mm away from the nut" in card.lines[0].way
    assert "0.30\u00a0mm towards the nut; 0.7\u00a0mm between the two" in card.lines[0].way
