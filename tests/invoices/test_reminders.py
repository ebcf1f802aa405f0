"""Reminders: three levels on paper, with what the law lets one ask of whom."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from repairs.errors import ReminderRefusedError
from repairs.invoices.models import Invoice, Reminder
from repairs.invoices.reminders import claim, issue_reminder, laws, penalty
from repairs.people.models import House
from repairs.press.actions import pdf_bytes
from tests import factories
from tests.outside.verapdf import validate


@pytest.fixture
def owed(firm, helene) -> Invoice:
    """417.60 owed by a business, due thirty days ago."""
    House.objects.update(penalty_rate_pct=Decimal("12"))
    row = factories.draft(firm, by=helene, payment_days=0)
    return factories.issued(row, by=helene, at=timezone.now() - dt.timedelta(days=30))


def remind(invoice: Invoice, helene, days: int = 0) -> Reminder:
    return issue_reminder(invoice, by=helene, at=timezone.now() + dt.timedelta(days=days))


def test_the_penalty_is_simple_interest_by_the_day():
    """417.60 × 12 % × 30 ÷ 365 = 4.1188 (worked by hand)."""
    assert penalty(Decimal("417.60"), Decimal("12"), 30) == Decimal("4.12")


def test_three_levels_grow_firmer(owed, helene):
    rows = [remind(owed, helene, days) for days in (0, 10, 20)]

    assert [row.level for row in rows] == [1, 2, 3]
    assert [(row.penalty, row.fee) for row in rows] == [
        (Decimal("0.00"), Decimal("0.00")),
        (Decimal("5.49"), Decimal("40.00")),  # 40 days
        (Decimal("6.86"), Decimal("40.00")),  # 50 days
    ]


def test_the_law_is_recalled_to_a_business_in_the_first_and_used_from_the_second_on(owed, helene):
    """Rate and fee: articles L441-10 and D441-5 of the French commercial code, from memory."""
    laws_said = [remind(owed, helene, days).paper.data["content"]["law"] for days in (0, 10, 20)]

    assert all("L441-10" in said[0] and "D441-5" in said[0] for said in laws_said)
    assert "12 % a year" in laws_said[0][0].replace("\u00a0", " ")
    assert "40 euros" in laws_said[0][0]
    assert "does not ask for them yet" in laws_said[0][0]


def test_without_a_rate_of_its_own_the_first_letter_names_the_usual_one(owed, helene):
    House.objects.update(penalty_rate_pct=None)

    said = remind(owed, helene).paper.data["content"]["law"][0]

    assert "three times the legal rate of interest" in said


def test_the_letter_says_who_writes_it(owed, helene):
    """Article R123-237 of the French commercial code, from memory."""
    House.objects.update(legal_name="Sautarel SARL", legal_form="SARL au capital de 8 000 EUR")

    rows = dict(remind(owed, helene).paper.data["content"]["seller"])

    assert rows["Registered as"] == "Sautarel SARL, SARL au capital de 8 000 EUR"
    assert rows["SIRET"] == House.present().company_number
    assert rows["VAT number"] == House.present().vat_id


def test_a_letter_abroad_bears_both_countries(owed, helene):
    owed.client.country, owed.client.city = "DE", "Berlin"
    owed.client.save()

    said = remind(owed, helene).paper.data

    assert said["content"]["to"][-1] == "GERMANY"
    assert said["house"]["address"][-1] == "FRANCE"


def test_a_letter_at_home_bears_no_country(owed, helene):
    said = remind(owed, helene).paper.data

    assert "FRANCE" not in said["content"]["to"] + said["house"]["address"]


def test_a_private_person_owes_no_fee_and_hears_of_interest_in_the_last(invoice, helene, later):
    rows = [issue_reminder(invoice, by=helene, at=later(days)) for days in (5, 20, 40)]

    said = [row.paper.data["content"]["law"] for row in rows]
    assert {amount for row in rows for amount in (row.penalty, row.fee)} == {Decimal(0)}
    assert said[:2] == [[], []]
    assert "1231-6" in said[2][0]


def test_without_a_rate_no_penalty_is_reckoned(owed, helene):
    House.objects.update(penalty_rate_pct=None)
    remind(owed, helene)

    assert claim(owed, timezone.localdate() + dt.timedelta(days=10)).penalty == 0


def test_only_what_is_left_is_asked_for(owed, helene):
    factories.payment(owed, "400.00", by=helene)

    row = remind(owed, helene)

    said = dict(row.paper.data["content"]["rows"])
    assert (said["Amount of the invoice"], said["Paid"]) == ("417.60\u00a0EUR", "−400.00\u00a0EUR")
    assert row.open_amount == Decimal("17.60")
    assert row.paper.data["content"]["amount"] == "17.60\u00a0EUR"


def test_an_invoice_that_is_not_late_is_not_reminded(invoice, helene, later):
    with pytest.raises(ReminderRefusedError, match="it is due on"):
        issue_reminder(invoice, by=helene, at=later(0))


def test_a_paid_invoice_is_not_reminded(owed, helene):
    factories.payment(owed, "417.60", by=helene)

    with pytest.raises(ReminderRefusedError, match="nothing is left to pay"):
        remind(owed, helene)


def test_one_a_day_is_enough(owed, helene):
    remind(owed, helene)

    with pytest.raises(ReminderRefusedError, match="today already"):
        remind(owed, helene)


def test_after_the_third_there_is_none(owed, helene):
    for days in (0, 10, 20):
        remind(owed, helene, days)

    with pytest.raises(ReminderRefusedError, match="court"):
        remind(owed, helene, 30)


def test_each_level_is_a_paper_of_its_own(owed, helene):
    first, second = remind(owed, helene), remind(owed, helene, 10)

    assert first.paper.subject == f"invoice:{owed.number}:1"
    assert (second.paper.version, second.paper.replaces) == (1, None)


def test_the_database_knows_each_level_once(owed, helene):
    row = remind(owed, helene)
    row.pk, row._state.adding = None, True

    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


@pytest.mark.parametrize("country", [key for key in laws() if key != "note"])
def test_every_country_has_its_texts_in_both_languages(country):
    law = laws()[country]

    for whom in ("business", "consumer", *({"recall", "usual_rate"} & law.keys())):
        assert set(law[whom]) == {"en", "fr"}
        assert all(law[whom].values())
    assert Decimal(law["fee"]) >= 0


def test_the_page_shows_what_will_be_issued_and_issues_it(client, owed, helene):
    client.force_login(helene)
    address = reverse("invoices:remind", args=[owed.number])

    shown = client.get(address).text
    client.post(address)

    assert "417.60" in shown
    assert owed.reminders.get().level == 1


def test_the_page_says_why_there_is_none(client, invoice, helene):
    client.force_login(helene)

    shown = client.get(reverse("invoices:remind", args=[invoice.number])).text

    assert "it is due on" in shown
    assert "Issue this reminder" not in shown


@pytest.mark.slow
def test_reminders_are_archival_and_accessible(tmp_path, owed, helene):
    files = []
    for language, days in (("fr", 0), ("en", 10), ("fr", 20)):
        owed.client.language = language
        owed.client.save()
        files.append(tmp_path / f"{days}.pdf")
        files[-1].write_bytes(pdf_bytes(remind(owed, helene, days).paper))

    assert validate(files) == {file.name: {"3a": [], "ua1": []} for file in files}
