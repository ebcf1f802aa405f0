"""What the ledger of a wheel says in codes, in words."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from repairs.readings.sheets.base import Text

CHANGES: Mapping[str, Text] = {
    "first": _("first reading"),
    "unchanged": _("as before, within its ±"),
    "cut": _("cut"),
    "smaller_unrecorded": _("smaller, and no cut is on record"),
    "larger": _("larger: another rim, or one of the two was misread"),
}
BASES: Mapping[str, Text] = {
    "as_read": _("as the last reading has it: down to the lowest place, centred first"),
    "as_before": _("as the cuts before it took on average"),
    "least_cut": _("the least that a blade takes evenly (common practice)"),
}
