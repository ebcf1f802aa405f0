"""What the three letters ask for, line by line, and until when; worked by hand."""

from __future__ import annotations

import dataclasses
import datetime as dt
from decimal import Decimal

from django.utils import timezone, translation

from repairs.invoices.actions import open_credit
from repairs.invoices.models import Invoice
from repairs.payments.claims import Claim, claim
from repairs.payments.late_charges import penalty_until
from repairs.payments.reminder_letter import ReminderPaper, reminder_sheet
from tests import factories
from tests.conftest import NOW
from tests.payments.reminding import remind

D = Decimal
FIRST = Claim(
    level=1,
    open_amount=D("417.60"),
    credited=D("0.00"),
    paid=D("0.00"),
    days_late=1,
    rate_pct=None,
    penalty=D("0.00"),
    fee=D("0.00"),
    charges_paid=D("0.00"),
)


def letter(invoice: Invoice, **asked) -> ReminderPaper:
    said: ReminderPaper = reminder_sheet(
        invoice, dataclasses.replace(FIRST, **asked), made_at=NOW
    ).body
    return said


def rows(said: ReminderPaper) -> list[tuple[str, str]]:
    """The sums of a letter, from the amount of the invoice on."""
    return [(label, words.replace("\u00a0", " ")) for label, words in said.rows][2:]


def test_each_letter_opens_in_its_own_words_and_gives_fewer_days(owed):
    """NOW is 25 November 2026: 15, 10 and 8 days from it."""
    letters = [letter(owed, level=level) for level in (1, 2, 3)]

    assert [said.opening.partition(" ")[2][:18] for said in letters] == [
        "invoice below has ",
        "spite of our first",
        "two reminders had ",
    ]
    assert [said.pay_by for said in letters] == [
        "10 December 2026",
        "5 December 2026",
        "3 December 2026",
    ]
    assert {said.written_on for said in letters} == {"25 November 2026"}


def test_a_private_person_is_asked_kindly_before_the_last_letter(invoice):
    letters = [letter(invoice, level=level) for level in (1, 2, 3)]

    assert ["formal notice" in said.opening for said in letters] == [False, False, True]
    assert [len(said.law) for said in letters] == [0, 0, 1]


def test_the_first_letter_names_no_charges(owed):
    said = letter(owed)

    assert rows(said) == [("Amount of the invoice", "417.60 EUR"), ("Left to pay", "417.60 EUR")]
    assert said.rows[1][1].endswith("(1 day late)")
    assert letter(owed, days_late=2).rows[1][1].endswith("(2 days late)")


def test_the_second_letter_goes_from_the_invoice_down_to_what_is_asked(owed, helene):
    """260.00 open since the due day: × 12 % × 40 ÷ 365 = 3.4192."""
    factories.payment(owed, "100.00", by=helene, on=owed.due_on)
    part = open_credit(owed, by=helene, at=timezone.now())
    part.lines.update(quantity=1)  # 48.00 and 9.60
    factories.issued(part, by=helene)
    remind(owed, helene)

    asked = claim(owed, timezone.localdate() + dt.timedelta(days=10))
    said: ReminderPaper = reminder_sheet(owed, asked, made_at=NOW).body

    assert rows(said) == [
        ("Amount of the invoice", "417.60 EUR"),
        ("Credited", "−57.60 EUR"),
        ("Paid", "−100.00 EUR"),
        ("Left to pay", "260.00 EUR"),
        ("Penalty at 12 % a year", "3.42 EUR"),
        ("Fixed recovery fee", "40.00 EUR"),
        ("To be paid", "303.42 EUR"),
    ]
    assert said.amount == "303.42\u00a0EUR"
    assert len(said.law) == 1


def test_letters_after_the_first_name_the_law_and_defer_nothing(owed):
    first, second = letter(owed), letter(owed, level=2, rate_pct=D(12), penalty=D("5.49"))

    assert "does not ask for them yet" in first.law[0]
    assert "does not ask for them yet" not in second.law[0]
    assert [len(first.law), len(second.law)] == [1, 1]


def test_what_came_of_the_charges_is_taken_off_and_named(owed):
    said = letter(
        owed, level=3, rate_pct=D(12), penalty=D("6.86"), fee=D("40.00"), charges_paid=D("46.86")
    )

    assert rows(said)[-1] == ("Received of the penalty and the fee", "−46.86 EUR")
    assert said.amount == "417.60\u00a0EUR"


def test_a_house_whose_law_is_not_known_quotes_none(owed):
    owed.content["seller"]["country"] = "IT"

    assert [letter(owed, level=level).law for level in (1, 2, 3)] == [(), (), ()]


def test_two_parts_that_came_late_bear_their_penalty_until_each_came(owed, helene):
    """417.60 for 10 days 1.37, 217.60 for 5 days 0.36, 117.60 for 15 days 0.58."""
    for days, amount in ((10, "200.00"), (15, "100.00")):
        factories.payment(owed, amount, by=helene, on=owed.due_on + dt.timedelta(days=days))

    row = Invoice.objects.with_balance().get(pk=owed.pk)
    assert penalty_until(row, D(12), owed.due_on + dt.timedelta(days=30)) == D("2.31")


def test_a_french_client_is_written_to_in_french(owed):
    owed.client.language = "fr"
    with translation.override("en"):
        said = letter(owed)

    assert said.amount == "417,60\u00a0EUR"
    assert said.pay_by == "10 décembre 2026"
