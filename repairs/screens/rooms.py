"""The rooms that the bar of the house leads to, and in which of them a page lies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import pgettext_lazy


@dataclass(frozen=True)
class Room:
    """A door in the bar: its key, its name, its first page, and the pages that lie in it."""

    key: str
    name: str | Promise
    first_page: str
    namespaces: frozenset[str]
    permission: str = ""


ROOMS = (
    Room("bench", pgettext_lazy("room", "Bench"), "bench:home", frozenset({"bench", "cases"})),
    Room(
        "instruments",
        pgettext_lazy("room", "Instruments"),
        "instruments:list",
        frozenset({"instruments"}),
    ),
    Room("papers", pgettext_lazy("room", "Papers"), "papers:list", frozenset({"papers"})),
    Room(
        "money",
        pgettext_lazy("room", "Money"),
        "invoices:money",
        frozenset({"invoices"}),
        permission="see_money",
    ),
    Room("wood", pgettext_lazy("room", "Wood"), "wood:list", frozenset({"wood"})),
)
# Pages of these rooms lie on the bench when they are about one case.
OF_A_CASE = frozenset({"findings", "photos", "readings", "treatment", "estimates"})


@dataclass(frozen=True)
class Door:
    """A room as the bar shows it to one reader."""

    key: str
    name: str
    address: str
    is_here: bool


def doors(match: Any, said: str, may: Mapping[str, bool]) -> list[Door]:
    """The rooms that the reader may enter; ``said`` is the room that the page itself names."""
    here = said or _room_of(match)
    return [
        Door(
            room.key,
            str(room.name),
            reverse(room.first_page),
            room.key == here,
        )
        for room in ROOMS
        if not room.permission or may.get(room.permission)
    ]


def _room_of(match: Any) -> str:
    if match is None:
        return ""
    if match.namespace in OF_A_CASE and match.kwargs.get("number"):
        return "bench"
    return next((room.key for room in ROOMS if match.namespace in room.namespaces), "")
