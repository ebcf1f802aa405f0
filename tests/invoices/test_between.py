"""What hangs on who sells to whom: cash, usual and possible taxes; and a discount of cents."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.utils import translation

from repairs.invoices.cash import _cash
from repairs.invoices.deals import Deal, possible, why_not
from repairs.invoices.drafting import document_of
from repairs.invoices.taxing import Tax, reasons_of, tax_of
from repairs.people.house_models import House
from repairs.people.models import Client
from tests.factories import BILLING
from tests.invoices.plain import FIRM, PRIVATE, TODAY, facts, row

D = Decimal


# Discounts, cash -----------------------------------------------------------------------------


def test_a_discount_of_cents_is_taken_off_and_none_of_nothing_is_named():
    rows = [row(price="5"), row(price="0", rate_pct=D(10), position=2)]

    (off,) = document_of(facts(*rows, discount_pct=D(10)), number="").allowances

    assert (off.amount, off.is_charge, off.rate_pct) == (D("0.50"), False, D(20))
    said = facts(row(), discount_pct=D(10), discount_reason="Old friend")
    (own,) = document_of(said, number="").allowances
    assert own.reason.replace("\u00a0", " ") == "Old friend 10 %"


@pytest.mark.parametrize(
    ("client", "house", "most"),
    [
        (PRIVATE, {}, "1000.00"),
        (FIRM, {}, "1000.00"),
        (PRIVATE | {"country": "DE"}, {}, "15000.00"),
        (FIRM | {"country": "DE"}, {}, "1000.00"),  # a firm is no visitor
        (PRIVATE, {"country": "BE"}, "3000.00"),
    ],
)
def test_how_much_may_be_paid_in_cash(client, house, most):
    """CMF D112-3; Belgian law of 18 September 2017, article 67: both from memory."""
    doc = document_of(facts(client=client, house=house), number="")

    assert _cash(doc, D(most)) == []
    (said,) = _cash(doc, D(most) + D("0.01"))
    assert f"{D(most):,}\u00a0EUR (" in said


def test_francs_are_not_held_against_euros():
    assert _cash(document_of(facts(house={"currency": "CHF"}), number=""), D("99999")) == []


# Between whom which tax can be ---------------------------------------------------------------


def deal(home: str, there: str, **said) -> Deal:
    own: dict[str, Any] = {"pays_vat": True, "is_business": True, "vat_id": "", "day": TODAY} | said
    reasons = reasons_of(home, TODAY, pays_vat=own["pays_vat"])
    return Deal(home=home, there=there, reasons=reasons, **own)


@pytest.mark.parametrize(
    ("one", "codes"),
    [
        (deal("FR", "GB", vat_id="XI123456789"), ["S", "G", "K", "O"]),  # goods of N. Ireland
        (deal("FR", "GB", vat_id="GB123456789"), ["S", "G", "O"]),
        (deal("CH", "GB", vat_id="XI123456789"), ["S", "G", "O"]),
        (deal("GB", "GB"), ["S", "Z"]),
        (deal("GB", "FR", is_business=False), ["S", "Z", "G"]),
        (deal("IT", "IT"), ["S", "Z"]),  # its rates are not known here: nothing is refused
        (deal("FR", "MC", vat_id="FR39356000000"), ["S"]),
        (deal("FR", "FR", pays_vat=False), ["E"]),
        (deal("CH", "DE", pays_vat=False), ["O"]),
    ],
)
def test_which_taxes_can_be_between_two(one, codes):
    assert set(possible(one)) == set(codes)


def test_a_house_outside_the_union_exports_what_leaves_its_country():
    said = why_not(deal("CH", "CH"), "G")

    assert said.endswith("is for what leaves the country; this client is in Switzerland.")


@pytest.mark.parametrize(
    ("house", "client", "tax"),
    [
        ({}, PRIVATE, Tax("S", D(20))),
        ({"default_rate_pct": D(0)}, PRIVATE, Tax("Z", D(0))),
        ({}, PRIVATE | {"country": "DE"}, Tax("S", D(20))),
        ({}, PRIVATE | {"country": "DE", "company_number": "HRB 1"}, Tax("S", D(20))),
        ({}, PRIVATE | {"country": "DE", "vat_id": "DE136695976"}, Tax("AE", D(0))),
        ({}, PRIVATE | {"country": "CH", "company_number": "CHE-1"}, Tax("O", D(0))),
        ({}, PRIVATE | {"country": "MC", "vat_id": "FR39356000000"}, Tax("S", D(20))),
        ({"vat_regime": "small_business"}, FIRM, Tax("E", D(0))),
        ({"vat_regime": "small_business", "country": "CH"}, FIRM, Tax("O", D(0))),
        ({"vat_regime": "small_business", "country": "IT"}, FIRM, Tax("E", D(0))),
    ],
)
def test_the_tax_that_work_usually_bears(house, client, tax):
    said = tax_of(House(**BILLING | house), Client(**client), TODAY)

    assert said == tax


def test_the_terms_are_said_in_the_language_of_the_draft():
    with translation.override("en"):
        doc = document_of(facts(language="fr", payment_days=0), number="")

    assert doc.payment_terms == "À réception"
