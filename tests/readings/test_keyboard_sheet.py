"""What a luthier reads of a keyboard: one line a tangent with its side, and what comes first."""

from __future__ import annotations

import html

import numpy as np
import pytest
from django.utils import translation

from repairs.gauges.keys.temperament import TEMPERAMENTS
from repairs.readings.actions import compute
from repairs.readings.bench_card import cards_of
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.words import advice_words
from tests.readings import samples

pytestmark = pytest.mark.django_db
SHEET = sheet_of("correction")


def typed(first, second=(), *, more=None, **fields):
    """A keyboard as it is typed: cents by key, then cells of single rows by (key, column)."""
    words = samples.keys({key: f"{cents:g}" for key, cents in enumerate(first, 1)}, **fields)
    for key, cents in enumerate(second, 1):
        words[f"second-{key}"] = f"{cents:g}"
    return words | {f"{column}-{key}": cell for (key, column), cell in (more or {}).items()}


def told(words):
    computed = compute(SHEET, samples.raw("correction", words))
    return [advice_words(line).replace("\u00a0", " ") for line in computed.advice]


def test_a_tangent_that_is_late_is_brought_nearer_and_keeps_its_pitch():
    more = {(key, column): "1,5" for key in range(1, 8) for column in ("gap_1", "gap_2")}
    more[(4, "gap_1")] = "1,9"

    (line,) = told(typed([0.0] * 7, [0.0] * 7, more=more, offset_mm="3"))

    assert line == (
        "Tangent first chanterelle, 4: bring it 0.40 mm nearer to its string by bending it, so "
        "that the key meets both strings at once."
    )


def test_each_tangent_has_one_line_with_its_side():
    cents = [0.0] * 12
    cents[3], cents[8] = 8.0, -8.0

    lines = told(typed(cents, u_cents="0,2"))

    assert len(lines) == 2
    assert "8.0 cents sharp" in lines[0] and lines[0].endswith("towards the nut.")
    assert "8.0 cents flat" in lines[1] and lines[1].endswith("towards the wheel.")


def test_a_meantone_keyboard_is_not_moved_to_just_unasked(case, armand):
    cents = [TEMPERAMENTS["meantone"].at(key) - 100.0 * key for key in range(1, 24)]
    words = typed(np.round(cents, 1), reading="off_equal", u_cents="0,2")

    lines = told(words)

    assert len(lines) == 1
    assert lines[0].startswith(
        "As it stands, the keyboard is tuned to this temperament: quarter-comma meantone (100 %)."
    )
    reading = samples.reading(case, by=armand, gauge="correction", words=words)
    assert cards_of(reading) == []
    assert len(told(words | {"retemper": "on"})) > 8
    assert told(words | {"temperament": "as_found"}) == []


def test_all_alike_without_the_open_string_asks_for_it_and_for_nothing_else():
    (line,) = told(typed([7.0] * 12, open_cents=""))

    assert line.startswith("first chanterelle: all keys stand off alike, by 7.0 ±")
    assert line.endswith("Read the open string first; move nothing until then.")


def test_two_strings_ask_one_bridge_for_a_skew():
    # The bridge 1.81 mm too far out under the first string, 1.35 under the second.
    def off(bridge):
        left = 345.0 * 2.0 ** (-np.array([TEMPERAMENTS["just"].at(k) for k in range(1, 24)]) / 1200)
        return 1200 * np.log2((left / (left + bridge)) * ((345.0 + bridge) / 345.0))

    lines = told(typed(np.round(off(1.81), 2), np.round(off(1.35), 2), u_cents="0,1"))

    first, second = lines
    assert first.startswith("first chanterelle: move the bridge 1.81 ±")
    assert "towards the wheel. Set it askew: there, 0.46 mm further that way" in first
    assert second.startswith("second chanterelle: move the bridge 1.35 ±")
    assert "there, 0.46 mm less far that way than at the first chanterelle." in second


def test_what_both_strings_ask_alike_of_one_bridge_is_said_once():
    left = 345.0 * 2.0 ** (-np.array([TEMPERAMENTS["just"].at(k) for k in range(1, 24)]) / 1200)
    off = np.round(1200 * np.log2((left / (left + 1.5)) * (346.5 / 345.0)), 2)

    (line,) = told(typed(off, off, u_cents="0,2"))

    assert line.startswith("first chanterelle: move the bridge 1.50 ±")
    assert line.endswith("towards the wheel. This serves the second chanterelle as well.")


def test_a_stretched_string_is_told_to_be_pressed_less_and_the_bridge_stays():
    ratios = 2.0 ** (np.array([TEMPERAMENTS["just"].at(k) for k in range(1, 24)]) / 1200)
    cents = np.round(0.8 * ratios**2 / (ratios - 1.0), 2)

    lines = told(typed(cents, u_cents="0,3"))

    assert len(lines) == 1
    assert "sharp as pressing makes it" in lines[0]
    assert "bridge does" in lines[0] and "move the" not in lines[0]


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"first-3": "", "firm_1-3": "4"}, "First chanterelle, row 3: is missing."),
        ({"first-3": "flat"}, "First chanterelle, row 3: “flat” is not a number."),
        ({"length_mm": "10 m"}, "Speaking length"),
        ({"gap_1-2": "150"}, "Gap 1, row 2: 150"),
        ({"key-2": "3", "key-3": "2"}, "Key, row 3 is 2, which does not rise above 3."),
        ({"key-3": "2"}, "Key, row 3 is 2, which stands there twice."),
        ({"temperament": "as_found"}, "Choose a temperament"),
        ({"first-2": "112", "first-3": "-112"}, "Swap the two."),
    ],
)
def test_bad_input_is_a_sentence_with_field_row_and_mend(post, cells, said):
    words = typed([0.0] * 7) | cells

    answer = post(words, "correction")

    assert answer.status_code == 422
    assert said.casefold() in html.unescape(answer.text).replace("\u00a0", " ").casefold()
    # What was typed stays.
    for cell in words.values():
        assert not cell or html.escape(cell) in answer.text
    assert not Reading.objects.exists()


@pytest.mark.parametrize("gauge", ["tangents", "sharpening", "key_return"])
@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_short_sheets_give_their_figures(gauge, language):
    sheet = sheet_of(gauge)
    with translation.override(language):
        computed = compute(sheet, samples.raw(gauge))

        assert computed.figures
        assert all(str(row.label) for row in computed.figures)
    if gauge == "tangents":
        # Twelve keys up is half the string.
        octave = next(row for row in computed.figures if row.key == "from_nut_mm:12")
        assert octave.value == pytest.approx(172.5)
