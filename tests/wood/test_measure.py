"""What is weighed and tapped, what the gauges make of it, and how it is shown."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import translation

from repairs.audit.models import LogEntry
from repairs.gauges.wood.species import SPECIES
from repairs.gauges.wood.timber import VERSION, volume_shrinkage
from repairs.instruments.kinds import materials
from repairs.wood.gauging import SHRINKS_AS, figures, notes
from repairs.wood.tested_models import WoodTest
from tests import factories
from tests.wood.pages import text_of

TYPED = {
    "taken_on": "2026-11-20",
    "length_mm": "400",
    "width_mm": "50",
    "thickness_mm": "2,7",
    "mass_g": "21,6",
    "tap_f_hz": "92",
}


@pytest.fixture
def board(armand):
    return factories.piece(by=armand)


@pytest.fixture
def send(client, armand, board):
    client.force_login(armand)

    def post(**changed: str):
        return client.post(reverse("wood:test", args=[board.number]), TYPED | changed)

    return post


def by_key(test: WoodTest) -> dict[str, tuple[str, str, str]]:
    return {row.key: (row.value, row.u, row.unit) for row in figures(test)}


@pytest.mark.parametrize("typed", ["F#2", "fa#1", "F♯2", "92,5 Hz"])
def test_a_tap_tone_is_typed_as_a_note_too(send, typed):
    send(tap_f_hz=typed)

    assert WoodTest.objects.get().tap_f_hz == Decimal("92.5")


@pytest.mark.parametrize(
    ("language", "typed", "sentence"),
    [
        ("en", "plonk", "“plonk” is neither a pitch in Hz nor a note."),
        ("en", "g", "“g” does not say which octave: Helmholtz writes G3 (g) = 196.0 Hz"),
        ("fr", "g", "« g » ne dit pas quelle octave : Helmholtz écrit ainsi sol2 (g)"),
        ("fr", "sol", "peut désigner plusieurs notes"),
    ],
)
def test_a_note_that_may_be_another_is_asked_about(send, armand, language, typed, sentence):
    armand.language = language
    armand.save(update_fields=["language"])

    page = send(tap_f_hz=typed)

    assert sentence in text_of(page)
    assert f'value="{typed}"' in page.content.decode()
    assert not WoodTest.objects.exists()


def test_a_free_strip_tells_its_density_stiffness_and_radiation_ratio(board, armand):
    """By hand, as in tests/gauges/wood/test_timber.py: 54 000 mm³ and 21.6 g are 400 kg/m³.

    Euler–Bernoulli with free ends: √(E/ρ) = 0.972838·f·L²/t = 5303.8 m/s, hence
    E = 400·5303.8² = 11.252 GPa and √(E/ρ³) = 13.26 m⁴/(kg·s).
    """
    test = factories.wood_test(board, by=armand)

    shown = by_key(test)
    assert test.output["tap_tone"]["e_gpa"] == pytest.approx(11.252, abs=0.003)
    assert shown["density"] == ("400", "8", "kg/m³")
    assert shown["e"] == ("11.25", "0.64", "GPa")
    assert shown["radiation"] == ("13.26", "0.11", "m⁴/(kg·s)")
    assert shown["speed"][0] == "5304"
    assert "at_12" not in shown


def test_a_test_keeps_what_was_given_what_came_out_and_the_versions(board, armand):
    factories.wood_test(board, by=armand)

    kept = WoodTest.objects.get()
    assert kept.given["tap_tone"]["f_hz"] == 92.0
    assert kept.given["density"]["thickness_mm"] == 2.7
    assert set(kept.output) == {"density", "tap_tone"}
    assert kept.versions == {"density": VERSION, "tap_tone": VERSION}
    line = LogEntry.objects.get(verb="wood.tested")
    assert (line.subject, line.details["test"]) == (board.log_key, kept.pk)


def test_a_block_that_was_only_weighed_has_a_density_and_nothing_else(board, armand):
    test = factories.wood_test(board, by=armand, tap_f_hz=None)

    assert set(by_key(test)) == {"density"}
    assert notes(test) == []


def test_with_the_moisture_the_density_at_12_pct_follows_where_the_shrinkage_is_known(armand):
    """The figures are those of the golden row of tests/gauges/wood/test_timber.py."""
    spruce = factories.piece(by=armand)
    bone = factories.piece(by=armand, material="bone")

    known = factories.wood_test(spruce, by=armand, mc_pct=Decimal("8"))
    unknown = factories.wood_test(bone, by=armand, mc_pct=Decimal("8"))

    assert known.given["density"]["species"] == "norway_spruce"
    assert by_key(known)["at_12"] == ("407", "8", "kg/m³")
    assert "at_12" not in by_key(unknown)
    assert notes(unknown) == [
        "How this material shrinks is not known here: no density at 12 % moisture is given."
    ]


@pytest.mark.parametrize("material", sorted(SHRINKS_AS))
def test_each_shrinkage_named_is_one_of_a_material_and_of_the_gauges_table(material):
    assert material in materials()
    assert SHRINKS_AS[material] in SPECIES
    assert 0 < volume_shrinkage(SHRINKS_AS[material]) < 30


def test_the_database_refuses_a_strip_without_mass(board, armand):
    test = factories.wood_test(board, by=armand)

    with pytest.raises(IntegrityError), transaction.atomic():
        WoodTest.objects.filter(pk=test.pk).update(mass_g=0)


def test_a_test_typed_with_commas_is_shown_with_its_uncertainties(client, send, board):
    answer = send(mc_pct="8,5", ring_mm="1,2")

    page = text_of(client.get(answer["Location"].partition("#")[0]))
    assert answer["Location"].endswith("#tests")
    assert "400 ± 8 kg/m³" in page
    assert "11.25 ± 0.64 GPa" in page
    assert "13.26 ± 0.11 m⁴/(kg·s)" in page
    assert "400 × 50 × 2.7 mm, 21.6 g" in page
    assert "8.5 %" in page and "1.2 mm" in page and "92 Hz" in page
    assert "about 160 g, by the density below" in page


def test_a_later_test_stands_above_the_earlier_ones_which_stay(client, send, board):
    send()
    send(taken_on="2026-11-22", mass_g="22,68")
    send(taken_on="2026-11-21", mass_g="21,06")

    page = text_of(client.get(board.get_absolute_url()))

    values = [page.index(f"{rho} ± ") for rho in (420, 390, 400)]
    assert values == sorted(values)
    assert WoodTest.objects.count() == 3


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"mass_g": "216"}, "mass_g", "The density that follows is 4000; more than 1500"),
        ({"mass_g": "0,5"}, "mass_g", "The density that follows is 9.25926; less than 60"),
        ({"tap_f_hz": "5000"}, "tap_f_hz", "The stiffness that follows is 33"),
        ({"thickness_mm": "50", "mass_g": "400"}, "thickness_mm", "Thickness is 50; more than 40"),
        ({"length_mm": "3500"}, "length_mm", "Length is 3500; more than 3000"),
        ({"mass_g": "heavy"}, "mass_g", "“heavy” is not a number."),
        ({"mass_g": ""}, "mass_g", "This field is required."),
        ({"mc_pct": "201"}, "mc_pct", "More than 200 % is not possible here"),
        ({"mc_pct": "-1"}, "mc_pct", "Less than 0 % is not possible here."),
        ({"tap_f_hz": "0"}, "tap_f_hz", "Less than 1 Hz is not possible here."),
        ({"taken_on": "2999-01-01"}, "taken_on", "This day is still to come."),
        ({"taken_on": ""}, "taken_on", "This field is required."),
    ],
)
def test_what_the_gauge_or_the_form_refuses_stands_at_its_field(send, changed, field, sentence):
    answer = send(**changed)

    page = text_of(answer)
    assert answer.status_code == 200
    assert f'id="id_{field}_problem"' in page
    assert sentence in page
    assert not WoodTest.objects.exists()


def test_what_is_refused_in_french_has_a_decimal_comma(armand, board, client):
    armand.language = "fr"
    armand.save()
    client.force_login(armand)
    with translation.override("fr"):
        answer = client.post(reverse("wood:test", args=[board.number]), TYPED | {"mass_g": "0,5"})

    assert "9,25926" in answer.text


def test_a_strip_that_is_none_is_remarked_upon(board, armand):
    test = factories.wood_test(
        board,
        by=armand,
        length_mm=Decimal("100"),
        width_mm=Decimal("60"),
        thickness_mm=Decimal("5"),
        mass_g=Decimal("20"),
        tap_f_hz=Decimal("400"),
    )

    assert len(notes(test)) == 2
    assert notes(test)[0].startswith("Thick for its length")
