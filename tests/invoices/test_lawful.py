"""Which tax can be between a house and a client; what is refused, and what is only asked.

The law is that of directive 2006/112/EC and of the CGI, as ``lawful.py`` names it.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.invoices.lacks import problems_of
from repairs.invoices.lawful import offered
from repairs.people.house_models import House
from tests import factories
from tests.invoices.laws import (
    FRENCH,
    GERMAN,
    INSTITUTION,
    MONEGASQUE,
    NAMELESS_GERMAN,
    NO_VAT,
    SWISS,
    SWISS_FIRM,
    problems,
    remarks,
)


@pytest.mark.parametrize(
    ("category", "client", "sort"),
    [
        ("S", FRENCH, "hours"),
        ("S", SWISS, "hours"),
        ("AE", GERMAN, "hours"),
        ("K", GERMAN, "material"),
        ("O", SWISS_FIRM, "hours"),
        ("O", SWISS | INSTITUTION, "hours"),
        ("G", SWISS, "material"),
        ("G", SWISS, "hours"),  # work on what was imported for it, article 146; asked about
    ],
)
def test_a_tax_that_can_be_is_let_through(drafted, category, client, sort):
    assert problems(drafted(category, client, sort=sort)) == ""


@pytest.mark.parametrize(
    ("category", "client", "sort", "says"),
    [
        ("E", FRENCH, "hours", "“exempt” is for a workshop under the small-business exemption"),
        ("E", GERMAN, "hours", "this one charges VAT"),
        ("Z", FRENCH, "hours", "France has no VAT rate of zero"),
        ("G", FRENCH, "material", "is for what leaves the EU; this client is in France"),
        ("G", GERMAN, "material", "is for what leaves the EU; this client is in Germany"),
        ("G", MONEGASQUE, "material", "is for what leaves the EU; this client is in Monaco"),
        ("K", FRENCH, "material", "in another country of the EU; this client is in France"),
        ("K", SWISS_FIRM, "material", "in another country of the EU; this client is in Switz"),
        ("K", NAMELESS_GERMAN, "material", "with a VAT number, and the client’s is missing"),
        ("K", GERMAN, "hours", "is for goods; work bears “reverse charge"),
        ("AE", FRENCH, "hours", "in another country of the EU; this client is in France"),
        ("AE", SWISS_FIRM, "hours", "in another country of the EU; this client is in Switz"),
        ("AE", NAMELESS_GERMAN, "hours", "with a VAT number, and the client’s is missing"),
        ("AE", GERMAN, "material", "goods sold alone bear “goods sent to a business"),
        ("O", FRENCH, "hours", "is for a business in another country; this client is in France"),
        ("O", SWISS, "hours", "for a private person, work is taxed where it is done"),
        ("O", GERMAN, "hours", "is for a business outside the EU"),
        ("O", SWISS_FIRM, "material", "goods sold alone bear “goods sent out of"),
    ],
)
def test_a_tax_that_cannot_be_is_refused_with_the_reason(drafted, category, client, sort, says):
    said = problems(drafted(category, client, sort=sort))

    assert says in said
    assert said.startswith("Line 1: ")


def test_the_lines_are_named_together_with_what_is_possible(payer, helene):
    exempt = factories.hours(category="E", rate_pct=NO_VAT)
    draft = factories.draft(payer, exempt, factories.hours(), exempt, by=helene)

    said = problems(draft)

    assert said.startswith("Lines 1, 3: “exempt” is for")
    assert said.endswith("Possible for this client: taxed.")


def test_a_small_business_may_charge_no_vat_even_with_a_number(drafted):
    said = problems(drafted("S", FRENCH, vat_regime="small_business"))

    assert "is under the small-business exemption and may charge no VAT" in said
    assert "Possible for this client: small business, no VAT." in said
    assert "is missing" not in said


@pytest.mark.parametrize(
    ("category", "client", "says"),
    [
        ("E", FRENCH, ""),
        ("E", GERMAN, ""),
        ("AE", GERMAN, ""),
        ("O", SWISS_FIRM, ""),
        ("G", SWISS, "is for a workshop that charges VAT"),
        ("Z", FRENCH, "is for a workshop that charges VAT"),
        ("O", FRENCH, "is for a business in another country"),
    ],
)
def test_a_small_business_and_the_other_taxes(drafted, category, client, says):
    said = problems(drafted(category, client, vat_regime="small_business"))

    assert (says in said) if says else said == ""


def test_a_small_business_names_its_vat_number_only_where_the_client_accounts(drafted):
    exempt = drafted("E", FRENCH, vat_regime="small_business")
    assert document_of(facts_of(exempt, timezone.now()), number="").seller.vat_id == ""

    reverse_charge = drafted("AE", GERMAN | {"name": "Werkstatt"}, vat_regime="small_business")
    assert document_of(facts_of(reverse_charge, timezone.now()), number="").seller.vat_id


@pytest.mark.parametrize(
    ("country", "category", "text"),
    [("CH", "O", "Not registered for VAT"), ("GB", "O", "Not registered"), ("DE", "E", "§ 19")],
)
def test_a_small_business_of_another_country_is_taxed_by_its_own_law(
    helene, country, category, text
):
    house = {"country": country, "company_number": "12345", "vat_id": ""}
    factories.billing_house(vat_regime="small_business", **house)
    draft = factories.draft(factories.payer(by=helene, country=country), by=helene)

    facts = facts_of(draft, timezone.now())
    doc = document_of(facts, number="")

    assert doc.categories == {category}
    assert text in doc.exemptions[0].text
    assert problems_of(facts, doc) == []


def test_a_swiss_house_that_charges_vat_is_not_called_unregistered(drafted):
    draft = drafted("O", GERMAN, country="CH", vat_id="CHE100155212MWST", company_number="1")

    facts = facts_of(draft, timezone.now())
    doc = document_of(facts, number="")

    assert "art. 8" in doc.exemptions[0].text
    assert problems_of(facts, doc) == []


def test_a_country_without_law_here_has_no_text_to_print(drafted):
    draft = drafted("G", SWISS, country="IT", vat_id="IT00743110157", company_number="1")

    assert "needs a legal text on the invoice, and none is held for Italy" in problems(draft)


def test_zero_is_let_through_where_the_law_has_it(drafted):
    british = {"country": "GB", "vat_id": "GB980780684"}
    buyer = {"country": "GB", "postcode": "SW1", "city": "London"}

    assert problems(drafted("Z", buyer, company_number="1", **british)) == ""


def test_what_is_outside_stands_alone(drafted, helene):
    client = drafted("O", SWISS_FIRM).client
    lines = [
        factories.hours(category="O", rate_pct=NO_VAT),
        factories.sold("Strings", "12.50", category="G", rate_pct=NO_VAT),
    ]

    assert "stands alone on its invoice" in problems(factories.draft(client, *lines, by=helene))


def test_a_credit_note_takes_the_tax_of_its_invoice(invoice, helene, client):
    House.objects.update(vat_regime="small_business")
    client.force_login(helene)
    client.post(reverse("invoices:credit", args=[invoice.number]))
    draft = InvoiceDraft.objects.get(credits=invoice)

    assert problems(draft) == ""
    assert remarks(draft) == ""
    note = factories.issued(draft, by=helene)
    assert (note.vat, note.content["seller"]["vat_id"]) == (Decimal("69.60"), "FR44732829320")


def test_numbers_of_two_firms_are_named(drafted):
    two = {"vat_id": "FR44732829320", "company_number": "356000000"}

    said = problems(drafted("S", two, vat_id="FR39356000000"))

    assert "FR39356000000 and the company number 732829320 are of two firms" in said
    assert "FR44732829320 and the company number 356000000 are of two firms" in said


def test_an_unknown_country_is_blamed_and_not_the_number(drafted):
    said = problems(drafted("S", {"country": "XX", "vat_id": "FR44732829320"}))

    assert said.startswith("“XX” is no country.")
    assert "VAT number" not in said


# What is offered -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("client", "regime", "codes"),
    [
        (FRENCH, "normal", ["S"]),
        (GERMAN, "normal", ["S", "AE", "K"]),
        (SWISS, "normal", ["S", "G"]),
        (SWISS_FIRM, "normal", ["S", "G", "O"]),
        (FRENCH, "small_business", ["E"]),
        (GERMAN, "small_business", ["E", "AE"]),
    ],
)
def test_only_what_can_be_is_offered(helene, client, regime, codes):
    house = factories.billing_house(vat_regime=regime)
    payer = factories.payer(by=helene, **client)

    assert [code for code, _label in offered(house, payer, timezone.localdate())] == codes


def test_what_a_line_bears_already_stays_offered(drafted, client, helene):
    draft = drafted("E", FRENCH)
    client.force_login(helene)

    page = client.get(draft.get_absolute_url())

    choices = page.context["lines"].forms[0].fields["category"].choices
    assert [code for code, _label in choices] == ["S", "E"]
    assert "VAT (exempt) on" in page.text


def test_the_page_names_the_rate_without_its_code(draft, client, helene):
    client.force_login(helene)

    assert "VAT (20 %) on" in client.get(draft.get_absolute_url()).text
