"""What a second process does in these tests: decide through a link."""

from __future__ import annotations

import sys

from django.utils import timezone

from repairs.estimates.consent.decide import Said, decide
from repairs.estimates.models import ConsentLink
from repairs.estimates.refusals import LinkSpentError
from tests.beside import ready
from tests.factories import SIGNATURE


def agree_by_link(pk: str) -> None:
    """Say “agreed” or “spent”."""
    link = ConsentLink.objects.select_related("estimate__case__owner").get(pk=int(pk))
    estimate = link.estimate
    said = Said(
        decision="agreed",
        how="link",
        name=estimate.case.owner.name,
        option=estimate.options.first(),
        signature=SIGNATURE,
    )
    ready()
    try:
        decide(estimate, said, link=link, by=None, at=timezone.now())
        sys.stdout.write("agreed\n")
    except LinkSpentError:
        sys.stdout.write("spent\n")
