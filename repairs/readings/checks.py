"""Looks at the kinds of instrument when the casebook starts, not when one is first taken in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core.checks import CheckMessage, Error, register

from repairs.instruments.kinds import kinds
from repairs.instruments.refusals import KindFileError
from repairs.readings.sheets.catalogue import sheets_of_kind


@register()
def kinds_are_whole(**_said: Any) -> Sequence[CheckMessage]:
    """Every file of ``fixtures/kinds`` can be read and names sheets that exist."""
    try:
        for kind in kinds().values():
            sheets_of_kind(kind)
    except KindFileError as wrong:
        return [Error(str(wrong), id="repairs.E001")]
    return []
