"""The numbers of cases: a line for each year."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.series import Series, register
from repairs.cases.custody_models import CaseSeries


def written(year: object, number: int) -> str:
    """The number of a case as labels bear it; it grows a digit at the thousandth of a year."""
    return f"{year}-{number:03d}"


CASES = register(Series("case", _("cases"), CaseSeries, ("year",), written, lambda: [()]))
