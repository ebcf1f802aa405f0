"""What selling and crossing a border need of each protected material: dated, sourced, deferring."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from django.utils import translation

from repairs.instruments.kinds import materials
from repairs.instruments.protection import is_supplied, needs_of

FIXTURE = Path(__file__).resolve().parents[2] / "fixtures/vocabulary/protection_needs.json"
PROTECTED = sorted(key for key, row in materials().items() if row["protected"])
DEFERRAL = {
    "en": "Check the current list at cites.org and ask the competent authority.",
    "fr": "Vérifier la liste en vigueur sur cites.org et interroger l’autorité compétente.",
}


@pytest.fixture(params=["en", "fr"])
def language(request):
    with translation.override(request.param):
        yield request.param


@pytest.mark.parametrize("material", PROTECTED)
def test_every_protected_material_has_needs_that_end_with_the_authority(material, language):
    needs = needs_of(material)

    assert needs is not None
    assert needs.sell.endswith(DEFERRAL[language])
    assert needs.border.endswith(DEFERRAL[language])
    assert needs.must_have
    assert needs.as_of == dt.date(2025, 12, 15)
    assert needs.source


@pytest.mark.parametrize("material", [*sorted(set(materials()) - set(PROTECTED)), "", "unheard"])
def test_a_material_that_is_not_listed_needs_nothing(material):
    assert needs_of(material) is None
    assert is_supplied(material)


def test_each_material_stands_in_one_group_and_is_a_protected_one():
    groups = json.loads(FIXTURE.read_text("utf-8"))["groups"]
    named = [material for group in groups for material in group["materials"]]

    assert sorted(named) == PROTECTED
    assert len({group["key"] for group in groups}) == len(groups)


@pytest.mark.parametrize("material", PROTECTED)
def test_what_is_from_memory_in_the_status_is_so_in_the_needs(material):
    needs = needs_of(material)

    assert needs is not None
    assert needs.from_memory is materials()[material]["protected"]["from_memory"]
    said = needs.sell + needs.border + needs.source
    assert not needs.from_memory or "memory" in said or "recalled" in said.casefold()


# The statuses that matter most, as trade notes 8 hold them (15 December 2025) --------------------


@pytest.mark.parametrize("material", ["rosewood_brazilian", "rosewood_unknown"])
def test_brazilian_rosewood_is_appendix_1_and_needs_an_article_10_certificate(material):
    needs = needs_of(material)

    assert needs is not None
    assert "Appendix I since 11 June 1992" in needs.sell
    assert "Article 10" in needs.sell
    assert "permit is needed in every case" in needs.border
    assert "acquired before the listing" in needs.border
    assert needs.supplied


def test_other_rosewood_is_exempt_as_a_finished_instrument_and_not_as_a_board():
    needs = needs_of("rosewood_indian")

    assert needs is not None
    assert "exempt" in needs.sell and "#15" in needs.sell
    assert "Raw wood, boards and blanks need a permit" in needs.border


def test_siamese_rosewood_stands_outside_the_exemption():
    needs = needs_of("rosewood_siamese")

    assert needs is not None
    assert "outside the exemption" in needs.sell


def test_pernambuco_under_annotation_10_is_exempt_without_a_sale_only():
    needs = needs_of("pernambuco")

    assert needs is not None
    assert "5 March 2026" in needs.sell
    assert "a sale or a change of owner is not exempt" in needs.sell
    for end in ("performance", "loan", "competition", "teaching", "appraisal", "repair"):
        assert end in needs.border
    assert not needs.from_memory


def test_ivory_is_sold_in_the_eu_with_a_certificate_only_and_never_supplied():
    needs = needs_of("ivory_elephant")

    assert needs is not None
    assert "19 January 2022" in needs.sell
    assert "before 1947" in needs.sell
    assert "Asian before 1975, African before 1976" in needs.sell
    assert "19 January 2023" in needs.sell
    assert "from memory (Ivory Act 2018)" in needs.sell
    assert "refused" in needs.border
    assert not needs.supplied


def test_only_ivory_tortoiseshell_and_whale_are_never_supplied():
    kept_out = {material for material in PROTECTED if not is_supplied(material)}

    assert kept_out == {
        "ivory_elephant",
        "ivory_unknown",
        "tortoiseshell",
        "whale_tooth",
        "whalebone",
    }


def test_an_instrument_may_travel_with_a_certificate_of_its_own():
    needs = needs_of("rosewood_indian")

    assert needs is not None
    assert "Res. Conf. 16.8, Reg. 865/2006 Art. 44h to 44p" in needs.border
    assert "for three years" in needs.border
    assert "without sale or transfer abroad" in needs.border


def test_what_is_to_be_recorded_names_species_mass_proof_permit_and_expiry():
    needs = needs_of("pernambuco")

    assert needs is not None
    said = "; ".join(needs.must_have)
    for word in ("species", "mass", "acquisition", "permit", "expires"):
        assert word in said
