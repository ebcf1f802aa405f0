"""Reminders: three levels on paper, with what the law lets one ask of whom."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.invoices.models import Invoice
from repairs.payments.actions import reverse_payment
from repairs.payments.claims import claim
from repairs.payments.late_charges import penalty
from repairs.payments.reminders import issue_reminder
from repairs.people.house_models import House
from tests import factories
from tests.payments.reminding import remind


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


@pytest.fixture
def rateless(firm, helene) -> Invoice:
    """As ``owed``, but issued while the house had no rate of its own; it set one later."""
    row = factories.draft(firm, by=helene, payment_days=0)
    invoice = factories.issued(row, by=helene, at=timezone.now() - dt.timedelta(days=30))
    House.objects.update(penalty_rate_pct=Decimal("12.5"))
    return invoice


def test_without_a_rate_of_its_own_the_first_letter_names_the_usual_one(rateless, helene):
    said = remind(rateless, helene).paper.data["content"]["law"][0]

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


def test_a_rate_that_the_invoice_does_not_state_is_not_claimed(rateless, helene):
    """Code de commerce, article L441-10 II, from memory."""
    rows = [remind(rateless, helene, days) for days in (0, 10, 20)]

    assert {row.penalty for row in rows} == {Decimal(0)}
    for row in rows[1:]:
        said = row.paper.data["content"]
        words = rateless.content["notes"]
        assert said["amount"] == "457.60\u00a0EUR"
        assert not any("12.5" in line for line in said["law"])
        assert any(note["text"] in said["law"][1] for note in words if note["code"] == "PMD")


@pytest.mark.parametrize("rate", [None, Decimal("3"), Decimal("20")])
def test_the_rate_is_the_one_of_the_invoice_whatever_the_house_sets_later(owed, helene, rate):
    remind(owed, helene)
    House.objects.update(penalty_rate_pct=rate)

    asked = claim(owed, timezone.localdate() + dt.timedelta(days=10))

    assert (asked.rate_pct, asked.penalty) == (Decimal("12.00"), Decimal("5.49"))


def test_an_invoice_without_its_rate_as_a_figure_is_reminded_by_its_words(owed, helene):
    """So were the invoices of the time before rates were kept."""
    content = {name: said for name, said in owed.content.items() if name != "penalty_rate_pct"}
    Invoice.objects.filter(pk=owed.pk).update(content=content)
    owed.refresh_from_db()

    first, second = remind(owed, helene), remind(owed, helene, 10)

    assert "at the rate that our invoice states" in first.paper.data["content"]["law"][0]
    assert second.penalty == 0
    assert "12 % a year" in second.paper.data["content"]["law"][1].replace("\u00a0", " ")


def test_no_later_letter_asks_less_when_the_client_is_no_business_any_more(owed, helene):
    second = [remind(owed, helene, days) for days in (0, 10)][-1]
    owed.client.kind, owed.client.company_number, owed.client.vat_id = "person", "", ""
    owed.client.save()

    third = remind(owed, helene, 20)

    assert third.penalty + third.fee > second.penalty + second.fee


def test_a_part_that_came_late_bears_its_penalty_until_it_came(owed, helene):
    """417.60 × 12 % × 30 ÷ 365 = 4.12, then 17.60 for 10 days 0.06 (worked by hand)."""
    factories.payment(owed, "400.00", by=helene)
    remind(owed, helene)

    asked = claim(owed, timezone.localdate() + dt.timedelta(days=10))

    assert asked.penalty == Decimal("4.18")


def test_a_wrong_entry_stops_no_penalty(owed, helene):
    wrong = factories.payment(owed, "400.00", by=helene, on=owed.due_on)
    reverse_payment(wrong, timezone.localdate(), by=helene, at=timezone.now())
    remind(owed, helene)

    assert claim(owed, timezone.localdate() + dt.timedelta(days=10)).penalty == Decimal("5.49")


def last_opening(invoice: Invoice, helene, days: tuple[int, ...]) -> str:
    """What the third of the letters, so many days from now, begins with."""
    return [remind(invoice, helene, day) for day in days][-1].paper.data["content"]["opening"]


def test_a_private_person_is_not_told_that_costs_are_theirs(invoice, helene):
    """Code des procédures civiles d’exécution, article L111-8, from memory."""
    said = last_opening(invoice, helene, (40, 50, 60))

    assert "formal notice" in said
    assert "expense" not in said


def test_a_business_is_told_that_costs_are_theirs(owed, helene):
    assert "at your expense" in last_opening(owed, helene, (0, 10, 20))


def test_only_what_is_left_is_asked_for(owed, helene):
    factories.payment(owed, "400.00", by=helene)

    row = remind(owed, helene)

    said = dict(row.paper.data["content"]["rows"])
    assert (said["Amount of the invoice"], said["Paid"]) == ("417.60\u00a0EUR", "−400.00\u00a0EUR")
    assert row.open_amount == Decimal("17.60")
    assert row.paper.data["content"]["amount"] == "17.60\u00a0EUR"
