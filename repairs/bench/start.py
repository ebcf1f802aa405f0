"""The first days of a house: what is worth saying before the first instrument comes.

Every step may be left out. A step is done when the house holds what it asks for; where the
delivered values may simply stay, somebody says that they stay (``passed``).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from django import forms
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.people.house_forms import FirstHouseForm, FirstRatesForm
from repairs.people.house_models import House
from repairs.people.models import User
from repairs.readings.models import HouseLimit, Tool

FORMS: Mapping[str, type[forms.ModelForm]] = {"house": FirstHouseForm, "rates": FirstRatesForm}
Text = str | Promise


@dataclass(frozen=True)
class StepWords:
    """What a step is for, and the page that it is done on when no short form does.

    ``stays`` is said by whom what is delivered is enough.
    """

    name: Text
    why: Text
    page: str = ""
    link: Text = ""
    stays: Text = ""


STEPS: Mapping[str, StepWords] = {
    "house": StepWords(_("Name and address"), _("They stand at the head of every paper.")),
    "rates": StepWords(
        _("What an hour costs"),
        _("Estimates and invoices reckon with it. Each may still say another rate."),
        stays=_("It stays as it is"),
    ),
    "tools": StepWords(
        _("Measuring tools"),
        _("Reports name the tool of a reading, how finely it reads and its last check."),
        "readings:tools",
        _("Enter the tools"),
    ),
    "limits": StepWords(
        _("Limits"),
        _("Readings are held against them. The usual ones are there, with their source."),
        "readings:limits",
        _("Look at the limits"),
        _("They stay as they are"),
    ),
    "people": StepWords(
        _("Who works here"),
        _("Each signs in under a name of their own; the log says who did what."),
        "people:user_add",
        _("Let someone in"),
        _("I work alone"),
    ),
    "instrument": StepWords(
        _("The first instrument"),
        _("Three short pages, then its receipt."),
        "cases:choose",
        _("Take it in"),
    ),
}
MAY_STAY = tuple(key for key, words in STEPS.items() if words.stays)


@dataclass(frozen=True)
class StartStep:
    """One step as the house stands: its words, its short form if it has one, and its state."""

    key: str
    words: StepWords
    is_done: bool
    is_here: bool
    form: forms.ModelForm | None

    @property
    def address(self) -> str:
        """The page that it is done on; empty when its form is enough."""
        return reverse(self.words.page) if self.words.page else ""


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


def start(passed: Collection[str], sent: Mapping[str, forms.ModelForm] | None = None) -> Start:
    """The steps as the house stands; ``sent`` holds a form that must be mended."""
    house = House.objects.first()
    done = _done(house, passed)
    wrong = sent or {}
    here = next(iter(wrong), "") or next((key for key in done if not done[key]), "")
    return Start(
        tuple(
            StartStep(key, words, done[key], key == here, wrong.get(key) or _form(key, house))
            for key, words in STEPS.items()
        )
    )


def _form(key: str, house: House | None) -> forms.ModelForm | None:
    kind = FORMS.get(key)
    return kind(instance=house or House.present(), prefix=key) if kind else None


def _done(house: House | None, passed: Collection[str]) -> dict[str, bool]:
    usual = House().hourly_rate
    return {
        "house": house is not None and bool(house.name and house.address),
        "rates": "rates" in passed or (house is not None and house.hourly_rate != usual),
        "tools": Tool.objects.exists(),
        "limits": "limits" in passed or HouseLimit.objects.exists(),
        "people": "people" in passed or User.objects.filter(is_active=True).count() > 1,
        "instrument": Case.objects.exists(),
    }
