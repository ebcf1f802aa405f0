"""books.refusals: moved here."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class YearNotOverError(WorkshopError):
    message = _("The year %(year)s cannot be closed: %(why)s")


class NothingToBookError(WorkshopError):
    message = _("There is no entry between %(first)s and %(last)s, so there is nothing to export.")
