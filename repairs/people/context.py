"""What every page needs to know of the house and of the person in front of it."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from repairs.people.access import DEEDS
from repairs.people.house_models import House
from workshop import __version__


def house(request: HttpRequest) -> dict[str, Any]:
    """What every page's frame asks for: the house, and which doors this person sees."""
    person = getattr(request, "user", None)
    deeds = DEEDS.get(getattr(person, "role", ""), frozenset())
    return {
        "version": __version__,
        "house": SimpleLazyObject(House.present),
        "may": dict.fromkeys(deeds, True),
        "draft_sent": request.COOKIES.get("draft_sent", ""),
    }
