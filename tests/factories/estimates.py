"""Estimates with their options, issued, and the decision of the owner."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils import timezone

from repairs.cases.models import Case
from repairs.estimates import actions as estimate_actions
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.consent.decide import decide
from repairs.estimates.consent.links import make_link
from repairs.estimates.consent.said import Said
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.models import Estimate
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.people.models import User
from repairs.press.models import Paper
from tests.factories.cases import looked_over
from tests.factories.procedures import procedure

SIGNATURE = [[[0.1, 0.6], [0.3, 0.2], [0.5, 0.8]], [[0.6, 0.4], [0.9, 0.5]]]


def work_line(key: str = "seam", **said: Any) -> LineWish:
    """A line of work under a procedure of the tests, at its usual minutes."""
    low, high = procedure(key).procedure.minutes
    words: dict[str, Any] = {"minutes_low": low, "minutes_high": high, **said}
    return LineWish(kind="work", procedure=key, **words)


def estimate(
    case: Case, *options: OptionWish, by: User, issued: bool = True, **fields: Any
) -> Estimate:
    """A version with its options, at 60.00 an hour and 20 % tax unless said otherwise; issued."""
    now = timezone.now()
    row = estimate_actions.write_estimate(case, by=by, at=now)
    said = {"hourly_rate": Decimal("60.00"), "tax_pct": Decimal("20"), "intro": "As we said."}
    for name, value in (said | fields).items():
        setattr(row, name, value)
    wishes = options or (OptionWish(kind="safe", lines=[work_line()]),)
    estimate_actions.change_estimate(row, wishes, seen=row.revision, by=by, at=now)
    if issued:
        issue_estimate(looked_over(case, by=by), row, by=by)
    return row


def issue_estimate(case: Case, row: Estimate, *, by: User, language: str = "en") -> Paper:
    now = timezone.now()
    row.case = case
    sheet = estimate_sheet(row, language=language, made_at=now)
    return estimate_actions.issue_estimate(
        row, language=language, fingerprint=sheet.fingerprint(), by=by, at=now
    )


def paper_of(row: Estimate) -> Paper:
    """The paper of an issued version."""
    assert row.paper is not None
    return row.paper


def link(estimate: Estimate, *, by: User) -> tuple[ConsentLink, str]:
    """A link to the issued version, with its token."""
    return make_link(estimate, by=by, at=timezone.now())


def consent(estimate: Estimate, *, by: User | None, link: Any = None, **said: Any) -> Consent:
    """The owner agrees to the first option, with a drawn signature on the premises."""
    words: dict[str, Any] = {
        "decision": "agreed",
        "how": "premises",
        "name": estimate.case.owner.name,
        "option": estimate.options.first(),
        "signature": SIGNATURE,
        "replaces": True,
    } | said
    return decide(estimate, Said(**words), link=link, by=by, at=timezone.now())
