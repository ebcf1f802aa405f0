"""The ways that were weighed before the work, and the risks that were named with them."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Option
from repairs.findings.look_models import Examination
from repairs.language.text import labelled


@dataclass(frozen=True)
class Weighed:
    """Options and risks in words, one a line; empty where nothing was recorded."""

    options: str
    risk: str


def weighed(case: Case, look: Examination | None) -> Weighed:
    """What the examination named, then every way of the estimate to which the owner agreed."""
    consent = case.consents.filter(decision=Consent.Decision.AGREED).last()
    offered = list(Option.objects.filter(estimate=consent.estimate_id)) if consent else []
    options = [look.alternatives] if look and look.alternatives else []
    risks = [look.risk] if look and look.risk else []
    for option in offered:
        name = labelled(option, option.promise)
        chosen = consent is not None and option.pk == consent.option_id
        options.append(_("%(option)s (agreed)") % {"option": name} if chosen else name)
        if option.risk:
            risks.append(labelled(option, option.risk))
    return Weighed("\n".join(options), "\n".join(risks))
