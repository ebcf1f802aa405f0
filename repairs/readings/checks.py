"""Looks at the kinds of instrument when the casebook starts, not when one is first taken in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core.checks import CheckMessage, Error, register

from repairs.instruments.kinds import kinds
from repairs.instruments.refusals import KindFileError


@register()
def kinds_are_whole(**_said: Any) -> Sequence[CheckMessage]:
    """Every file of ``fixtures/kinds`` can be read and names sheets that exist."""
    # All sheets with all gauges: a process that prints or develops makes no checks.
    from repairs.readings.sheets.catalogue import sheets_of_kind  # noqa: PLC0415 - see above

    try:
        for kind in kinds().values():
            sheets_of_kind(kind)
    except KindFileError as wrong:
        return [Error(str(wrong), id="repairs.E001")]
    return []
