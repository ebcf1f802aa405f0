"""The card of the bench: of a reading only what the hands have to do, in their order."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from django.utils.translation import gettext as _

from repairs.language.text import semicolons
from repairs.readings.cards.action import action_cards
from repairs.readings.cards.base import BenchCard, CardAct, CardLine, KeyPlace
from repairs.readings.cards.codes import has_card
from repairs.readings.cards.keyboard import keyboard_cards
from repairs.readings.cards.plain import dog_cards, plain_cards
from repairs.readings.cards.wheel import wheel_cards
from repairs.readings.models import Reading, Result
from repairs.readings.setup.orders import order_for
from repairs.readings.sheets.catalogue import sheet_of

__all__ = ["BenchCard", "CardAct", "CardLine", "KeyPlace", "cards_of", "has_card"]

_CARDS: Mapping[str, Callable[[Reading, Result], list[BenchCard]]] = {
    "correction": keyboard_cards,
    "wheel": wheel_cards,
    "action": action_cards,
    "dog_card": dog_cards,
}


def cards_of(reading: Reading) -> list[BenchCard]:
    """The cards of a reading, one a string of the keyboard; none where nothing is to be done."""
    result = reading.latest
    if result is None:
        return []
    told = _CARDS.get(reading.gauge, plain_cards)
    again = _again_words(reading)
    return [replace(card, again=again) for card in told(reading, result) if card.lines]


def _again_words(reading: Reading) -> str:
    """What is read once the hands are done, and what then rests on it no longer."""
    title = str(sheet_of(reading.gauge).label)
    order = order_for(reading.case)
    step = order.step_of(reading.gauge) if order else None
    if order is None or step is None or not step.voids:
        return _("When all is done, read again: %(title)s.") % {"title": title}
    void = semicolons(str(order.step(key)) for key in step.voids)
    words = _("When all is done, read again: %(title)s. Then what rests on it: %(steps)s.")
    return words % {"title": title, "steps": void}
