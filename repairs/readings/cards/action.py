"""The card of the action: what concerns all strings first, then a row a key, what is cut last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from django.utils.translation import gettext as _

from repairs.readings.cards.base import BenchCard, CardAct, CardLine, mm_words, starts
from repairs.readings.cards.codes import CUTS, ENDS, LAST, MIDDLE, turn_of
from repairs.readings.cards.notes import key_note, open_midi
from repairs.readings.cards.plain import plain_card
from repairs.readings.models import Prescription, Reading, Result
from repairs.readings.show import prescription_words, saved

RULER = "measure/ruler_keybox"


def action_cards(reading: Reading, result: Result) -> list[BenchCard]:
    midi = open_midi(reading)
    card = plain_card(reading, result, lambda rows: _lines(rows, midi))
    shown = saved(reading)
    ends = any(starts(row.code, ENDS) for row in result.prescriptions.all())
    return [
        replace(
            card,
            leave=_first_the_ends() if ends else "",
            hint=_(
                "Lay the ruler on the keybox edge, from the nut up to the highest key: nothing may "
                "touch a string that is not pressed."
            ),
            chart=shown.chart,
            chart_said=shown.alt,
            shows=(RULER,),
        )
    ]


def _first_the_ends() -> str:
    return _(
        "Nut and bridge first: they move the string past every tangent. Then read all keys again, "
        "before any tangent is touched."
    )


def _lines(rows: list[Prescription], midi: int | None) -> list[CardLine]:
    """One row a key, in the order of the keyboard, between what is for all and what is cut."""
    of_key: dict[str, list[Prescription]] = {}
    whole = [row for row in rows if not row.target.isdecimal()]
    for row in rows:
        if row.target.isdecimal():
            of_key.setdefault(row.target, []).append(row)
    early = [row for row in whole if turn_of(row.code) <= MIDDLE]
    late = [row for row in whole if turn_of(row.code) > MIDDLE]
    return [
        *(_whole_line(row) for row in early),
        *(_key_line(key, of_key[key], midi) for key in sorted(of_key, key=int)),
        *(_whole_line(row) for row in late),
    ]


def _whole_line(row: Prescription) -> CardLine:
    act = _act(row)
    is_cut = row.irreversible or starts(row.code, CUTS) or turn_of(row.code) >= LAST
    key = str(row.position)
    return CardLine(key, "", "", act.far, act.way, act.why, is_cut=is_cut, is_told=True)


def _key_line(key: str, rows: Sequence[Prescription], midi: int | None) -> CardLine:
    """All that one key asks for, in the order of the hands: one row, one tick."""
    first, *rest = (_act(row) for row in rows)
    note = key_note(midi, key)
    return CardLine(
        f"k{key}",
        note or key,
        _("key %(number)s") % {"number": key} if note else _("key"),
        first.far,
        first.way,
        first.why,
        more=tuple(rest),
        is_told=True,
    )


def _act(row: Prescription) -> CardAct:
    """How far, and the sentence of the gauge: it knows which way."""
    far = "" if row.amount is None or row.unit != "mm" else mm_words(row.amount)
    return CardAct(far, prescription_words(row), is_told=True)
