"""The dog's foot by chalk and paper, its tail in the slot, and the edge that wears the cotton."""

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges


def hints(gauge, **noted):
    found = gauges()[gauge].run({"string": "trompette", **noted})["hints"]
    return {hint["code"]: tuple(hint["try_this"]) for hint in found}


@pytest.mark.parametrize(
    ("noted", "tried"),
    [
        ({"foot_full": False}, ("chalk_print", "paper_under_foot", "scrape_foot")),
        ({"foot_print": "toe"}, ("paper_under_foot", "scrape_toe")),
        ({"foot_print": "heel", "foot_paper": "slips"}, ("scrape_heel",)),
        ({"foot_print": "side", "foot_paper": "held"}, ("scrape_side",)),
        ({"foot_paper": "slips"}, ("chalk_print", "scrape_foot")),
    ],
)
def test_a_foot_is_looked_at_by_chalk_and_paper_and_scraped_where_it_bears(noted, tried):
    assert hints("dog_card", onset="never", **noted) == {"foot_stuck": tried}


@pytest.mark.parametrize("onset", ["never", "always", "late"])
def test_a_whole_print_and_a_held_paper_leave_the_foot_alone(onset):
    found = hints("dog_card", onset=onset, foot_print="whole", foot_paper="held")

    assert not any("scrape" in deed for tried in found.values() for deed in tried)


@pytest.mark.parametrize(
    ("play", "found"),
    [
        # 0.1 to 0.3 mm, with 1.645 times 0.03 mm of doubt.
        (0.0, {"dog_tight_in_slot": ("ease_slot",)}),
        (0.06, {}),
        (0.2, {}),
        (0.34, {}),
        (0.36, {"dog_loose_in_slot": ("wedge_slot",)}),
    ],
)
def test_the_play_of_the_tail_is_spoken_of(play, found):
    assert hints("dog_card", onset="crisp", play_mm=play) == found


def test_the_play_has_its_verdict():
    verdict = gauges()["dog_card"].run({"string": "a", "play_mm": 0.5})["play_verdict"]

    assert (verdict["word"], verdict["limit"]["upper"]) == ("outside", 0.3)


@pytest.mark.parametrize(
    ("edge", "deed"),
    [
        (None, "move_slot_or_bridge"),
        ("bridge_side", "raise_at_bridge"),
        ("nut_side", "lower_at_bridge"),
    ],
)
def test_a_worn_edge_says_which_way_the_string_goes(edge, deed):
    noted = {"cotton_wear": "one_edge"} | ({"worn_edge": edge} if edge else {})

    assert hints("voicing_card", **noted)["string_not_square"] == (deed,)


@pytest.mark.parametrize(
    ("gauge", "noted", "field"),
    [
        ("dog_card", {"foot_full": True, "foot_print": "toe"}, "foot_print"),
        ("dog_card", {"foot_full": True, "foot_paper": "slips"}, "foot_paper"),
        ("voicing_card", {"cotton_wear": "even", "worn_edge": "nut_side"}, "worn_edge"),
    ],
)
def test_an_eye_and_a_chalk_that_contradict_one_another_are_refused(gauge, noted, field):
    with pytest.raises(GaugeInputError) as refused:
        gauges()[gauge].run({"string": "a", **noted})

    assert (refused.value.code, refused.value.field) == ("contradicts", field)
