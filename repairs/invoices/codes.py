"""The codes of an invoice in the words of a person: kinds, units, categories of tax, means."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from repairs.invoices import document


class Kind(models.TextChoices):
    """Kinds of UNTDID 1001 that the house issues."""

    INVOICE = document.INVOICE, _("invoice")
    DEPOSIT = document.DEPOSIT, _("deposit invoice")
    CREDIT = document.CREDIT, _("credit note")


class Unit(models.TextChoices):
    PIECE = document.PIECE, _("piece")
    HOUR = document.HOUR, _("hour")
    MINUTE = document.MINUTE, _("minute")
    DAY = document.DAY, _("day")
    METRE = document.METRE, _("metre")
    SQUARE_METRE = document.SQUARE_METRE, _("square metre")
    GRAM = document.GRAM, _("gram")
    KILOGRAM = document.KILOGRAM, _("kilogram")
    LITRE = document.LITRE, _("litre")


class Category(models.TextChoices):
    STANDARD = document.STANDARD, _("taxed")
    ZERO = document.ZERO, _("taxed at zero")
    EXEMPT = document.EXEMPT, _("exempt")
    REVERSE = document.REVERSE, _("reverse charge")
    EXPORT = document.EXPORT, _("export")
    WITHIN_EU = document.WITHIN_EU, _("delivery inside the EU")
    OUTSIDE = document.OUTSIDE, _("outside the scope of VAT")


class Means(models.TextChoices):
    TRANSFER = document.TRANSFER, _("transfer")
    CARD = document.CARD, _("card")
    CASH = document.CASH, _("cash")
    CHEQUE = document.CHEQUE, _("cheque")
