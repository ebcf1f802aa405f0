"""Voicing and dog cards: what is refused, and what the fault table says of what is noted."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.cards import card as cards
from repairs.gauges.everything import gauges


def _codes(gauge, **noted):
    answer = gauges()[gauge].run({"string": "trompette", **noted})
    return [(hint["fault"], hint["code"]) for hint in answer["hints"]]


@pytest.mark.parametrize(
    ("noted", "hint"),
    [
        ({"paper": "passes"}, (9, "pressure_low")),
        ({"paper": "grabbed", "sound_open": "scratches"}, (10, "pressure_high")),
        (
            {"paper": "nipped", "sound_open": "scratches", "rosin_turns": 8},
            (11, "rosin_excess"),
        ),
        (
            {"sound_open": "speaks", "sound_highest": "chokes", "paper": "nipped"},
            (12, "pressure_high_at_short_length"),
        ),
        ({"sound_octave": "whistles"}, (13, "cotton_loose_or_false_string")),
        ({"pitch_follows_crank": True}, (14, "pressed_too_hard")),
        ({"cotton": "thin", "cotton_state": "bunched"}, (15, "cotton_migrates")),
        ({"cotton": "thin", "cotton_sense": "against_wheel"}, (15, "cotton_migrates")),
        ({"cotton_wear": "one_edge"}, (16, "string_not_square")),
        ({"sound_open": "chokes"}, (10, "paper_not_tried")),
    ],
)
def test_each_row_of_the_fault_table_on_a_string(noted, hint):
    assert hint in _codes("voicing_card", **noted)


@pytest.mark.parametrize(
    ("noted", "hint"),
    [
        ({"onset": "never", "foot_full": False}, (17, "foot_stuck")),
        ({"onset": "never", "foot_full": True}, (17, "tirant_slack_or_dog_heavy")),
        ({"onset": "always", "foot_full": False}, (18, "plate_uneven")),
        ({"onset": "always"}, (18, "tirant_tight_or_dog_light")),
        ({"onset": "late", "foot_full": False}, (19, "foot_gap")),
        ({"onset": "late", "foot_full": True}, (19, "dog_heavy_or_string_thick")),
        ({"onset": "crisp", "pitch_shift_cents": 12}, (20, "tirant_too_steep")),
    ],
)
def test_each_row_of_the_fault_table_on_the_dog(noted, hint):
    assert _codes("dog_card", **noted) == [hint]


def test_a_string_in_order_has_no_hint():
    noted = {
        "slot": "shim", "shim_mm": 0.1, "paper": "nipped", "cotton": "thin",
        "cotton_sense": "with_wheel", "rosin_kind": "light", "rosin_turns": 2,
        "sound_open": "speaks", "sound_octave": "speaks", "sound_highest": "speaks",
    }  # fmt: skip

    assert _codes("voicing_card", **noted) == []
    assert _codes("dog_card", onset="crisp", foot_full=True, tirant_turns=1.5) == []


def test_remedies_follow_what_the_bridge_slot_has():
    def remedy(**noted):
        return gauges()["voicing_card"].run({"string": "a", **noted})["hints"][0]["try_this"]

    assert remedy(paper="grabbed", slot="screw") == ["screw_up"]
    assert remedy(paper="grabbed", slot="plain") == ["thicker_shim"]
    assert remedy(paper="passes", slot="shim")[0] == "thinner_shim"


def test_force_is_computed_beside_and_judged_only_by_the_house():
    noted = {
        "string": "a", "tension_n": 66.3, "lift_mm": 1.0, "from_bridge_mm": 25, "length_mm": 345,
    }  # fmt: skip

    free = gauges()["voicing_card"].run(noted)
    bound = gauges()["voicing_card"].run({**noted, "limits": {"force_n": {"upper": 2}}})

    # Trade page: 66.3 N, 345 mm, 25 mm from the bridge, lifted 1 mm is 2.857 N.
    assert free["force_n"] == pytest.approx(2.857, abs=0.001)
    assert free["force_verdict"]["word"] == "not_judged"
    assert bound["force_verdict"]["word"] == "outside"
    assert gauges()["voicing_card"].run({"string": "a"})["force_n"] is None


def test_the_pitch_of_every_stop_on_and_off():
    stops = [{"stop": "capo", "on_hz": 293.665, "off_hz": 261.626}]

    card = gauges()["dog_card"].run({"string": "trompette", "stops": stops})["card"]

    assert card["stops"][0]["cents"] == pytest.approx(200.0, abs=0.01)


def test_onset_speed_is_judged_only_by_the_house():
    noted = {"onset": "crisp", "onset_rpm": 150}

    assert _codes("dog_card", **noted) == []
    assert _codes("dog_card", **noted, limits={"onset_rpm": {"upper": 120}}) == [
        (19, "dog_heavy_or_string_thick")
    ]


@pytest.mark.parametrize(
    ("gauge", "noted", "field", "row", "words"),
    [
        ("voicing_card", {"string": ""}, "string", None, "missing"),
        ("voicing_card", {"on_hook": True, "sound_open": "speaks"}, "sound_open", None, "on_hook"),
        ("voicing_card", {"cotton": "none", "cotton_sense": "with_wheel"},
         "cotton_sense", None, "Correct one"),
        ("voicing_card", {"slot": "screw", "shim_mm": 0.2}, "shim_mm", None, "Correct one"),
        ("voicing_card", {"slot": "shim", "screw_turns": 2}, "screw_turns", None, "Correct one"),
        ("voicing_card", {"from_bridge_mm": 400, "length_mm": 345}, "from_bridge_mm", None, "345"),
        ("voicing_card", {"paper": "torn"}, "paper", None, "grabbed"),
        ("voicing_card", {"on_hook": "yes"}, "on_hook", None, "true, false"),
        ("voicing_card", {"shim_mm": 30}, "shim_mm", None, "Check the unit"),
        ("voicing_card", {"rosin_turns": "two"}, "rosin_turns", None, "not a number"),
        ("voicing_card", {"stops": [{"stop": "capo", "on_hz": 200}]}, "off_hz", 1, "missing"),
        ("voicing_card", {"stops": [{"on_hz": 200, "off_hz": 100}]}, "stop", 1, "missing"),
        ("voicing_card", {"foot_full": True}, "input", None, "Known are"),
        ("dog_card", {"onset": "never", "tirant_turns": 1}, "tirant_turns", None, "never"),
        ("dog_card", {"onset": "never", "onset_rpm": 60}, "onset_rpm", None, "never"),
        ("dog_card", {"onset": "always", "tirant_turns": 1}, "tirant_turns", None, "always"),
    ],
)  # fmt: skip
def test_a_card_that_cannot_be_is_refused(gauge, noted, field, row, words):
    with pytest.raises(GaugeInputError) as refusal:
        gauges()[gauge].run({"string": "a", **noted})

    assert words in str(refusal.value)
    assert (refusal.value.field, refusal.value.row) == (field, row)


@settings(deadline=None, max_examples=100, derandomize=True)
@given(
    st.fixed_dictionaries(
        {"string": st.just("a")},
        optional={
            "paper": st.sampled_from(cards.PAPERS),
            "cotton": st.sampled_from(cards.COTTONS),
            "cotton_sense": st.sampled_from(cards.SENSES),
            "sound_open": st.sampled_from(cards.SOUNDS),
            "sound_highest": st.sampled_from(cards.SOUNDS),
            "rosin_turns": st.floats(0, 20),
            "on_hook": st.booleans(),
        },
    )
)
def test_hints_stand_in_the_order_of_the_table_and_name_real_fields(noted):
    try:
        answer = gauges()["voicing_card"].run(noted)
    except GaugeInputError as refusal:
        assert refusal.code == "contradicts"
        return
    json.dumps(answer, allow_nan=False)
    named = {name for hint in answer["hints"] for name in hint["because"]}
    assert named <= set(answer["card"])
    assert all(9 <= hint["fault"] <= 16 for hint in answer["hints"])
