"""The kinds of paper that this room makes."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.press.kinds import register


def _amount(content: Mapping[str, Any]) -> tuple[str, ...]:
    """The sum in the head of the paper."""
    return tuple(filter(None, [content.get("amount", "")]))


REMINDER = register("reminder", _("reminder"), sums=_amount)
STATEMENT = register("statement", _("statement of account"), sums=_amount)
