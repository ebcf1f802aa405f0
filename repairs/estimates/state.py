"""What became of an estimate, in a word; and what the case page shows of all of them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.cases.reasons import HOUSE_REASON
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Estimate


class State(models.TextChoices):
    """What became of a version."""

    DRAFT = "draft", _("draft")
    ISSUED = "issued", _("issued, not decided")
    AGREED = "agreed", _("agreed")
    DECLINED = "declined", _("declined")
    LAPSED = "lapsed", _("lapsed")
    REPLACED = "replaced", _("replaced")
    WITHDRAWN = "withdrawn", _("withdrawn")


SIGNS = {State.AGREED: "●", State.ISSUED: "◐", State.DRAFT: "○", State.REPLACED: "○"}
COLOURS = {State.AGREED: "good", State.ISSUED: "doubt"}
PLAIN = (State.DRAFT, State.REPLACED)


@dataclass(frozen=True)
class StateWord:
    """A state as pages show it: its key, its name, a sign beside the colour, the badge’s class."""

    key: str
    label: str
    sign: str
    badge: str


@dataclass(frozen=True)
class EstimateLine:
    """One version in a list."""

    estimate: Estimate
    state: StateWord
    consents: list[Consent]


@dataclass(frozen=True)
class _Later:
    """What came after a version: whether any was issued, and whether one was agreed to."""

    is_issued: bool = False
    is_agreed: bool = False

    def and_before(self, estimate: Estimate) -> _Later:
        """The same of the version before that one."""
        if not estimate.is_issued:
            return self
        is_agreed = _last_decision(estimate) == Consent.Decision.AGREED
        return _Later(is_issued=True, is_agreed=self.is_agreed or is_agreed)


def _state(estimate: Estimate, today: dt.date, later: _Later) -> State:
    if not estimate.is_issued:
        return State.DRAFT
    if estimate.withdrawn_at is not None:
        return State.WITHDRAWN
    if later.is_agreed:
        return State.REPLACED
    if decision := _last_decision(estimate):
        return State(decision)
    if later.is_issued:
        return State.REPLACED
    return State.LAPSED if estimate.has_lapsed(today) else State.ISSUED


def _last_decision(estimate: Estimate) -> str:
    decisions = [one.decision for one in estimate.consents.all()]
    return decisions[-1] if decisions else ""


def _words(state: State) -> StateWord:
    badge = "" if state in PLAIN else f"badge-{COLOURS.get(state, 'bad')}"
    return StateWord(state, str(state.label), SIGNS.get(state, "✕"), badge)


def estimate_lines(case: Case, today: dt.date) -> list[EstimateLine]:
    """Every version of the case with its state, the newest first, in two queries."""
    rows = case.estimates.select_related("paper", "made_by").prefetch_related("consents")
    lines, later = [], _Later()
    for row in rows.order_by("-version"):
        row.case = case
        words = _words(_state(row, today, later))
        lines.append(EstimateLine(row, words, list(row.consents.all())))
        later = later.and_before(row)
    return lines


def docket_facts(case: Case) -> dict[str, Any]:
    """What ``bench/_estimates.html`` wants: the newest versions, and the last decision."""
    lines = estimate_lines(case, timezone.localdate())
    consent = case.consents.select_related("estimate", "option", "noted_by").last()
    if consent is not None:
        consent.case = case
    return {
        "estimates": lines,
        "estimate": lines[0] if lines else None,
        "consent": consent,
        "may_have_estimate": takes_estimates(case),
    }


def takes_estimates(case: Case) -> bool:
    """Whether a stay of that reason is agreed to by an estimate at all."""
    return not is_house(case) and Case.Step.AGREED in case.path


def is_house(case: Case) -> bool:
    """Whether the instrument is the house’s own: its principal agrees to the work."""
    return bool(case.reason == HOUSE_REASON)
