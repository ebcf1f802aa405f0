"""Notes as people write them, in three counts of the octave; nothing is guessed."""

from __future__ import annotations

import pytest

from repairs.language.pitch import Note, PitchError, read_pitch

ENDS = (40.0, 1200.0)
G = 440 * 2 ** (-2 / 12)


@pytest.mark.parametrize(
    ("typed", "hz"),
    [
        ("415", 415.0),
        ("415,3 Hz", 415.3),
        ("440hertz", 440.0),
        ("g'", G),
        ("g’", G),
        ("Sol3", G),
        ("sol 3", G),
        ("sol'", G),
        ("G4", G),
        ("g4", G),  # as strokes it would be g'''': far above any string
        ("ut3", 261.6256),
        ("do3", 261.6256),
        ("c''", 523.2511),
        ("C,", 32.7032),
        ("sib3", 466.1638),
        ("si bémol 3", 466.1638),
        ("B♭4", 466.1638),
        ("bb'", 466.1638),
        ("fa dièse 3", 369.9944),
        ("F sharp 4", 369.9944),
        ("ré4 +12", 587.3295 * 2 ** (12 / 1200)),
        ("a′ −8 cents", 440 * 2 ** (-8 / 1200)),
    ],
)
def test_what_is_written_is_read(typed, hz):
    found = read_pitch(typed, ENDS)

    assert found.hz == pytest.approx(hz, abs=1e-4)
    assert not found.is_asked


@pytest.mark.parametrize(
    ("typed", "code", "options"),
    [
        ("sol", "ambiguous", ["G1", "G2", "G3", "G4", "G5"]),
        ("g1", "ambiguous", ["G1", "G4"]),
        ("ré +3", "ambiguous", ["D2", "D3", "D4", "D5", "D6"]),
        ("h", "letter_h", []),
        ("h'", "letter_h", []),
        ("hum", "not_a_pitch", []),
        ("", "not_a_pitch", []),
        ("G4 5", "not_a_pitch", []),
        ("g,", "mixed", []),
        ("G'", "mixed", []),
        ("sol,", "mixed", []),
        ("do0", "low_french", []),
        ("G4 -100,5", "many_cents", []),
    ],
)
def test_what_is_not_one_note_is_refused(typed, code, options):
    with pytest.raises(PitchError) as refused:
        read_pitch(typed, ENDS)

    assert refused.value.code == code
    assert [note.scientific for note in refused.value.options] == options


def test_a_letter_alone_is_helmholtzs_and_asked_about():
    assert read_pitch("g", ENDS).is_asked and read_pitch("g", ENDS).note == Note(4, 0, 3)
    assert read_pitch("G", ENDS).is_asked and read_pitch("G", ENDS).note == Note(4, 0, 2)


def test_every_note_is_read_back_from_each_of_its_names():
    for octave in range(9):
        for step in range(7):
            for alter in (-1, 0, 1):
                note = Note(step, alter, octave)
                assert read_pitch(note.scientific, ENDS).note == note
                if octave >= 2:
                    assert read_pitch(note.french, ENDS).note == note
                assert read_pitch(note.helmholtz, ENDS).note == note


def test_below_do1_the_french_count_has_no_nought():
    assert [Note(0, 0, octave).french for octave in (2, 1, 0)] == ["do1", "do−1", "do−2"]


def test_another_fork_moves_all_notes_alike():
    assert read_pitch("G4", ENDS, 415.0).hz == pytest.approx(G * 415 / 440)
    assert read_pitch("392", ENDS, 415.0).hz == 392.0
