"""Length, width, thickness, and the volume that follows from them."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.wood.words import size_words

Sizes = tuple[Decimal, Decimal, Decimal]


POSITIVE_SIZES = Q(length_mm__gt=0) & Q(width_mm__gt=0) & Q(thickness_mm__gt=0)


def volume_cm3(sizes_mm: Sizes) -> Decimal:
    """Of three sides in millimetres, exact: hundredths cubed need six places, and three for cm³."""
    # Exact: hundredths of a millimetre, three times multiplied, are six places of a cubic
    # millimetre, and nine of a cubic centimetre. No rounding, so parts add up to the board.
    return math.prod(sizes_mm, start=Decimal("0.001"))


def _size(label: Any) -> models.DecimalField[Decimal, Decimal]:
    return models.DecimalField(label, max_digits=6, decimal_places=2)


def volume_field() -> models.DecimalField[Decimal, Decimal]:
    """To nine places it is exact: what is sawn from a piece adds up to the piece."""
    return models.DecimalField(max_digits=18, decimal_places=9, editable=False)


class Sized(models.Model):
    """Something with a length, a width and a thickness."""

    length_mm = _size(_("length"))
    width_mm = _size(_("width"))
    thickness_mm = _size(_("thickness"))

    class Meta:
        abstract = True

    @property
    def sizes_mm(self) -> Sizes:
        """Length along the grain, width, thickness."""
        return self.length_mm, self.width_mm, self.thickness_mm

    @property
    def size_words(self) -> str:
        """The three sizes in words."""
        return size_words(self.sizes_mm)
