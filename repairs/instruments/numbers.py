"""The shop numbers of instruments: one line, for ever."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.series import Series, register
from repairs.instruments.models import InstrumentSeries


def written(_line: object, number: int) -> str:
    """The number as the label on the instrument bears it."""
    return f"I-{number:04d}"


INSTRUMENTS = register(
    Series("instrument", _("instruments"), InstrumentSeries, ("pk",), written, lambda: [(1,)])
)
