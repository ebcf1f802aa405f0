"""The numbers of pieces of wood: one line, for ever."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.series import Series, register
from repairs.wood.models import WoodSeries


def written(_line: object, number: int) -> str:
    """The number as it is pencilled on the wood."""
    return f"W-{number:04d}"


PIECES = register(Series("wood", _("pieces of wood"), WoodSeries, ("pk",), written, lambda: [(1,)]))
