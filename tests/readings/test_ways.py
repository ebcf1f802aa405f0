"""Every instruction says which way, in words that need no sign, and none asks for nothing."""

from __future__ import annotations

import re

import pytest
from django.utils import translation

from repairs.gauges.action.changes import CHANGES
from repairs.gauges.everything import gauges
from repairs.readings.sheets.base import Advice
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.words import ADVICE, LEAST, advice_words, is_worth_doing
from tests.gauges.action.boxes import STRING, box, key
from tests.readings.test_order import change, drawn, lines_of

# A way in words: from or to something, up or down, more or less of something.
WAYS = re.compile(
    r"\b(nearer to|away from|towards|higher|lower|raise|down|deep\w*|off|more|thin\w*|deeper|up|"
    r"further in|bushing|wid\w+|tighten|slacken|lighter|heavier|harder|anew|another|first|wipe|"
    r"glue|scrape|with it|same way|print|pare|held|back and forth|white where)\b",
    re.IGNORECASE,
)
SIGNED = re.compile(r"\(\+|\(−|\+ to|\+ away|[^\w][+−-]\d")
MINE = ("action.", "try.")
SAYINGS = ("action.first_fail", "action.open_fails", "action.all", "action.consent")


def english(line: Advice) -> str:
    with translation.override("en"):
        return advice_words(line)


@pytest.mark.parametrize("code", sorted(c for c in ADVICE if c.startswith(MINE)))
def test_each_sentence_of_the_keybox_and_the_cards_says_which_way(code):
    if code in SAYINGS:
        return
    with translation.override("en"):
        words = str(ADVICE[code])

    assert WAYS.search(words), words
    assert not SIGNED.search(words), words


@pytest.mark.parametrize("what", sorted({what for _verb, what in CHANGES}))
@pytest.mark.parametrize("gap", [0.4, -0.4])
def test_nearer_and_away_are_two_sentences(what, gap):
    """Of whatever moves across a string, the opposite move reads otherwise."""
    for verb in sorted(verb for verb, thing in CHANGES if thing == what):
        if what == "tangent" and verb in ("turn", "ease", "repin"):
            one = change(verb, what, 7) | {"gap_change_mm": gap}
            there, back = (
                english(
                    SHEETS["action"].advice({}, out_of(one | {"gap_change_mm": sign * gap}))[-1]
                )
                for sign in (1, -1)
            )
            assert there != back
            said = "away from" if gap > 0 else "nearer to"
            assert said in there


def out_of(*made):
    return {"first_fail": None, "playable_up_to": None, "prescriptions": list(made)}


@pytest.mark.parametrize(
    ("turn", "end"), [(12.0, "towards the bridge"), (-12.0, "towards the head")]
)
def test_a_turn_says_to_which_end_the_face_goes(turn, end):
    one = change("turn", "tangent", 7) | {"turn_deg": turn}

    (line,) = SHEETS["action"].advice({}, out_of(one))

    assert f"by 12.0° {end}" in english(line)
    assert "-" not in english(line).replace("re-", "")


def test_the_other_tangent_goes_with_it_where_both_would_no_longer_be_met():
    one = change("turn", "tangent", 7) | {"also_other_string": True}

    lines = SHEETS["action"].advice({}, out_of(one))

    assert [line.code for line in lines] == ["action.nearer.tangent", "action.with_fellow.tangent"]
    assert "as far and the same way" in english(lines[1])


def test_a_tangent_that_both_strings_touch_is_not_told_to_go_the_wrong_way():
    """String 1 at the back of tangent 6 of string 2: that one goes nearer to string 2."""
    keys = [key(5, 100, (1.5, 1.5), thickness_mm=2.0), key(6, 130, (1.5, 1.5), thickness_mm=2.0)]
    given = {**box(keys, spacing_nut_mm=4.6, spacing_bridge_mm=4.6), "length_mm": 345}
    given["strings"] = [{**STRING, "amplitude_mm": 0.6}, STRING]

    lines = SHEETS["action"].advice(given, gauges()["action"].run(given))
    said = [english(line) for line in lines if line.code.endswith(".tangent")]
    said = [words for words in said if "the same way" not in words]

    assert said
    assert all("string 2: bring its face" in words and "nearer" in words for words in said)


@pytest.mark.parametrize("code", sorted(c for c, w in ADVICE.items() if "%(amount)s" in str(w)))
@pytest.mark.parametrize("unit", sorted(LEAST))
def test_nothing_below_the_last_digit_is_prescribed_by_any_gauge(code, unit):
    least = LEAST[unit]

    assert not is_worth_doing(Advice(code, "1", 0.0, 0.1, unit))
    assert not is_worth_doing(Advice(code, "1", -0.99 * least, 0.1, unit))
    assert is_worth_doing(Advice(code, "1", -least, 0.1, unit))


NOTHING = re.compile(r"(?<![\d.,])0(\.0+)? ?(±|mm|cents)")


@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_no_sheet_tells_anyone_to_move_something_by_nothing(gauge):
    for words in drawn(gauge, 12):
        for line in lines_of(gauge, words):
            assert not NOTHING.search(english(line).replace("\u00a0", " ")), english(line)
