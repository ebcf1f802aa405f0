"""Why the register of instruments refuses, and a kind whose file cannot be read."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.language.refusal import WorkshopError


class KindFileError(WorkshopError):
    """A kind of instrument whose file is wrong: which file, which field, how to mend it."""

    message = _("%(file)s, %(field)s: %(mend)s")


class HazardNotStandingError(WorkshopError):
    """What is to be lifted does not stand: never noted, or lifted by somebody else meanwhile."""

    message = _(
        "“%(hazard)s” does not stand against %(number)s: it was never noted, or somebody lifted "
        "it meanwhile. Look at its hazards anew to see who did, and why."
    )
