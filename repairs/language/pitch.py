"""A pitch as people type it: Hz, a syllable, a letter, with its octave and cents; nothing guessed.

Three ways to number octaves, told apart by how the note is written:

- a capital letter with a figure is scientific pitch: A4 is the a of the fork (Young 1939);
- a French syllable with a figure is a step below that: la3 is the same a (common practice in
  France);
- a small letter with strokes is Helmholtz's: a' is it, a the octave below (Helmholtz 1863).

The fork is 440 Hz (ISO 16:1975) or what is said; the other notes are in equal temperament.
What more than one of them could mean is asked about.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

FORK_HZ = 440.0
LETTERS = "CDEFGAB"
SYLLABLES = ("do", "ré", "mi", "fa", "sol", "la", "si")
SEMITONES = (0, 2, 4, 5, 7, 9, 11)
ALTERS = {"": 0, "#": 1, "b": -1}
MOST_CENTS = 100.0  # further it is the next note
SMALL, FRENCH = 3, 1  # octave of Helmholtz's small letters; what a French figure lacks

Code = Literal["not_a_pitch", "ambiguous", "letter_h", "many_cents", "low_french", "mixed"]

_SIGNS = str.maketrans(
    {
        **dict.fromkeys("’‘´`′ʹ", "'"),
        "″": "''",
        '"': "''",
        "♯": "#",
        "♭": "b",
        "−": "-",
        **dict.fromkeys("\u00a0\u202f\u2009", " "),
    }
)
_WORDS = (
    (re.compile(r"\s*\b(dièse|diese|sharp)\b", re.IGNORECASE), "#"),
    (re.compile(r"\s*\b(bémol|bemol|flat)\b", re.IGNORECASE), "b"),
)
_HZ = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:hz|hertz)?", re.IGNORECASE)
_CENTS = re.compile(r"(.*?\S)\s*([+-])\s*(\d+(?:[.,]\d+)?)\s*(?:c|ct|cents?|¢)?", re.IGNORECASE)
_NOTE = re.compile(
    r"(?P<syllable>do|ut|ré|re|mi|fa|sol|la|si)?(?(syllable)|(?P<letter>[A-Ga-g]))"
    r"\s*(?P<alter>[#b]?)\s*(?:(?P<octave>\d{1,2})|(?P<marks>'{1,6}|,{1,3}))?",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Note:
    """A written note: ``step`` 0 to 6 from C, ``alter`` in semitones, ``octave`` scientific."""

    step: int
    alter: int
    octave: int

    @property
    def midi(self) -> int:
        """Semitones, 69 for the a of the fork."""
        return 12 * (self.octave + 1) + SEMITONES[self.step] + self.alter

    def hz(self, fork_hz: float = FORK_HZ, cents: float = 0.0) -> float:
        """In equal temperament from the fork."""
        return float(fork_hz * 2.0 ** ((self.midi - 69) / 12.0 + cents / 1200.0))

    @property
    def scientific(self) -> str:
        """As “G4”."""
        return f"{LETTERS[self.step]}{self._sign}{self.octave}"

    @property
    def french(self) -> str:
        """As “sol3”; below do1 the count goes on at −1."""
        octave = self.octave - FRENCH
        figure = str(octave) if octave > 0 else f"−{1 - octave}"
        return f"{SYLLABLES[self.step]}{self._sign}{figure}"

    @property
    def helmholtz(self) -> str:
        """As “g′”."""
        above = self.octave - SMALL
        letter = LETTERS[self.step].lower() if above >= 0 else LETTERS[self.step]
        return f"{letter}{self._sign}" + ("′" * above if above >= 0 else "," * (-above - 1))

    @property
    def _sign(self) -> str:
        return {1: "♯", -1: "♭"}.get(self.alter, "")


@dataclass(frozen=True)
class Pitch:
    """What was read. ``note`` is None where Hz were typed; ``is_asked``: to be confirmed."""

    hz: float
    note: Note | None = None
    cents: float = 0.0
    is_asked: bool = False


class PitchError(ValueError):
    """What was typed is no pitch, or more than one: ``options`` are those that it may mean."""

    def __init__(self, code: Code, options: tuple[Note, ...] = ()) -> None:
        super().__init__(code)
        self.code: Code = code
        self.options = options


def read_pitch(typed: str, ends_hz: tuple[float, float], fork_hz: float = FORK_HZ) -> Pitch:
    """Return the pitch. A note whose octave is left open is taken where only one of them lies
    between the ends; a letter by itself is Helmholtz's, and asked about.

    Raises PitchError.
    """
    text = typed.translate(_SIGNS).strip()
    for word, sign in _WORDS:
        text = word.sub(sign, text)
    if found := _HZ.fullmatch(text):
        return Pitch(_number(found[1]))
    cents = 0.0
    if found := _CENTS.fullmatch(text):
        text = found[1]
        cents = _number(found[3]) * (-1.0 if found[2] == "-" else 1.0)
        if abs(cents) > MOST_CENTS:
            raise PitchError("many_cents")
    notes, is_asked = _notes(text)
    if len(notes) > 1:
        notes = _within(notes, ends_hz, fork_hz)
    return Pitch(notes[0].hz(fork_hz, cents), notes[0], cents, is_asked)


def _number(words: str) -> float:
    return float(words.replace(",", "."))


def _within(
    notes: tuple[Note, ...], ends_hz: tuple[float, float], fork_hz: float
) -> tuple[Note, ...]:
    """The one that can be meant here; raises PitchError where several can, or none."""
    low, high = ends_hz
    found = tuple(note for note in notes if low <= note.hz(fork_hz) <= high)
    if len(found) != 1:
        raise PitchError("ambiguous", found or notes[:3])
    return found


def _notes(text: str) -> tuple[tuple[Note, ...], bool]:
    """Which notes the words may mean, and whether even a single one is to be asked about."""
    found = _NOTE.fullmatch(text)
    if found is None:
        raise PitchError("letter_h" if re.match(r"[Hh](?![A-Za-z])", text) else "not_a_pitch")
    alter = ALTERS[found["alter"].lower()]
    figure = None if found["octave"] is None else int(found["octave"])
    marks = found["marks"] or ""
    if found["syllable"]:
        return _of_syllable(found["syllable"].lower(), alter, figure, marks), False
    letter = found["letter"]
    note = Note(LETTERS.index(letter.upper()), alter, SMALL)
    if figure is not None:
        return _of_figure(note, figure, is_small=letter.islower()), False
    is_great = letter.isupper()
    if marks and is_great is marks.startswith("'"):
        raise PitchError("mixed")
    octave = SMALL - 1 - len(marks) if is_great else SMALL + len(marks)
    return (replace(note, octave=octave),), not marks


def _of_syllable(syllable: str, alter: int, figure: int | None, marks: str) -> tuple[Note, ...]:
    plain = {"ut": "do", "re": "ré"}.get(syllable, syllable)
    note = Note(SYLLABLES.index(plain), alter, SMALL)
    if marks:
        if not marks.startswith("'"):
            raise PitchError("mixed")
        return (replace(note, octave=SMALL + len(marks)),)
    if figure is None:
        return tuple(replace(note, octave=octave) for octave in range(1, 9))
    # Below do1 the French count goes on at −1, without a 0: others count otherwise.
    if figure < 1:
        raise PitchError("low_french")
    return (replace(note, octave=figure + FRENCH),)


def _of_figure(note: Note, figure: int, *, is_small: bool) -> tuple[Note, ...]:
    """Small letters with a figure are also written for strokes: g1 for g'."""
    scientific = replace(note, octave=figure)
    if not is_small or figure < 1:
        return (scientific,)
    return scientific, replace(note, octave=SMALL + figure)
