"""Hints of the cards where they turn over; what each is read from, and what may be tried."""

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges


def hints(gauge="voicing_card", **noted):
    found = gauges()[gauge].run({"string": "a", **noted})["hints"]
    return {hint["code"]: (hint["fault"], hint["because"], hint["try_this"]) for hint in found}


@pytest.mark.parametrize(
    ("noted", "expected"),
    [
        (
            {"paper": "passes"},
            {"pressure_low": (9, ["paper"], ["lower_slot", "more_cotton"])},
        ),
        (
            {"paper": "grabbed", "slot": "screw"},
            {"pressure_high": (10, ["paper"], ["screw_up"])},
        ),
        (
            {"paper": "nipped", "sound_open": "scratches", "rosin_turns": 5.1},
            {"rosin_excess": (11, ["sound_open", "rosin_turns"], ["wipe", "harder_rosin"])},
        ),
        ({"paper": "nipped", "sound_open": "scratches", "rosin_turns": 5.0}, {}),
        ({"paper": "nipped", "sound_open": "scratches"}, {}),
        ({"paper": "nipped", "sound_open": "speaks", "rosin_turns": 9}, {}),
        (
            # A strip that is grabbed is reason enough: the rosin is not blamed beside it.
            {"paper": "grabbed", "sound_octave": "scratches", "rosin_turns": 9},
            {"pressure_high": (10, ["paper"], ["thicker_shim"])},
        ),
        (
            {"paper": "nipped", "sound_open": "speaks", "sound_highest": "scratches"},
            {
                "pressure_high_at_short_length": (
                    12,
                    ["sound_open", "sound_highest"],
                    ["thicker_shim", "thinner_cotton"],
                )
            },
        ),
        ({"paper": "nipped", "sound_open": "chokes", "sound_highest": "chokes"}, {}),
        ({"paper": "nipped", "sound_open": "speaks", "sound_highest": "speaks"}, {}),
        (
            {"sound_highest": "whistles", "sound_open": "whistles"},
            {
                "cotton_loose_or_false_string": (
                    13,
                    ["sound_open", "sound_highest"],
                    ["move_cotton", "recotton", "change_string"],
                )
            },
        ),
        (
            {"pitch_follows_crank": True, "slot": "screw"},
            {"pressed_too_hard": (14, ["pitch_follows_crank"], ["screw_up", "more_cotton"])},
        ),
        ({"pitch_follows_crank": False}, {}),
        (
            {"cotton": "thin", "cotton_sense": "with_wheel", "cotton_state": "bunched"},
            {"cotton_migrates": (15, ["cotton_state", "cotton_sense"], ["recotton_thin"])},
        ),
        ({"cotton": "thin", "cotton_sense": "with_wheel", "cotton_state": "in_place"}, {}),
        (
            {"cotton_wear": "one_edge"},
            {"string_not_square": (16, ["cotton_wear"], ["move_slot_or_bridge"])},
        ),
        ({"cotton_wear": "even"}, {}),
        (
            {"sound_octave": "chokes"},
            {"paper_not_tried": (10, ["sound_octave", "paper"], ["try_paper"])},
        ),
        ({"sound_octave": "chokes", "paper": "nipped"}, {}),
    ],
)
def test_hints_of_a_string(noted, expected):
    assert hints(**noted) == expected


@pytest.mark.parametrize(
    ("slot", "lower"),
    [("shim", "thinner_shim"), ("screw", "screw_down"), ("plain", "lower_slot")],
)
def test_a_string_is_let_down_by_what_holds_it(slot, lower):
    assert hints(paper="passes", slot=slot)["pressure_low"][2] == [lower, "more_cotton"]


@pytest.mark.parametrize(
    ("noted", "codes"),
    [
        ({"onset": "never", "foot_full": False}, ["foot_stuck"]),
        ({"onset": "never"}, ["tirant_slack_or_dog_heavy"]),
        ({"onset": "always", "foot_full": False}, ["plate_uneven"]),
        ({"onset": "always", "foot_full": True}, ["tirant_tight_or_dog_light"]),
        ({"onset": "crisp", "foot_full": False}, []),
        ({"onset": "crisp", "onset_rpm": 120}, []),  # the house has set no limit
        ({"onset": "crisp", "pitch_shift_cents": 6.6}, []),  # 5 + 1.645: doubtful still
        ({"onset": "crisp", "pitch_shift_cents": 6.7}, ["tirant_too_steep"]),
        ({"onset": "crisp", "pitch_shift_cents": -6.7}, ["tirant_too_steep"]),
    ],
)
def test_hints_of_the_dog(noted, codes):
    assert list(hints("dog_card", **noted)) == codes


