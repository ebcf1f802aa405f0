"""The kinds of paper that this room makes."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.press.kinds import register


def _totals(content: Mapping[str, Any]) -> tuple[str, ...]:
    """The total of each option, in their order."""
    return tuple(option["total"] for option in content.get("options", ()))


ESTIMATE = register("estimate", _("estimate"), sums=_totals)
