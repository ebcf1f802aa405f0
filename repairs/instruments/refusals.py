"""What this room refuses: a file of fixtures that cannot be read as what it should be."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class KindFileError(WorkshopError):
    """A kind of instrument whose file is wrong: which file, which field, how to mend it."""

    message = _("%(file)s, %(field)s: %(mend)s")