@pytest.mark.parametrize(("rpm", "is_slow"), [(98.2, False), (98.3, True)])
def test_an_onset_beyond_the_speed_of_the_house_is_slow(rpm, is_slow):
    # 90 turns a minute, with 1.645 times 5 of doubt: 98.2 may still be inside.
    limits = {"onset_rpm": {"upper": 90}}

    found = hints("dog_card", onset="crisp", foot_full=True, onset_rpm=rpm, limits=limits)

    assert list(found) == (["dog_heavy_or_string_thick"] if is_slow else [])


def test_the_force_is_reckoned_only_from_all_four():
    given = {"lift_mm": 1.0, "from_bridge_mm": 25, "length_mm": 345, "tension_n": 66.3}
    force = gauges()["voicing_card"].run({"string": "a", **given})

    assert force["force_n"] == pytest.approx(2.857, abs=0.003)
    assert force["force_verdict"]["u"] == pytest.approx(0.1 * force["force_n"])
    for name in given:
        less = {key: value for key, value in given.items() if key != name}
        assert gauges()["voicing_card"].run({"string": "a", **less})["force_n"] is None


@pytest.mark.parametrize(
    ("gauge", "noted", "field", "said"),
    [
        ("voicing_card", {"on_hook": True, "sound_open": "speaks"}, "sound_open", "true"),
        ("voicing_card", {"shim_mm": 0.1, "slot": "screw"}, "shim_mm", "screw"),
        ("voicing_card", {"screw_turns": 1, "slot": "shim"}, "screw_turns", "shim"),
        ("voicing_card", {"cotton": "none", "cotton_state": "bunched"}, "cotton_state", "none"),
        ("voicing_card", {"from_bridge_mm": 345, "length_mm": 345}, "from_bridge_mm", "345.0"),
        ("dog_card", {"onset": "never", "tirant_turns": 0}, "tirant_turns", "never"),
        ("dog_card", {"onset": "never", "onset_rpm": 60}, "onset_rpm", "never"),
        ("dog_card", {"onset": "always", "tirant_turns": 0.5}, "tirant_turns", "always"),
    ],
)
def test_what_cannot_both_be_true_is_refused(gauge, noted, field, said):
    with pytest.raises(GaugeInputError) as refused:
        gauges()[gauge].run({"string": "a", **noted})

    assert (refused.value.code, refused.value.field) == ("contradicts", field)
    assert refused.value.details["limit"] == said


@pytest.mark.parametrize(
    ("gauge", "noted"),
    [
        ("voicing_card", {"on_hook": True}),
        ("voicing_card", {"on_hook": False, "sound_open": "speaks"}),
        ("voicing_card", {"shim_mm": 0, "slot": "plain"}),
        ("voicing_card", {"shim_mm": 0.1, "slot": "shim"}),
        ("voicing_card", {"screw_turns": 1, "slot": "screw"}),
        ("voicing_card", {"cotton": "none"}),
        ("voicing_card", {"from_bridge_mm": 344, "length_mm": 345}),
        ("voicing_card", {"length_mm": 345}),
        ("dog_card", {"onset": "always", "tirant_turns": 0}),
        ("dog_card", {"onset": "crisp", "tirant_turns": 1, "onset_rpm": 60}),
    ],
)
def test_what_can_be_is_taken(gauge, noted):
    assert gauges()[gauge].run({"string": "a", **noted})["card"]["string"] == "a"


def test_a_stop_is_told_in_cents():
    stops = [{"stop": "capo", "on_hz": 440.0, "off_hz": 392.0}]

    card = gauges()["dog_card"].run({"string": "a", "stops": stops})["card"]

    assert card["stops"][0]["cents"] == pytest.approx(199.98, abs=0.01)


def test_the_list_of_gauges_says_what_each_field_takes():
    says = gauges()["voicing_card"].inputs

    assert says["string"] == "text"
    assert says["on_hook"] == "true or false, optional"
    assert says["paper"] == "one of passes, nipped, grabbed, optional"
    assert says["rosin_turns"] == "0 to 100, optional"
    assert says["rosin_kind"] == "text, optional"
    assert says["stops"] == "list of stop, on_hz, off_hz, optional"
