"""A pitch typed in Hz or as a note: read, said back, asked about; what was typed stays."""

from __future__ import annotations

import pytest
from django.utils import translation

from repairs.readings.parse import parse
from repairs.readings.pitches import FORK_CELL
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.table import said_back, table_of
from tests.readings import samples

SET = SHEETS["string_set"]


def read(typed, fork=""):
    raw = samples.raw("string_set")
    raw = {"fields": {**raw["fields"], "a_hz": fork}, "rows": [dict(r) for r in raw["rows"][:1]]}
    raw["rows"][0]["pitch_hz"] = typed
    return raw, parse(SET, raw)


@pytest.mark.parametrize(
    ("typed", "fork", "hz"),
    [
        ("392", "", 392.0),
        ("415,3 Hz", "", 415.3),
        ("g'", "", 391.9954),
        ("sol3", "", 391.9954),
        ("G4", "", 391.9954),
        ("G4", "415", 369.7229),
        ("sol3", "sol♯3", 370.0),  # 415.3047 · 2^(-2/12)
        ("ré4 +12", "", 591.4119),
    ],
)
def test_a_pitch_is_read_in_hz_and_as_a_note(typed, fork, hz):
    raw, parsed = read(typed, fork)

    assert parsed.problems == [] and parsed.doubts == []
    assert parsed.rows[0]["pitch_hz"] == pytest.approx(hz, abs=0.02)
    assert raw["rows"][0]["pitch_hz"] == typed


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("sol", ["Pitch, row 1", "“sol”", "G3 (g) = 196.0 Hz, G4 (g′) = 392.0 Hz"]),
        ("g1", ["more than one note", "G1 (G,) = 49.0 Hz, G4 (g′) = 392.0 Hz"]),
        ("x", ["neither a pitch in Hz", "G4, sol3 or g′"]),
        ("h'", ["H is not read here"]),
        ("G4 +120", ["another note"]),
        ("do0", ["do1"]),
        ("G'", ["mixes two ways"]),
        ("4,5,6", ["neither a pitch"]),
        ("-392", ["is less than 16 Hz"]),
        ("C9", ["is more than 5000 Hz"]),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_mend(typed, says):
    _raw, parsed = read(typed)

    (problem,) = parsed.problems
    assert problem.anchor == "pitch_hz-1"
    for words in says:
        assert words in problem.words.replace("\u00a0", " ")


def test_a_letter_by_itself_is_asked_about():
    _raw, parsed = read("g")

    (doubt,) = parsed.doubts
    assert "G3 (g) = 196.0 Hz, at a′ = 440 Hz" in doubt.words.replace("\u00a0", " ")
    assert parsed.rows[0]["pitch_hz"] == pytest.approx(195.998, abs=1e-3)


def test_the_only_la_that_a_fork_can_be_is_not_asked_about():
    raw, parsed = read("392", "la")

    assert parsed.problems == [] and parsed.values["a_hz"] == pytest.approx(440.0)
    assert FORK_CELL.is_pitch and raw["fields"]["a_hz"] == "la"


def test_a_note_is_said_back_in_the_readers_count():
    raw, _parsed = read("sol3 +5", "415")

    with translation.override("fr"):
        (said,) = said_back(table_of(SET, raw, ()))
    assert "sol3 (g′) +5 = 370,8" in said and "415" in said
    (said,) = said_back(table_of(SET, raw, ()))
    assert "G4 (g′) +5 = 370.8" in said
    assert said_back(table_of(SET, read("392")[0], ())) == []
