"""Cards of the set-up: what paper, cotton, rosin and ear say of a string, and how the dog stands.

A card is what a luthier notes, not a measurement. It is checked for sense, and rules from the fault
table give hints: a code, the row of the table, the fields that speak for it and what may be tried.
A hint proposes; nothing is asserted.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from repairs.gauges.base.given import limits
from repairs.gauges.base.plain import plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import judge
from repairs.gauges.cards.card import NUMBERS, TICKS, WORDS, DogCard, VoicingCard, read_card
from repairs.gauges.cards.hints import (
    DEFAULT_LIMITS,
    dog_hints,
    play_verdict,
    shift_verdict,
    speed_verdict,
    voicing_hints,
)

VERSION = "cards 2"


def run_voicing(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: the ``card``, ``force_n`` with its verdict, ``hints``."""
    card = read_card(VoicingCard, given)
    house = limits(given, DEFAULT_LIMITS)
    # Lift and distance are read by eye: a tenth of the force is the least that is doubtful.
    force = card.force_n
    verdict = None if force is None else plain(judge(force, 0.1 * force, house["force_n"]))
    return {
        "card": _plain(card),
        "force_n": force,
        "force_verdict": verdict,
        "hints": [plain(hint) for hint in voicing_hints(card)],
    }


def run_dog(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: the ``card``, verdicts of shift and speed, ``hints``."""
    card = read_card(DogCard, given)
    house = limits(given, DEFAULT_LIMITS)
    shift, rpm = shift_verdict(card, house), speed_verdict(card, house)
    play = play_verdict(card, house)
    return {
        "card": _plain(card),
        "pitch_shift_verdict": plain(shift) if shift else None,
        "onset_rpm_verdict": plain(rpm) if rpm else None,
        "play_verdict": plain(play) if play else None,
        "hints": [plain(hint) for hint in dog_hints(card, house)],
    }


def _plain(card: VoicingCard | DogCard) -> dict[str, Any]:
    answer = plain(card)
    answer["stops"] = [{**plain(stop), "cents": stop.cents} for stop in card.stops]
    return answer


def says(kind: type) -> dict[str, str]:
    """What each field of a card takes, for the list of gauges."""
    says = {}
    for one in fields(kind):
        known = WORDS.get(one.name)
        unit = " to ".join(f"{end:g}" for end in NUMBERS.get(one.name, ()))
        text = f"one of {', '.join(known)}" if known else unit or "text"
        if one.name in TICKS:
            text = "true or false"
        if one.name == "stops":
            text = "list of stop, on_hz, off_hz"
        says[one.name] = text if one.name == "string" else f"{text}, optional"
    return {**says, "limits": "own limits by name, optional"}


VOICING = register(
    Gauge(
        "voicing_card",
        VERSION,
        "A string's voicing by paper, cotton, rosin and ear, with hints.",
        says(VoicingCard),
        run_voicing,
    )
)
DOG = register(
    Gauge(
        "dog_card",
        VERSION,
        "How the trompette's dog stands and answers, with hints.",
        says(DogCard),
        run_dog,
    )
)
