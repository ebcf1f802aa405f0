"""What is asked about the taxes of a draft, and stands in the way of nothing."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from tests import factories
from tests.invoices.laws import (
    FRENCH,
    GERMAN,
    INSTITUTION,
    NAMELESS_GERMAN,
    NO_VAT,
    SWISS,
    SWISS_FIRM,
    problems,
    remarks,
)


@pytest.mark.parametrize(
    ("category", "client", "says"),
    [
        ("S", NAMELESS_GERMAN | INSTITUTION, "Is this client a business? Its VAT number"),
        ("S", SWISS | INSTITUTION, "Is this client a business? A proof of it"),
        ("O", SWISS | INSTITUTION, "keep a proof of it"),
        ("S", GERMAN, "VAT is charged to a business in Germany that has a VAT number"),
        ("G", SWISS, "Line 1: “goods sent out of the country’s customs territory” is for goods"),
        ("S", INSTITUTION, "company number (SIREN) is missing"),
        ("S", FRENCH, ""),
        ("S", SWISS, ""),
        ("AE", GERMAN, ""),
        ("S", INSTITUTION | {"company_number": "356000000"}, ""),
    ],
)
def test_what_is_doubtful_is_asked_and_stands_in_the_way_of_nothing(
    drafted, category, client, says
):
    draft = drafted(category, client)

    said = remarks(draft)

    assert problems(draft) == ""
    assert (says in said) if says else said == ""


@pytest.mark.parametrize(
    ("category", "client", "sort", "says"),
    [
        ("S", SWISS_FIRM, "hours", ""),  # it has its number: nobody asks whether it is a firm
        ("O", SWISS_FIRM, "hours", ""),
        ("G", SWISS | INSTITUTION, "material", ""),  # goods that leave want no proof of business
        ("G", SWISS_FIRM, "material", ""),
        ("S", NAMELESS_GERMAN, "hours", ""),  # a private person
        ("AE", GERMAN | INSTITUTION, "hours", ""),  # a SIREN is asked of France alone
        ("K", GERMAN, "material", ""),
        ("K", GERMAN, "hours", ""),  # it is refused, and not asked about as an export
    ],
)
def test_nothing_is_asked_of_what_is_as_it_should_be(drafted, category, client, sort, says):
    assert remarks(drafted(category, client, sort=sort)) == says


ABROAD = "This client is a business in Germany. Work for it is taxed there"


@pytest.mark.parametrize(
    ("category", "client", "says"),
    [
        ("E", GERMAN, ABROAD),
        ("AE", GERMAN, ""),
        ("E", NAMELESS_GERMAN, ""),  # a private person is taxed where the work is done
        ("E", SWISS_FIRM, ""),
        ("E", SWISS | INSTITUTION, ""),  # it charges no VAT whoever the client is
        ("E", INSTITUTION | {"company_number": "356000000"}, ""),
    ],
)
def test_a_small_business_is_told_where_its_exemption_ends(drafted, category, client, says):
    said = remarks(drafted(category, client, vat_regime="small_business"))

    assert said.startswith(says) if says else said == ""


def test_material_sent_beside_work_is_asked_about(drafted, helene):
    client = drafted("S", SWISS).client
    strings = factories.sold("Strings", "12.50", category="G", rate_pct=NO_VAT)

    said = remarks(factories.draft(client, factories.hours(), strings, by=helene))

    assert said.startswith("Line 2: ")
    assert "part of the work" in said
    assert remarks(factories.draft(client, strings, by=helene)) == ""


@pytest.mark.parametrize("page", ["draft", "issue"])
def test_what_is_asked_stands_on_the_pages(drafted, client, helene, page):
    draft = drafted("S", SWISS | INSTITUTION)
    client.force_login(helene)

    shown = client.get(reverse(f"invoices:{page}", args=[draft.pk])).text

    assert "To be looked at:" in shown
    assert "Is this client a business?" in shown
    assert "Before it can be issued:" not in shown


def test_an_institution_owes_the_fixed_sum_of_businesses(shop, helene):
    client = factories.payer(by=helene, **INSTITUTION)

    invoice = factories.issued(factories.draft(client, by=helene), by=helene)

    assert any("40 EUR" in line for line in invoice.paper.data["content"]["mentions"])


@pytest.mark.parametrize(("category", "vat"), [("S", "69.60"), ("O", "0.00")])
def test_an_institution_abroad_without_a_number_is_invoiced(drafted, helene, category, vat):
    invoice = factories.issued(drafted(category, SWISS | INSTITUTION), by=helene)

    assert invoice.vat == Decimal(vat)


def test_a_small_business_issues_work_for_a_business_in_the_eu(drafted, helene):
    draft = drafted("AE", GERMAN | {"name": "Werkstatt"}, vat_regime="small_business")

    assert factories.issued(draft, by=helene).vat == 0
