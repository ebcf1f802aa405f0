"""Sizes and volumes as people read them, and what the gauges of wood say in codes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from repairs.gauges.base.errors import GaugeInputError
from repairs.language.text import decimal_words, uses_comma

Text = str | Promise

CUBIC_MM = Decimal("0.001")
PLAIN_DECIMAL = re.compile(r"-?\d+\.\d+")

# Sentences of the gauges' codes that a block or a strip of wood can meet.
REFUSALS: Mapping[str, Text] = {
    "missing": _("%(place)s is missing. Give it, or leave the whole row out."),
    "not_a_number": _("%(place)s is %(value)s, which is not a number."),
    "not_positive": _("%(place)s is %(value)s; it must be more than 0."),
    "too_small": _("%(place)s is %(value)s; less than %(limit)s is not possible here."),
    "too_big": _(
        "%(place)s is %(value)s; more than %(limit)s is not possible here. Check the unit."
    ),
}
PLACES: Mapping[str, Text] = {
    "mass_g": _("mass"),
    "length_mm": _("length"),
    "width_mm": _("width"),
    "thickness_mm": _("thickness"),
    "mc_pct": _("moisture"),
    "f_hz": _("tap tone"),
    "density_kg_m3": _("the density that follows"),
    "e_gpa": _("the stiffness that follows"),
}
NOTES: Mapping[str, Text] = {
    "thick_for_its_length": _("Thick for its length: shear makes the stiffness come out low."),
    "wide_for_its_length": _("Wide for its length: it does not bend as a strip."),
    "taller_than_wide": _("Taller than wide: was thickness taken for width?"),
}


def size_words(sizes_mm: Iterable[Decimal]) -> str:
    """Length, width and thickness as “500 × 200 × 4,5 mm”, on one line."""
    return "\u00a0×\u00a0".join(decimal_words(size) for size in sizes_mm) + "\u00a0mm"


def volume_words(cm3: Decimal) -> str:
    """A volume to about three figures, never less than what tells it from nothing."""
    size = abs(cm3)
    places = 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 1 else 3
    return f"{decimal_words(round(cm3, places))}\u00a0cm³"


def exact_volume_words(cm3: Decimal) -> str:
    """A volume to the cubic millimetre, where two that are nearly equal must differ."""
    return f"{decimal_words(cm3.quantize(CUBIC_MM))}\u00a0cm³"


def refusal_words(refusal: GaugeInputError) -> str:
    """Say what the gauge refused, naming the place as the form does."""
    details = {key: _localised(value) for key, value in refusal.details.items()}
    place = PLACES.get(refusal.field, refusal.field)
    filled = {"value": "", "limit": ""} | details | {"place": capfirst(str(place))}
    return str(REFUSALS[refusal.code]) % filled


def _localised(value: object) -> object:
    words = str(value)
    if uses_comma() and PLAIN_DECIMAL.fullmatch(words):
        return words.replace(".", ",")
    return value
