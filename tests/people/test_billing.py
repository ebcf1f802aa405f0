"""What invoices need of the workshop and of its clients is checked where it is typed."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from repairs.people.house_models import House
from repairs.people.models import Client
from tests import factories
from tests.people.test_enter import GARANCE

BILLING = {
    "legal_name": "",
    "legal_form": "EI",
    "company_number": "732 829 320 00074",
    "vat_regime": "normal",
    "vat_id": "FR 44 732829320",
    "tax_number": "",
    "default_rate_pct": "20",
    "address": "1, rue du Puits",
    "postcode": "03000",
    "city": "Valbrune",
    "country": "FR",
    "iban": "FR76 3000 6000 0112 3456 7890 189",
    "bic": "AGRIFRPP",
    "payment_days": "30",
    "penalty_rate_pct": "",
    "invoice_prefix": "FA",
    "credit_prefix": "AV",
}


@pytest.fixture
def send(client, helene):
    factories.house()
    client.force_login(helene)

    def post(**changed: str):
        return client.post(reverse("people:house_billing"), BILLING | changed)

    return post


def test_the_numbers_of_the_workshop_are_kept_without_spaces(send):
    answer = send()

    house = House.objects.get()
    assert answer.status_code == 302
    assert (house.company_number, house.vat_id) == ("73282932000074", "FR44732829320")
    assert house.iban == "FR7630006000011234567890189"


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("iban", "FR7630006000011234567890188", "its check digits do not fit"),
        ("bic", "AGRI", "it has 8 or 11 letters and digits"),
        ("vat_id", "FR45732829320", "its check digits do not fit"),
        ("vat_id", "DE136695976", "does not begin with FR"),
        ("company_number", "73282932000075", "14 digits that fit"),
        ("company_number", "732829321", "9 digits that fit"),
        ("default_rate_pct", "200", "More than 30 % is not possible here"),
        ("default_rate_pct", "-1", "Less than 0 % is not possible here"),
        ("payment_days", "4000", "More than 365 days"),
        ("invoice_prefix", "fa 1", "One to six capital letters"),
        ("credit_prefix", "FA", "letters of their own"),
        ("country", "Allemagne", "“ALLEMAGNE” is no country"),
        ("country", "XX", "“XX” is no country"),
        ("default_rate_pct", "19", "19 % is no rate of VAT in France on that day"),
    ],
)
def test_what_is_mistyped_is_named_beside_its_field(send, field, typed, sentence):
    answer = send(**{field: typed})

    assert answer.status_code == 200
    assert sentence in answer.context["form"].errors[field][0]
    assert House.objects.get().iban == ""


def test_a_vat_number_of_another_firm_is_named_beside_the_company_number(send):
    answer = send(vat_id="FR39356000000")

    fault = answer.context["form"].errors["company_number"][0]
    assert "FR39356000000 and the company number 73282932000074 are of two firms" in fault
    assert not House.objects.exclude(vat_id="").exists()


def test_an_unknown_country_is_blamed_alone(send):
    assert set(send(country="XX").context["form"].errors) == {"country"}


def test_the_usual_rate_is_one_of_the_country(send):
    assert (
        send(country="DE", company_number="", vat_id="", default_rate_pct="19").status_code == 302
    )
    assert House.objects.get().default_rate_pct == 19


@pytest.mark.parametrize(
    ("name", "form", "is_asked"),
    [
        ("", "EI", True),
        ("", "Entrepreneur individuel", True),
        ("J. Roy", "EI", False),
        ("", "SARL", False),
    ],
)
def test_a_sole_trader_is_asked_for_the_own_name(send, client, name, form, is_asked):
    """Code de commerce, article R526-27, from memory. It stops nothing."""
    assert send(legal_name=name, legal_form=form).status_code == 302

    page = client.get(reverse("people:house_billing")).text

    assert ("must stand beside “EI”" in page) == is_asked


def test_the_option_for_debits_is_kept(send):
    assert not House(name="Atelier").pays_on_debits

    send(vat_on_debits="on")

    assert House.objects.get().pays_on_debits


def test_a_small_business_needs_no_lawful_rate(send):
    assert send(vat_regime="small_business", default_rate_pct="0").status_code == 302


def test_countries_are_chosen_by_name(client, helene):
    client.force_login(helene)

    page = client.get(reverse("people:client_add")).text

    assert '<option value="DE">Germany</option>' in page
    assert '<option value="FR" selected>France</option>' in page


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"vat_id": "FR45732829320"}, "vat_id"),
        ({"company_number": "356000001"}, "company_number"),
        ({"e_address": "someone"}, "e_address"),
        ({"country": ""}, "country"),
        ({"country": "XX", "vat_id": "FR44732829320"}, "country"),
        ({"vat_id": "FR44732829320", "company_number": "356000000"}, "company_number"),
    ],
)
def test_what_is_mistyped_of_a_client_is_named(client, helene, typed, field):
    client.force_login(helene)

    answer = client.post(reverse("people:client_add"), GARANCE | typed)

    assert field in answer.context["form"].errors
    assert not Client.objects.exists()


def test_a_firm_abroad_may_have_a_number_of_another_form(client, helene):
    client.force_login(helene)
    firm = {"country": "DE", "vat_id": "DE 136695976", "company_number": "HRB 12345"}

    client.post(reverse("people:client_add"), GARANCE | firm)

    kept = Client.objects.get()
    assert (kept.vat_id, kept.company_number) == ("DE136695976", "HRB12345")
    assert kept.is_business


def test_a_person_without_numbers_is_no_business(owner):
    assert not owner.is_business


def test_an_institution_is_a_business_without_numbers(owner):
    owner.kind = Client.Kind.INSTITUTION

    assert owner.is_business
    assert not owner.has_business_number


def test_two_series_never_share_their_letters(db):
    with pytest.raises(IntegrityError), transaction.atomic():
        factories.billing_house(invoice_prefix="AV")
