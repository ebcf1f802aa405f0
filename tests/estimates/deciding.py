"""What a second process does in these tests: decide by a link, at the counter, by telephone."""

from __future__ import annotations

import sys
from typing import Any

from django.utils import timezone

from repairs.estimates.consent.decide import decide
from repairs.estimates.consent.said import Said
from repairs.estimates.consent_models import ConsentLink
from repairs.estimates.models import Estimate
from repairs.estimates.refusals import ConsentRefusedError, LinkSpentError
from repairs.people.models import User
from tests.beside import ready
from tests.estimates.words import spoken
from tests.factories import SIGNATURE


def say(decision: str, how: str, pk: str) -> None:
    """Say “noted”, “spent” (the link) or “refused” (somebody was faster)."""
    estimate = Estimate.objects.select_related("case__owner").get(pk=int(pk))
    link = ConsentLink.objects.filter(estimate=estimate).first() if how == "link" else None
    by = None if link else User.objects.get(username="armand")
    words: dict[str, Any] = {"how": how, "signature": SIGNATURE}
    if how == "telephone":
        words = spoken()
    option = estimate.options.first() if decision == "agreed" else None
    said = Said(decision=decision, name=estimate.case.owner.name, option=option, **words)
    ready()
    try:
        decide(estimate, said, link=link, by=by, at=timezone.now())
        sys.stdout.write("noted\n")
    except LinkSpentError:
        sys.stdout.write("spent\n")
    except ConsentRefusedError:
        sys.stdout.write("refused\n")
