"""A mistyped number of a firm, a tax or an account gets a sentence, a good one none.

The good ones are invented and pass their check digits; the two marked so are published examples.
"""

from __future__ import annotations

import pytest

from repairs.law.numbers import (
    bic_fault,
    country_fault,
    firm_fault,
    iban_fault,
    siren_fault,
    siret_fault,
    tidy,
    vat_fault,
)


@pytest.mark.parametrize(
    "number",
    [
        "",
        "FR7699999000010000000004286",
        "DE53999999990000000042",
        "GB82 WEST 1234 5698 7654 32",  # the example of ISO 13616
    ],
)
def test_a_good_iban_passes(number):
    assert iban_fault(number) == ""


@pytest.mark.parametrize(
    "number", ["FR7699999000010000000004287", "FR76", "XX00", "GB82WEST12345698765433"]
)
def test_a_mistyped_iban_is_named(number):
    assert number in iban_fault(number)


@pytest.mark.parametrize(
    ("number", "country"),
    [
        ("", "FR"),
        ("FR31000123455", "FR"),
        ("FR 31 000 123 455", "FR"),
        ("DE999000009", "DE"),
        ("BE0999000030", "BE"),
        ("BE 0999.000.030", "BE"),
        ("GB999000005", "GB"),
        ("XI999000005", "GB"),
        ("CHE-999.000.002 MWST", "CH"),
        ("CHE999000002", "CH"),
        ("EL094259216", "GR"),  # the example of python-stdnum
        ("US123", "US"),
        ("FR31000123455", "MC"),  # Monaco has French numbers, from memory
    ],
)
def test_a_good_vat_number_passes(number, country):
    assert vat_fault(number, country) == ""


@pytest.mark.parametrize(
    ("number", "country", "says"),
    [
        ("FR32000123455", "FR", "check digits"),
        ("DE999000003", "DE", "check digits"),
        ("BE0999000031", "BE", "check digits"),
        ("GB999000006", "GB", "check digits"),
        ("CHE999000003", "CH", "check digits"),
        ("FR", "FR", "check digits"),
        ("DE999000009", "FR", "does not begin with FR"),
        ("31000123455", "FR", "does not begin with FR"),
        ("GR094259216", "GR", "does not begin with EL"),
    ],
)
def test_a_mistyped_vat_number_is_named(number, country, says):
    assert says in vat_fault(number, country)
    assert number in vat_fault(number, country)


def test_siren_and_siret():
    assert siren_fault("000 123 455") == siret_fault("00012345500016", "000123455") == ""
    assert siren_fault("") == siret_fault("") == ""
    assert "9 digits" in siren_fault("000123456")
    assert "14 digits" in siret_fault("00012345500017")
    assert "does not begin with the SIREN" in siret_fault("00012345500016", "000543215")


def test_bic_and_country():
    assert bic_fault("") == bic_fault("AGRIFRPP") == ""
    assert "8 or 11" in bic_fault("AGRI")
    assert country_fault("FR") == ""
    assert "missing" in country_fault("")
    assert all(f"“{code}” is no country" in country_fault(code) for code in ("fr", "FRA", "XX"))
    assert vat_fault("FR31000123455", "XX") == ""  # the country is to blame, not the number


def test_a_french_vat_number_is_that_of_its_firm():
    assert firm_fault("FR 31 000 123 455", "000 123 455 00016") == ""
    assert firm_fault("", "000123455") == firm_fault("FR31000123455", "") == ""
    assert firm_fault("DE999000009", "000123455") == ""
    fault = firm_fault("FR31000123455", "73282932000074")
    assert "FR31000123455" in fault
    assert "73282932000074" in fault


def test_a_number_is_tidied():
    assert tidy(" be 0999.000-030 ") == "BE0999000030"


def test_a_greek_number_bears_el_and_is_judged_by_its_digits():
    assert vat_fault("EL 094259216", "GR") == ""  # the example of python-stdnum
    assert "check digits" in vat_fault("EL094259217", "GR")
    assert "does not begin with EL" in vat_fault("GR094259216", "GR")
