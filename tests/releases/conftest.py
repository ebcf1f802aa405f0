"""A small house with rows in every table: the demo, and what its story does not tell."""

from __future__ import annotations

import pytest
from django.utils import timezone

from repairs.books.closing import close_year
from repairs.demo.scenario import Scenario
from repairs.estimates.consent.links import make_link
from repairs.instruments.hazard_actions import lift_hazard
from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import InvoiceDraft
from repairs.payments.models import Sending
from repairs.payments.reminders import issue_reminder
from repairs.payments.sending import send_paper
from repairs.people.models import Client, User
from repairs.photos.actions import open_upload
from repairs.photos.upload_models import Upload
from repairs.press.models import Paper
from repairs.press.proofs import Proof, Sort, add_later
from repairs.readings.actions import set_house_limit
from repairs.readings.models import HouseLimit
from tests import factories

SMALL = 240


@pytest.fixture
def whole_house(db) -> User:
    """The demo with small pictures; then money, a link, a limit, a hazard, a file on its way, a
    stamp."""
    Scenario(password="un-mot-long-1771", say=lambda _words: None, long_side_px=SMALL).play()
    head = User.objects.filter(role="principal").earliest("pk")
    payer = factories.payer(by=head, name="Odon Perrachon")
    _money(payer, head)
    instrument = factories.instrument(payer, by=head)
    factories.hazard(instrument, by=head)
    lift_hazard(instrument, "lead", because="Analysed: none.", by=head, at=timezone.now())
    case = factories.looked_over(factories.case(instrument, by=head), by=head)
    make_link(factories.estimate(case, by=head), by=head, at=timezone.now())
    upload = Upload(case=case, by=head, name="IMG_1.jpg", size_bytes=999, phase="arrival")
    open_upload(upload, at=timezone.now())
    limit = HouseLimit(gauge="wheel", figure="ecc_mm", upper=0.05, source="our own bench")
    set_house_limit(limit, by=head, at=timezone.now())
    stamp = Proof(Sort.STAMP, b"a token", timezone.now(), "A clock", "Its issuer")
    add_later(Paper.objects.earliest("pk"), stamp, at=timezone.now())
    return head


def _money(payer: Client, head: User) -> None:
    now = timezone.now()
    issue_reminder(factories.late(payer, by=head), by=head, at=now)
    line = factories.sold("Deposit on the wheel", "100.00", sort="free")
    deposit = factories.issued(factories.draft(payer, line, by=head, kind=Kind.DEPOSIT), by=head)
    final: InvoiceDraft = factories.draft(payer, by=head)
    final.deposits.add(deposit)
    invoice = factories.issued(final, by=head)
    factories.payment(invoice, "10.00", by=head)
    sending = Sending(invoice=invoice, paper=invoice.paper, address="odon@example.org")
    send_paper(sending, ("Your invoice", "Good day"), by=head, at=now)
    year = timezone.localtime(now).year
    close_year(year, by=head, at=now, typed=str(year))
