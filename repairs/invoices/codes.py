"""The codes of an invoice in the words of a person: kinds, units, categories of tax, means."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.utils.translation import gettext, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from repairs.invoices import document
from repairs.text import decimal_words


class Kind(models.TextChoices):
    """Kinds of UNTDID 1001 that the house issues."""

    INVOICE = document.INVOICE, _("invoice")
    DEPOSIT = document.DEPOSIT, _("deposit invoice")
    CREDIT = document.CREDIT, _("credit note")


class Unit(models.TextChoices):
    PIECE = document.PIECE, pgettext_lazy("unit", "piece")
    HOUR = document.HOUR, pgettext_lazy("unit", "hour")
    MINUTE = document.MINUTE, pgettext_lazy("unit", "minute")
    DAY = document.DAY, pgettext_lazy("unit", "day")
    METRE = document.METRE, pgettext_lazy("unit", "metre")
    SQUARE_METRE = document.SQUARE_METRE, pgettext_lazy("unit", "square metre")
    GRAM = document.GRAM, pgettext_lazy("unit", "gram")
    KILOGRAM = document.KILOGRAM, pgettext_lazy("unit", "kilogram")
    LITRE = document.LITRE, pgettext_lazy("unit", "litre")


class Category(models.TextChoices):
    STANDARD = document.STANDARD, pgettext_lazy("kind of tax", "taxed")
    ZERO = document.ZERO, pgettext_lazy("kind of tax", "taxed at zero")
    EXEMPT = document.EXEMPT, pgettext_lazy("kind of tax", "exempt")
    REVERSE = document.REVERSE, pgettext_lazy("kind of tax", "reverse charge")
    EXPORT = document.EXPORT, pgettext_lazy("kind of tax", "export")
    WITHIN_EU = document.WITHIN_EU, pgettext_lazy("kind of tax", "delivery inside the EU")
    OUTSIDE = document.OUTSIDE, pgettext_lazy("kind of tax", "outside the scope of VAT")


def rate_words(category: str, rate_pct: Decimal) -> str:
    """The rate; where there is none, what kind of tax it is."""
    if rate_pct:
        return gettext("%(rate)s %%") % {"rate": decimal_words(rate_pct)}
    return str(Category(category).label)


class Means(models.TextChoices):
    TRANSFER = document.TRANSFER, pgettext_lazy("means of payment", "transfer")
    CARD = document.CARD, pgettext_lazy("means of payment", "card")
    CASH = document.CASH, pgettext_lazy("means of payment", "cash")
    CHEQUE = document.CHEQUE, pgettext_lazy("means of payment", "cheque")
