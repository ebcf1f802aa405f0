"""Pitches in words: how a note is called here, and why what was typed is none."""

from __future__ import annotations

from django.utils.translation import gettext as _

from repairs.language.pitch import FORK_HZ, Note, Pitch, PitchError
from repairs.language.text import language, rounded


def fault_words(fault: PitchError, typed: str, fork: float) -> str:
    """Why it was not read, and how to mend it."""
    said = {"typed": typed, "options": _options(fault.options, fork)}
    words = {
        "not_a_pitch": _(
            "“%(typed)s” is neither a pitch in Hz nor a note. Type it as 392, G4, sol3 or g′."
        ),
        "ambiguous": _(
            "“%(typed)s” may be more than one note: %(options)s. Write which, or its Hz."
        ),
        "letter_h": _("“%(typed)s”: H is not read here. Write B (si) or B♭ (si♭), or its Hz."),
        "many_cents": _("“%(typed)s”: beyond 100 cents it is another note. Write that one."),
        "low_french": _("“%(typed)s”: notes below do1 are counted in several ways. Write its Hz."),
        "mixed": _(
            "“%(typed)s” mixes two ways of writing. Small letters take strokes (g′), capital ones "
            "figures (G4) or commas (C,)."
        ),
    }
    return words[fault.code] % said


def pitch_words(pitch: Pitch, fork: float) -> str:
    """A note with its Hz and the fork that it is counted from."""
    if pitch.note is None:
        return f"{rounded(pitch.hz, 1)}\u00a0Hz"
    name = note_words(pitch.note)
    if pitch.cents:
        sign = "+" if pitch.cents > 0 else "−"
        whole = pitch.cents.is_integer()
        name = f"{name} {sign}{rounded(abs(pitch.cents), 0 if whole else 1)}"
    said = {"note": name, "hz": rounded(pitch.hz, 1), "fork": _plain(fork)}
    return _("%(note)s = %(hz)s Hz, at a′ = %(fork)s Hz") % said


def note_words(note: Note) -> str:
    """The note as the reader counts it, with Helmholtz’s name beside."""
    name = note.french if language() == "fr" else note.scientific
    return f"{name} ({note.helmholtz})"


def _plain(hz: float) -> str:
    return rounded(hz, 0 if hz == round(hz) else 1)


def _options(notes: tuple[Note, ...], fork: float) -> str:
    return ", ".join(f"{note_words(n)} = {rounded(n.hz(fork), 1)}\u00a0Hz" for n in notes)


def octave_words(pitch: Pitch, typed: str) -> str:
    """Of a letter by itself: Helmholtz's small octave, or any octave? It is asked, not guessed."""
    words = _(
        "“%(typed)s” does not say which octave: Helmholtz writes %(read)s so. Write its octave "
        "with a figure, or its Hz."
    )
    return words % {"typed": typed, "read": pitch_words(pitch, FORK_HZ)}
