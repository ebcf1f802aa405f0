"""Up to which note a keybox can be played: what stops it, is only doubtful, or is missing."""

from __future__ import annotations

import pytest

from repairs.gauges.action.gauge import DEFAULT_LIMITS
from tests.gauges.action.boxes import STRING, box, key, run

ALL_OPEN: dict[str, dict[str, float]] = {name: {} for name in DEFAULT_LIMITS}
FAR = (22, 43, 63)


def keys(*words):
    """Three keys whose return is noted so; nothing else of them is near its limit."""
    return [key(n, at, returns=word) for n, at, word in zip((3, 5, 8), FAR, words, strict=True)]


@pytest.mark.parametrize(
    ("words", "up_to", "surely", "fail", "doubt"),
    [
        (("free", "free", "free"), 8, 8, None, None),
        (("free", "free", "sticks"), 5, 5, 8, None),
        (("free", "free", "slow"), 8, 5, None, 8),
        (("free", "slow", "sticks"), 5, 3, 8, 5),
        (("free", "sticks", "slow"), 3, 3, 5, 8),
        (("sticks", "free", "free"), 0, 0, 3, None),
        (("slow", "sticks", "sticks"), 3, 0, 5, 3),
    ],
)
def test_the_last_note_before_the_first_that_fails(words, up_to, surely, fail, doubt):
    got = run(box(keys(*words)))

    assert (got["playable_up_to"], got["surely_up_to"]) == (up_to, surely)
    assert (got["first_fail"] or {}).get("note") == fail
    assert (got["first_doubt"] or {}).get("note") == doubt
    said = {"free": "inside", "slow": "doubtful", "sticks": "outside"}
    assert [n["word"] for n in got["notes"]] == ["inside", *(said[word] for word in words)]
    assert [n["note"] for n in got["notes"]] == [0, 3, 5, 8]
    assert [n["because"] for n in got["notes"][1:]] == [
        [] if word == "free" else ["returns"] for word in words
    ]


def test_the_worst_of_a_note_is_named_first_and_each_reason_once():
    # Both gaps of key 5 lie 0.5 apart, it sticks, and its travel is half a millimetre short.
    got = run(box([key(5, 22, (1.0, 1.5), returns="slow", travel_mm=2.0, side_play_mm=0.2)]))

    assert got["notes"][1] == {"note": 5, "word": "outside", "because": ["reach", "together"]}
    order = [(c["kind"], c["verdict"]["word"]) for c in got["checks"] if c["note"] == 5]
    words = [word for _kind, word in order]
    assert words == sorted(words, key=["outside", "doubtful", "inside"].index)
    assert order[:2] == [("reach", "outside"), ("together", "outside")]
    assert ("returns", "doubtful") in order[2:4]


def test_a_gap_or_a_play_beside_the_usual_stops_no_note():
    got = run(box([key(5, 22, (3.5, 3.5), side_play_mm=0.9)]))

    assert (got["playable_up_to"], got["surely_up_to"], got["first_fail"]) == (5, 5, None)
    assert {p["because"] for p in got["prescriptions"]} == {"rest_gap", "side_play"}


def test_where_the_house_judges_nothing_nothing_is_playable_nor_stopped():
    got = run(box([key(5, 22)], limits=ALL_OPEN))

    assert (got["playable_up_to"], got["surely_up_to"]) == (None, None)
    assert [n["word"] for n in got["notes"]] == ["not_judged", "not_judged"]
    assert got["prescriptions"] == []
    assert got["not_judged"] == [
        "clear_own", "reach", "flag_low", "flag_high", "shank", "wall", "lid", "wheel_edge",
        "returns", "side_play", "together", "clear_other",
    ]  # fmt: skip


def test_what_is_missing_of_one_string_and_of_two():
    one = box([{"key": 5, "at_mm": 22, "gap_mm": 1.5, "travel_mm": 4, "returns": "free"}])
    one["strings"] = [STRING]

    assert run(one)["not_judged"] == [
        "flag_low", "flag_high", "shank", "wall", "lid", "wheel_edge", "side_play",
    ]  # fmt: skip
    two = run(box([key(5, 22, travel_mm=4, returns="free")]))["not_judged"]
    assert two[-1] == "clear_other" and "together" not in two


def test_checks_stand_by_note_and_then_by_key():
    data = box([key(n, at, shank_height_mm=10) for n, at in ((3, 22), (5, 43))])

    got = run(data)["checks"]

    assert [c["note"] for c in got] == sorted(c["note"] for c in got)
    shanks = [c["key"] for c in got if c["kind"] == "shank"]
    assert shanks == [3, 3, 5, 5]
    assert [line["string"] for line in run(data)["lines"]] == [1, 2]
