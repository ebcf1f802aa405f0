"""What the books refuse."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class YearNotOverError(WorkshopError):
    """A year is not closed: it lasts, is closed already, or its books and papers differ."""

    message = _("The year %(year)s cannot be closed: %(why)s")


class NothingToBookError(WorkshopError):
    """No file for the accountant is made of a period in which nothing was booked."""

    message = _(
        "There is no entry between %(first)s and %(last)s, so there is nothing to export. Choose "
        "another period."
    )
