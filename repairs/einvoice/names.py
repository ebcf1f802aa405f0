"""What the tax categories of the standard are called by people."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import pgettext_lazy

from repairs.einvoice import document

CATEGORIES: Mapping[str, Promise] = {
    document.STANDARD: pgettext_lazy("kind of tax", "taxed"),
    document.ZERO: pgettext_lazy("kind of tax", "taxed at zero"),
    document.EXEMPT: pgettext_lazy("kind of tax", "exempt"),
    document.REVERSE: pgettext_lazy("kind of tax", "reverse charge"),
    document.EXPORT: pgettext_lazy("kind of tax", "export"),
    document.WITHIN_EU: pgettext_lazy("kind of tax", "delivery inside the EU"),
    document.OUTSIDE: pgettext_lazy("kind of tax", "outside the scope of VAT"),
}


def category_name(code: str) -> str:
    """The category in words; the code itself where the standard has none such."""
    return str(CATEGORIES.get(code, code))
