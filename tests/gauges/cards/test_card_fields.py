"""What a card takes and gives back: lengths, rows, stops, verdicts beside the hints."""

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.cards.card import DogCard, VoicingCard
from repairs.gauges.cards.hints import DEFAULT_LIMITS, dog_hints, voicing_hints
from repairs.gauges.cards.voicing import says
from repairs.gauges.everything import gauges


def card(gauge="voicing_card", **noted):
    return gauges()[gauge].run({"string": "a", **noted})


def refused(**noted):
    with pytest.raises(GaugeInputError) as refusal:
        card(**noted)
    return refusal.value.code, refusal.value.field, refusal.value.row


def test_words_are_trimmed_and_cut():
    long = card(string=" " + "n" * 81 + " ", rosin_kind="r" * 81)["card"]

    assert (long["string"], long["rosin_kind"]) == ("n" * 80, "r" * 80)
    assert card(string=" a ")["card"]["string"] == "a"


def test_what_is_not_noted_is_not_known():
    noted = card(paper=" ", slot=None, on_hook="", rosin_turns="")["card"]

    assert (noted["paper"], noted["slot"], noted["rosin_turns"]) == (None, None, None)
    assert (noted["on_hook"], noted["stops"], noted["rosin_kind"]) == (False, [], "")


STOP = {"stop": "capo", "on_hz": 440.0, "off_hz": 220.0}


def test_stops_are_kept_in_their_order_with_their_cents():
    low = {"stop": "s" * 61, "on_hz": 8, "off_hz": 5000}

    found = card(stops=[STOP, low])["card"]["stops"]

    assert found[0] == {**STOP, "cents": 1200.0}
    assert found[1]["stop"] == "s" * 60
    assert found[1]["cents"] == pytest.approx(-11145.3, abs=0.1)  # 1200·log₂(8 / 5000)
    assert card(stops=[])["card"]["stops"] == []
    assert len(card(stops=[STOP] * 12)["card"]["stops"]) == 12


@pytest.mark.parametrize(
    ("stops", "expected"),
    [
        ("capo", ("missing", "stops", None)),
        ([STOP] * 13, ("too_many", "stops", None)),
        ([STOP, {**STOP, "stop": " "}], ("missing", "stop", 2)),
        ([STOP, {**STOP, "on_hz": 7.9}], ("too_small", "on_hz", 2)),
        ([STOP, {**STOP, "off_hz": 5000.1}], ("too_big", "off_hz", 2)),
        ([STOP, {**STOP, "cents": 1}], ("unknown", "stops", 2)),
        ([STOP, 7], ("unknown", "stops", 2)),
    ],
)
def test_a_stop_that_cannot_be(stops, expected):
    assert refused(stops=stops) == expected


@pytest.mark.parametrize(
    ("noted", "expected"),
    [
        ({"string": "  "}, ("missing", "string", None)),
        ({"string": None}, ("missing", "string", None)),
        ({"string": "a", "on_hook": 1}, ("unknown", "on_hook", None)),
        ({"on_hook": True, "sound_octave": "speaks"}, ("contradicts", "sound_octave", None)),
        ({"on_hook": True, "sound_highest": "speaks"}, ("contradicts", "sound_highest", None)),
        ({"slot": "plain", "screw_turns": -1}, ("contradicts", "screw_turns", None)),
        ({"slot": "plain", "shim_mm": 0.1}, ("contradicts", "shim_mm", None)),
    ],
)
def test_a_card_that_cannot_be(noted, expected):
    assert refused(**noted) == expected


def test_the_verdicts_of_the_dog_stand_beside_its_hints():
    limits = {"onset_rpm": {"upper": 90}}
    read = card("dog_card", onset_rpm=60, pitch_shift_cents=6, limits=limits)
    blank = card("dog_card")

    assert (read["pitch_shift_verdict"]["word"], read["pitch_shift_verdict"]["u"]) == (
        "doubtful",
        1,
    )
    assert (read["onset_rpm_verdict"]["word"], read["onset_rpm_verdict"]["u"]) == ("inside", 5)
    assert (blank["pitch_shift_verdict"], blank["onset_rpm_verdict"]) == (None, None)


# Chalk and paper are looked at before a foot is scraped.
LOOK = ("chalk_print", "paper_under_foot", "scrape_foot")


@pytest.mark.parametrize(
    ("noted", "hints"),
    [
        ({"onset": "never", "foot_full": False}, [(17, "foot_stuck", LOOK)]),
        (
            {"onset": "never"},
            [
                (
                    17,
                    "tirant_slack_or_dog_heavy",
                    ("tighten_tirant_eighth", "more_pressure_on_trompette", "lighter_dog"),
                )
            ],
        ),
        ({"onset": "always", "foot_full": False}, [(18, "plate_uneven", LOOK)]),
        (
            {"onset": "always"},
            [(18, "tirant_tight_or_dog_light", ("slacken_tirant", "heavier_dog"))],
        ),
        ({"onset": "late", "foot_full": False}, [(19, "foot_gap", LOOK)]),
        (
            {"onset": "late"},
            [(19, "dog_heavy_or_string_thick", ("thin_foot", "lighter_string"))],
        ),
        ({"pitch_shift_cents": 7}, [(20, "tirant_too_steep", ("retie_nearer_line",))]),
        (
            {"onset": "late", "pitch_shift_cents": 7},
            [
                (19, "dog_heavy_or_string_thick", ("thin_foot", "lighter_string")),
                (20, "tirant_too_steep", ("retie_nearer_line",)),
            ],
        ),
    ],
)
def test_what_may_be_tried_on_a_dog(noted, hints):
    found = dog_hints(DogCard("trompette", **noted))

    assert [(one.fault, one.code, one.try_this) for one in found] == hints


def test_a_house_without_limits_judges_no_dog():
    noted = DogCard("trompette", onset_rpm=400, pitch_shift_cents=100)

    assert dog_hints(noted, {}) == ()
    assert dog_hints(noted, DEFAULT_LIMITS)[0].code == "tirant_too_steep"


def test_hints_of_a_string_stand_in_the_order_of_the_fault_table():
    found = voicing_hints(
        VoicingCard(
            "a",
            paper="grabbed",
            sound_open="speaks",
            sound_octave="whistles",
            sound_highest="chokes",
            pitch_follows_crank=True,
            cotton_state="bunched",
            cotton_wear="one_edge",
        )
    )

    assert [one.fault for one in found] == [10, 12, 13, 14, 15, 16]


def test_each_field_of_a_card_says_what_it_takes():
    voicing, dog = says(VoicingCard), says(DogCard)

    assert voicing["string"] == dog["string"] == "text"
    assert voicing["on_hook"] == dog["foot_full"] == "true or false, optional"
    assert voicing["paper"] == "one of passes, nipped, grabbed, optional"
    assert voicing["screw_turns"] == "-20 to 20, optional"
    assert voicing["rosin_kind"] == "text, optional"
    assert dog["stops"] == "list of stop, on_hz, off_hz, optional"
    assert dog["limits"] == "own limits by name, optional"
    assert set(dog) == {
        "string", "foot_full", "foot_print", "foot_paper", "play_mm", "onset", "tirant_turns",
        "onset_rpm", "pitch_shift_cents", "stops", "limits",
    }  # fmt: skip
