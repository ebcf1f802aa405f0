"""The first days of a house: what is worth saying before the first instrument comes.

Every step may be left out. A step is done when the house holds what it asks for; where the
delivered values may simply stay, somebody says that they stay (``passed``).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.urls import reverse
from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.people.house_forms import FirstHouseForm, FirstRatesForm
from repairs.people.house_models import House
from repairs.people.models import User
from repairs.readings.models import HouseLimit, Tool

FORMS: Mapping[str, type[forms.ModelForm]] = {"house": FirstHouseForm, "rates": FirstRatesForm}
MAY_STAY = ("rates", "limits", "people")  # what is delivered is enough for a house that works alone


@dataclass(frozen=True)
class StartStep:
    """One step: what it is for, a short form or the page that it is done on, and its state."""

    key: str
    name: str
    why: str
    is_done: bool
    is_here: bool = False
    form: forms.ModelForm | None = None
    address: str = ""
    link: str = ""
    stays: str = ""


@dataclass(frozen=True)
class Start:
    """All steps, in their order."""

    steps: tuple[StartStep, ...]

    @property
    def done(self) -> int:
        """How many steps are done."""
        return sum(step.is_done for step in self.steps)


def is_empty() -> bool:
    """Whether no instrument was ever taken in here."""
    return not Case.objects.exists()


def start(passed: Collection[str], bound: Mapping[str, forms.ModelForm] | None = None) -> Start:
    """The steps as the house stands; ``bound`` holds a form that was sent and must be mended."""
    house = House.objects.first()
    done = _done(house, passed)
    sent = bound or {}
    here = next(iter(sent), "") or next((key for key in done if not done[key]), "")
    steps = []
    for key, told in _told().items():
        form = sent.get(key) or _form(key, house)
        steps.append(StartStep(key, is_done=done[key], is_here=key == here, form=form, **told))
    return Start(tuple(steps))


def _form(key: str, house: House | None) -> forms.ModelForm | None:
    kind = FORMS.get(key)
    return kind(instance=house or House.present(), prefix=key) if kind else None


def _done(house: House | None, passed: Collection[str]) -> dict[str, bool]:
    usual = House._meta.get_field("hourly_rate").default
    return {
        "house": house is not None and bool(house.name and house.address),
        "rates": "rates" in passed or (house is not None and house.hourly_rate != usual),
        "tools": Tool.objects.exists(),
        "limits": "limits" in passed or HouseLimit.objects.exists(),
        "people": "people" in passed or User.objects.filter(is_active=True).count() > 1,
        "instrument": Case.objects.exists(),
    }


def _told() -> dict[str, dict[str, Any]]:
    """Name and purpose of each step, and where it is done when no short form does."""
    return {
        "house": {
            "name": _("Name and address"),
            "why": _("They stand at the head of every paper."),
        },
        "rates": {
            "name": _("What an hour costs"),
            "why": _("Estimates and invoices reckon with it. Each may still say another rate."),
            "stays": _("It stays as it is"),
        },
        "tools": {
            "name": _("Measuring tools"),
            "why": _("Reports name the tool of a reading, how finely it reads and its last check."),
            "address": reverse("readings:tools"),
            "link": _("Enter the tools"),
        },
        "limits": {
            "name": _("Limits"),
            "why": _(
                "Readings are held against them. The usual ones are there, with their source."
            ),
            "address": reverse("readings:limits"),
            "link": _("Look at the limits"),
            "stays": _("They stay as they are"),
        },
        "people": {
            "name": _("Who works here"),
            "why": _("Each signs in under a name of their own; the log says who did what."),
            "address": reverse("people:user_add"),
            "link": _("Let someone in"),
            "stays": _("I work alone"),
        },
        "instrument": {
            "name": _("The first instrument"),
            "why": _("Three short pages, then its receipt."),
            "address": reverse("cases:choose"),
            "link": _("Take it in"),
        },
    }
