"""How a gauge refuses input: a code, the place, and what to mend.

Gauges know no translation. The sentence here is English, for the command; the readings room says
the same in the reader's language by the code.
"""

from __future__ import annotations

SENTENCES = {
    "missing": "%(field)s is missing%(place)s. Give it, or leave the whole row out.",
    "not_a_number": "%(field)s%(place)s is %(value)s, which is not a number.",
    "not_positive": "%(field)s%(place)s is %(value)s; it must be more than 0.",
    "negative": "%(field)s%(place)s is %(value)s; it must not be less than 0.",
    "too_small": (
        "%(field)s%(place)s is %(value)s; less than %(limit)s is not possible here. Check the unit."
    ),
    "too_big": (
        "%(field)s%(place)s is %(value)s; more than %(limit)s is not possible here. Check the unit."
    ),
    "too_few": (
        "%(field)s has %(value)s values and needs at least %(limit)s. Read more, or leave all out."
    ),
    "too_many": (
        "%(field)s has %(value)s values; more than %(limit)s cannot be used. Leave some out."
    ),
    "unequal": "%(field)s has %(value)s values and %(other)s has %(limit)s; they must be as many.",
    "other_turn": (
        "%(field)s%(place)s is missing, and %(other)s has it. Read each turn at the same places, "
        "or leave the place out of all."
    ),
    "twice": "%(field)s%(place)s is %(value)s, which stands there twice. Keep one of the two.",
    "all_equal": "All values of %(field)s are %(value)s: was the gauge touching?",
    "unknown": "%(field)s%(place)s is %(value)s, which is not known. Known are: %(known)s.",
    "needs_one": "Give exactly one of %(field)s; %(value)s were given.",
    "leave_one": (
        "Leave out exactly one of %(field)s%(place)s: it is the one that is computed. "
        "%(value)s were left out."
    ),
    "scl_count": (
        "%(field)s%(place)s is %(value)s. The second line of a scale says how many notes follow, "
        "such as 12."
    ),
    "scl_pitch": (
        "%(field)s%(place)s is %(value)s. Write cents with a point, such as 386.31, or a ratio, "
        "such as 5/4."
    ),
    "not_whole": "%(field)s%(place)s is %(value)s; it must be a whole number.",
    "not_rising": (
        "%(field)s%(place)s is %(value)s, which does not rise above %(limit)s. "
        "Put the notes in rising order."
    ),
    "swapped": (
        "%(field)s%(place)s is %(value)s, which would be right in row %(limit)s, and that one's "
        "here. Swap the two."
    ),
    "contradicts": (
        "%(field)s%(place)s is %(value)s, which cannot be with %(other)s %(limit)s. "
        "Correct one of the two."
    ),
    "no_wanted": (
        "%(field)s%(place)s cannot be deviations from a wanted note: none is wanted. Choose a "
        "temperament, or give the cents as the tuner shows them."
    ),
    "not_a_date": (
        "%(field)s%(place)s is %(value)s, which is not a date that can be read. "
        "Write it as 2025-01-31 14:00."
    ),
    "two_ways": (
        "%(field)s: %(value)s%(place)s may be %(limit)s or %(known)s, and no other date tells. "
        "Say whether the day stands first."
    ),
    "no_column": (
        "No columns for %(field)s were found. The first line must name them; it has: %(known)s."
    ),
    "cells": (
        "The line%(place)s has %(value)s cells and %(limit)s are needed. "
        "Check what stands between the cells and in the decimals."
    ),
    "no_answer": ("No value of %(field)s answers this: %(why)s. Look at the other values."),
}


class GaugeInputError(ValueError):
    """Input that cannot be measured.

    ``code`` is a key of ``SENTENCES``; ``field`` names the input (with its unit in the name),
    ``row`` counts from 1 where the input is a list; ``details`` fill the sentence. A ``why`` is a
    sentence with places of its own, so that another language can say it.
    """

    def __init__(self, code: str, *, field: str, row: int | None = None, **details: object) -> None:
        self.code, self.field, self.row = code, field, row
        self.details = details
        super().__init__(self.sentence())

    def sentence(self) -> str:
        """The refusal in English, with the input named as the command’s file names it."""
        place = f" (row {self.row})" if self.row is not None else ""
        filled = {"value": "", "limit": "", "other": "", "known": "", "why": "", **self.details}
        filled["why"] = str(filled["why"]) % filled
        return SENTENCES[self.code] % {"field": self.field, "place": place, **filled}
