"""The kinds of paper that this room makes."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.press.kinds import register


def _agreed(content: Mapping[str, Any]) -> tuple[str, ...]:
    """The total that was agreed to; records of the time before it stood apart tell none."""
    return tuple(filter(None, [content.get("total", "")]))


CONSENT_RECORD = register("consent_record", _("consent record"), sums=_agreed)
