"""One case in a file: what is told and read, in plain data; the answer likewise."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from repairs.causes.tables import table_of
from repairs.causes.words import look_name, reason_words
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, rows
from repairs.gauges.causes.evidence import Read
from repairs.gauges.causes.look import Look
from repairs.gauges.causes.search import MOST_READINGS, Answer, read_asked, search
from repairs.gauges.everything import gauges
from repairs.instruments.kinds import kinds

ASKED = ("kind", "heard", "asked_not_heard", "readings", "findings", "history", "looked", "undone")
SECOND = "second_turn_mm"  # of a wheel: the dial once more round, beside what the gauge takes
ALIKE = 0.8  # a name so like one that is known is misspelt; others are notes of somebody


def answer_to(given: Mapping[str, Any]) -> dict[str, Any]:
    """Return the causes of a case and what to look at next, as plain data.

    ``truth``, ``figures`` and notes are passed over: the gauges compute. Raises GaugeInputError.
    """
    for name in given:
        if name not in ASKED and get_close_matches(name, ASKED, 1, ALIKE):
            raise GaugeInputError("unknown", field="case", value=name, known=", ".join(ASKED))
    kind = choice("kind", given.get("kind"), kinds())
    table = table_of(kind)
    listed = rows("readings", given.get("readings") or [], least=0, most=MOST_READINGS)
    reads = [_read(one, row) for row, one in enumerate(listed, 1)]
    return _plain(kind, search(table, read_asked(given, table), reads))


def _read(one: Any, row: int) -> Read:
    """Run the gauge of one reading; a refusal names which reading it is."""
    if not isinstance(one, Mapping):
        raise GaugeInputError("missing", field="readings.gauge", row=row)
    known = gauges()
    gauge = choice("readings.gauge", one.get("gauge"), known, row=row)
    given = one.get("given")
    if absent(one, "given") or not isinstance(given, Mapping):
        raise GaugeInputError("missing", field="readings.given", row=row)
    second = {SECOND: one[SECOND]} if one.get(SECOND) else {}
    try:
        return Read(gauge, {**given, **second}, known[gauge].run(given))
    except GaugeInputError as refusal:
        place = f"readings {row} ({gauge}).{refusal.field}"
        raise GaugeInputError(
            refusal.code, field=place, row=refusal.row, **refusal.details
        ) from refusal


def _plain(kind: str, answer: Answer) -> dict[str, Any]:
    looks = answer.looks
    return {
        "causes": [
            {
                "key": one.key,
                "probability": round(one.probability, 6),
                "for": [reason_words(kind, reason) for reason in one.speaks_for],
                "against": [reason_words(kind, reason) for reason in one.speaks_against],
            }
            for one in answer.causes
        ],
        "next": _look(kind, looks[0]) if looks else None,
        "contradictions": [
            {"kind": one.kind, "what": one.what, "cause": one.cause or None}
            for one in answer.contradictions
        ],
        "left_out": round(answer.left_out, 6),
        "version": answer.version,
    }


def _look(kind: str, look: Look) -> dict[str, Any]:
    return {
        "look_at": look.key,
        "what": look_name(kind, look),
        "minutes": look.minutes,
        "bits": round(look.bits, 4),
        "would_move": {
            "cause": look.cause,
            "from": round(look.now, 4),
            "to": [round(look.if_so, 4), round(look.if_not, 4)],
        },
    }
