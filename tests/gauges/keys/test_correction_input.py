"""What the correction refuses, and that it answers whatever is measured."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.base.errors import GaugeInputError
from tests.gauges.keys.asking import run

BASE: dict[str, Any] = {"keys": [7, 12], "measured_cents": [702, 1200]}


STRINGS: list[dict[str, Any]] = [
    {"measured_cents": [702, 1200]},
    {"name": "b", "measured_cents": [702, 1200]},
]


BAD: list[tuple[dict[str, Any], str | None, int | None, str]] = [
    ({**BASE, "measured_cents": [702]}, "measured_cents (1)", None, "must be as many"),
    ({**BASE, "measured_cents": [702, "x"]}, "measured_cents (1)", 2, "not a number"),
    ({**BASE, "measured_cents": [702, math.nan]}, "measured_cents (1)", 2, "not a number"),
    ({**BASE, "measured_cents": [702, 2000]}, "measured_cents (1)", 2, "Check the unit"),
    ({**BASE, "measured_cents": [None, ""]}, "measured_cents (1)", None, "at least 1"),
    ({**BASE, "measured_cents": 702}, "measured_cents (1)", None, "missing"),
    ({"keys": [7]}, None, None, "0 were given"),
    ({**BASE, "strings": STRINGS}, None, None, "2 were given"),
    ({"keys": [7, 12], "strings": [*STRINGS, {"cents": []}]}, "strings", 3, "Known are"),
    ({"keys": [7, 12], "strings": [STRINGS[0], 3]}, "strings", 2, "Known are"),
    ({"keys": [7, 12], "strings": [{**STRINGS[1], "length_mm": -3}]}, "length_mm", None, "than 0"),
    ({**BASE, "reading": "cents"}, "reading", None, "off_wanted"),
    ({**BASE, "basis": "best"}, "basis", None, "after_scale"),
    ({**BASE, "u_cents": 0}, "u_cents", None, "more than 0"),
    ({**BASE, "offset_mm": [1, 2, 3]}, "offset_mm (1)", None, "must be as many"),
    ({**BASE, "offset_mm": [1, -2]}, "offset_mm (1)", 2, "not possible"),
    ({**BASE, "turn_deg": 120}, "turn_deg (1)", None, "Check the unit"),
    ({**BASE, "fixed_double": [7, 8]}, "fixed_double", 2, "Known are: 7, 12"),
    ({**BASE, "both_cents": [1]}, "measured_cents (both)", None, "must be as many"),
    ({**BASE, "limits": {"pure_cents": {"lower": 3, "upper": 1}}}, "lower", None, "not possible"),
    ({**BASE, "limits": {"pure_cents": {"lower": "x"}}}, "limits.pure_cents.lower", None, "number"),
    ({**BASE, "wheel": 1}, "input", None, "Known are"),
    ({**BASE, "length_mm": 10_000}, "length_mm", None, "Check the unit"),
]


@pytest.mark.parametrize(("asked", "field", "row", "words"), BAD)
def test_bad_input_is_refused_with_field_row_and_mend(asked, field, row, words):
    with pytest.raises(GaugeInputError) as refusal:
        run(**asked)

    assert words in str(refusal.value)
    assert refusal.value.row == row
    if field:
        assert refusal.value.field == field


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.lists(st.floats(-199, 199), min_size=8, max_size=8), st.booleans())
def test_whatever_is_measured_there_is_an_answer(off, is_read):
    asked = {"keys": [1, 2, 3, 4, 5, 6, 7, 8], "measured_cents": off, "reading": "off_wanted"}
    if is_read:
        asked["open_cents"] = 0

    try:
        answer = run(**asked, offset_mm=2)
    except GaugeInputError as refusal:
        # By chance two neighbours may stand each at the other's note.
        assert refusal.code == "swapped"
        return

    json.dumps(answer, allow_nan=False)
