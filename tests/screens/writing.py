"""Forms that were sent eight times, and how often they then counted: each with its page."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db.models import Model
from django.urls import reverse
from django.utils import timezone
from django.utils.timezone import localtime

from repairs.cases.models import Case
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.invoices.models import Invoice, Payment
from repairs.people.models import Client, User
from repairs.treatment.models import WorkSpell
from repairs.treatment.part_models import RemovedPart
from repairs.wood.models import Withdrawal
from tests import factories


@dataclass(frozen=True)
class Writing:
    """A page, the address of one of its forms, what is typed, and the rows that it makes."""

    page: str
    action: str
    typed: dict[str, str]
    rows: type[Model]
    known: int = 0  # rows that were there before
    is_signed_in: bool = True


def payment(by: User) -> Writing:
    factories.billing_house()
    invoice = factories.issued(factories.draft(factories.payer(by=by), by=by), by=by)
    action = reverse("invoices:pay", args=[invoice.number])
    typed = {"sort": "received", "amount": "100", "means": "30", "paid_on": f"{_today()}"}
    return Writing(invoice.get_absolute_url(), action, typed, Payment)


def withdrawal(by: User) -> Writing:
    page = reverse("wood:take", args=[factories.piece(by=by).number])
    typed = {"length_mm": "20", "width_mm": "20", "thickness_mm": "2", "purpose": "a cleat"}
    return Writing(page, page, typed, Withdrawal)


def bag(by: User) -> Writing:
    work = _work(by)
    action = reverse("treatment:removed_add", args=[work.case.number, work.number])
    page = reverse("treatment:work", args=[work.case.number, work.number])
    return Writing(page, action, {"removed-description": "old glue"}, RemovedPart)


def minutes(by: User) -> Writing:
    work = _work(by)
    page = reverse("treatment:minutes", args=[work.case.number, work.number])
    typed = {"person": str(by.pk), "started_at": f"{_ago(2):%Y-%m-%dT%H:%M}", "minutes": "20"}
    return Writing(page, page, typed, WorkSpell)


def consent_link(by: User) -> Writing:
    estimate = factories.estimate(_looked_over(by), by=by)
    place = [estimate.case.number, estimate.version]
    page, action = reverse("estimates:detail", args=place), reverse("estimates:link", args=place)
    return Writing(page, action, {}, ConsentLink)


def decision(by: User) -> Writing:
    """Of somebody who is no user: in a window without a sign-in."""
    estimate = factories.estimate(_looked_over(by), by=by)
    _link, token = factories.link(estimate, by=by)
    page = reverse("estimates:decide", args=[token])
    typed = {
        "choice": "1",
        "name": "Garance Ollivant",
        "signature": json.dumps(factories.SIGNATURE),
    }
    return Writing(page, page, typed, Consent, is_signed_in=False)


def case(by: User) -> Writing:
    page = reverse("cases:take_in", args=[_instrument(by).number])
    asked = {
        "reason": "repair",
        "owner_words": "It growls once a turn.",
        "state_at_intake": "Wheel turns.",
        "received_at": f"{_ago(1):%Y-%m-%dT%H:%M}",
        "place": "Shelf 2",
        **dict.fromkeys(("may_turn", "may_string", "may_play"), "ask"),
    }
    return Writing(page, page, asked, Case)


def client(by: User) -> Writing:
    page = reverse("people:client_add")
    return Writing(page, page, {"name": "Basile Ferrand"}, Client)


def invoice(by: User) -> Writing:
    factories.billing_house()
    draft = factories.draft(factories.payer(by=by), by=by)
    page = reverse("invoices:issue", args=[draft.pk])
    return Writing(page, page, {}, Invoice)


WRITINGS: dict[str, Callable[[User], Writing]] = {
    made.__name__: made
    for made in (
        payment,
        withdrawal,
        bag,
        minutes,
        consent_link,
        decision,
        case,
        client,
        invoice,
    )
}


def _instrument(by: User) -> Any:
    return factories.instrument(factories.owner(by=by), by=by)


def _looked_over(by: User) -> Case:
    factories.house()
    return factories.looked_over(factories.case(_instrument(by), by=by), by=by)


def _work(by: User) -> Any:
    row = factories.case(_instrument(by), by=by, received_at=timezone.now() - _hours(5))
    return factories.begun_work(factories.agreed_work(row, "free", by=by), by=by)


def _hours(count: int) -> Any:
    return dt.timedelta(hours=count)


def _ago(hours: int) -> Any:
    return localtime(timezone.now() - _hours(hours))


def _today() -> Any:
    return timezone.localdate()
