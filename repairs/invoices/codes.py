"""The codes of an invoice in the words of a person: kinds, units, categories of tax, means."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext, npgettext, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from repairs.einvoice import document
from repairs.einvoice.names import CATEGORIES
from repairs.language.durations import MINUTES_AN_HOUR
from repairs.language.text import counted, decimal_words

HARDLY_A_MINUTE = Decimal("0.01")  # what four decimal places of an hour may be off, and more
NBSP = "\u00a0"


class Kind(models.TextChoices):
    """Kinds of UNTDID 1001 that the house issues."""

    INVOICE = document.INVOICE, _("invoice")
    DEPOSIT = document.DEPOSIT, _("deposit invoice")
    CREDIT = document.CREDIT, _("credit note")


class Unit(models.TextChoices):
    """UN/ECE Recommendation 20: the units that a workshop bills in."""

    PIECE = document.PIECE, pgettext_lazy("unit", "piece")
    HOUR = document.HOUR, pgettext_lazy("unit", "hour")
    MINUTE = document.MINUTE, pgettext_lazy("unit", "minute")
    DAY = document.DAY, pgettext_lazy("unit", "day")
    METRE = document.METRE, pgettext_lazy("unit", "metre")
    SQUARE_METRE = document.SQUARE_METRE, pgettext_lazy("unit", "square metre")
    GRAM = document.GRAM, pgettext_lazy("unit", "gram")
    KILOGRAM = document.KILOGRAM, pgettext_lazy("unit", "kilogram")
    LITRE = document.LITRE, pgettext_lazy("unit", "litre")


def unit_words(unit: str, quantity: Decimal) -> str:
    """The unit as it stands after that number: 1 hour, 4.8333 hours; the code when it is not ours.

    What a credit note takes back is counted like what was billed: −2 hours.
    """
    count = counted(quantity)
    words = {
        document.PIECE: npgettext("so many", "piece", "pieces", count),
        document.HOUR: npgettext("so many", "hour", "hours", count),
        document.MINUTE: npgettext("so many", "minute", "minutes", count),
        document.DAY: npgettext("so many", "day", "days", count),
        document.METRE: npgettext("so many", "metre", "metres", count),
        document.SQUARE_METRE: npgettext("so many", "square metre", "square metres", count),
        document.GRAM: npgettext("so many", "gram", "grams", count),
        document.KILOGRAM: npgettext("so many", "kilogram", "kilograms", count),
        document.LITRE: npgettext("so many", "litre", "litres", count),
    }
    return words.get(unit, unit)


def time_words(unit: str, quantity: Decimal) -> str:
    """4.8333 hours as a clock says them, “4 h 50 min”; empty for whole hours and other units."""
    exact = quantity * MINUTES_AN_HOUR
    minutes = round(exact)
    if unit != document.HOUR or abs(exact - minutes) > HARDLY_A_MINUTE:
        return ""
    hours, rest = divmod(abs(minutes), MINUTES_AN_HOUR)
    if not rest:
        return ""
    minus = "−" if minutes < 0 else ""
    return f"{minus}{hours}{NBSP}h{NBSP}{rest}{NBSP}min" if hours else f"{minus}{rest}{NBSP}min"


class Category(models.TextChoices):
    """UNTDID 5305: the kinds of tax that an invoice line may bear."""

    STANDARD = document.STANDARD, CATEGORIES[document.STANDARD]
    ZERO = document.ZERO, CATEGORIES[document.ZERO]
    EXEMPT = document.EXEMPT, CATEGORIES[document.EXEMPT]
    REVERSE = document.REVERSE, CATEGORIES[document.REVERSE]
    EXPORT = document.EXPORT, CATEGORIES[document.EXPORT]
    WITHIN_EU = document.WITHIN_EU, CATEGORIES[document.WITHIN_EU]
    OUTSIDE = document.OUTSIDE, CATEGORIES[document.OUTSIDE]


class Operation(models.TextChoices):
    """What is billed, as CGI annexe II, article 242 nonies A I-8° bis, names it."""

    SERVICES = document.SERVICES, pgettext_lazy("what is billed", "services")
    GOODS = document.GOODS, pgettext_lazy("what is billed", "goods")
    MIXED = document.MIXED, pgettext_lazy("what is billed", "goods and services")


def rate_words(category: str, rate_pct: Decimal) -> str:
    """The rate; where there is none, what kind of tax it is."""
    if rate_pct:
        return gettext("%(rate)s %%") % {"rate": decimal_words(rate_pct)}
    return str(Category(category).label)


class Means(models.TextChoices):
    """UNTDID 4461: how it is paid."""

    TRANSFER = document.TRANSFER, pgettext_lazy("means of payment", "transfer")
    CARD = document.CARD, pgettext_lazy("means of payment", "card")
    CASH = document.CASH, pgettext_lazy("means of payment", "cash")
    CHEQUE = document.CHEQUE, pgettext_lazy("means of payment", "cheque")
    SET_OFF = document.SET_OFF, pgettext_lazy("means of payment", "set off")

    @classmethod
    def of_people(cls) -> list[tuple[str, str]]:
        """Those that somebody chooses; a set-off is written by the program."""
        return [(value, str(label)) for value, label in cls.choices if value != cls.SET_OFF]


def quantity_words(unit: str, quantity: Decimal) -> str:
    """So many of a unit."""
    return f"{decimal_words(quantity)} {unit_words(unit, quantity)}"
