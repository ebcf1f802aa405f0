"""Changing an instrument, and saying of what its parts are and whether they are original."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.instruments.models import Instrument
from repairs.instruments.part_models import Dimension, Part
from tests import factories

NOTE = "as usual for the kind, not examined"


@pytest.fixture
def luthier(client, armand):
    client.force_login(armand)
    return client


def as_typed(instrument: Instrument, **changed: str) -> dict[str, str]:
    said = {
        "maker": instrument.maker,
        "maker_surety": instrument.maker_surety,
        "date_text": instrument.date_text,
        "size_body_length": "402",
    }
    return said | changed


def parts_as_typed(instrument: Instrument, **changed: dict[str, str]) -> dict[str, str]:
    """The whole table of parts, as its page sends it back; `changed` by the part's key."""
    parts = list(instrument.parts.all())
    said = {"form-TOTAL_FORMS": str(len(parts)), "form-INITIAL_FORMS": str(len(parts))}
    for row, part in enumerate(parts):
        cells = {
            "id": str(part.pk),
            "material": part.material,
            "material_note": part.material_note,
            "originality": part.originality,
        } | changed.get(part.key, {})
        said |= {f"form-{row}-{name}": value for name, value in cells.items()}
    return said


def test_an_instrument_is_changed_and_keeps_number_and_kind(luthier, vielle):
    address = reverse("instruments:edit", args=[vielle.number])

    answer = luthier.post(address, as_typed(vielle, date_text="c. 1770", kind="violin"))

    vielle.refresh_from_db()
    assert answer["Location"] == vielle.get_absolute_url()
    assert (vielle.number, vielle.kind) == ("I-0001", "vielle_french")
    assert (vielle.year_first, vielle.year_last) == (1760, 1780)


def test_an_emptied_date_has_no_years_any_more(luthier, vielle):
    luthier.post(reverse("instruments:edit", args=[vielle.number]), as_typed(vielle, date_text=""))

    vielle.refresh_from_db()
    assert (vielle.date_text, vielle.year_first, vielle.year_last) == ("", None, None)


def test_sizes_are_changed_added_and_taken_away(luthier, vielle):
    address = reverse("instruments:edit", args=[vielle.number])

    luthier.post(address, as_typed(vielle, size_body_length="403,5", size_speaking_length=""))

    assert dict(vielle.dimensions.values_list("key", "value_mm")) == {
        "body_length": Decimal("403.50")
    }


def test_the_form_shows_the_sizes_that_are_known(luthier, vielle):
    page = luthier.get(reverse("instruments:edit", args=[vielle.number])).text

    assert 'name="size_body_length" value="402"' in page


@pytest.mark.parametrize("value", ["0", "-1", "5000"])
def test_the_database_keeps_no_impossible_size(vielle, value):
    with pytest.raises(IntegrityError), transaction.atomic():
        Dimension.objects.filter(instrument=vielle).update(value_mm=Decimal(value))


def test_parts_are_described_and_only_the_changed_ones_are_logged(luthier, vielle):
    said = {"material": "ivory_elephant", "material_note": "by lens", "originality": "original"}

    luthier.post(
        reverse("instruments:parts", args=[vielle.number]), parts_as_typed(vielle, wheel=said)
    )

    wheel = vielle.parts.get(key="wheel")
    assert (wheel.material, wheel.material_note) == ("ivory_elephant", "by lens")
    assert wheel.originality_label == "original"
    line = LogEntry.objects.get(verb="instrument.parts_described")
    assert line.details == {"parts": ["wheel"]}


def test_a_protected_material_is_pointed_out_on_the_page(luthier, vielle):
    vielle.parts.filter(key="wheel").update(material="ivory_elephant")

    page = luthier.get(vielle.get_absolute_url()).text

    assert "Protected materials" in page


def test_a_table_that_changes_nothing_leaves_no_line(luthier, vielle):
    luthier.post(reverse("instruments:parts", args=[vielle.number]), parts_as_typed(vielle))

    assert not LogEntry.objects.filter(verb="instrument.parts_described").exists()


def test_parts_of_another_instrument_are_not_changed_from_here(luthier, vielle, owner, armand):
    other = factories.instrument(owner, by=armand, maker="Basile Roussillat")
    said = parts_as_typed(other, wheel={"material": "brass"})

    luthier.post(reverse("instruments:parts", args=[vielle.number]), said)

    assert other.parts.get(key="wheel").material == ""


def test_an_unknown_material_is_refused_with_its_row(luthier, vielle):
    answer = luthier.post(
        reverse("instruments:parts", args=[vielle.number]),
        parts_as_typed(vielle, wheel={"material": "unobtainium"}),
    )

    assert answer.status_code == 200
    assert "errorlist" in answer.text
    assert vielle.parts.get(key="wheel").material == ""


def test_a_part_of_its_own_is_added_below_another(luthier, vielle):
    wheel = vielle.parts.get(key="wheel")
    address = reverse("instruments:part_add", args=[vielle.number])

    luthier.post(address, {"label": "Repaired crank flange", "parent": wheel.pk})
    luthier.post(address, {"label": "Hidden note", "parent": ""})

    first, second = vielle.parts.filter(key__startswith="own_")
    assert (first.key, first.parent, first.depth) == ("own_1", wheel, wheel.depth + 1)
    assert (second.key, second.parent, second.depth) == ("own_2", None, 0)
    assert "Repaired crank flange" in luthier.get(vielle.get_absolute_url()).text


@pytest.mark.parametrize("label", ["", "   ", "x" * 81])
def test_a_part_without_a_fitting_name_is_refused_with_a_sentence(luthier, vielle, label):
    before = vielle.parts.count()

    answer = luthier.post(
        reverse("instruments:part_add", args=[vielle.number]), {"label": label}, follow=True
    )

    assert "Give the part a name of at most 80 characters." in answer.text
    assert vielle.parts.count() == before


def test_a_part_hangs_only_on_a_part_of_the_same_instrument(luthier, vielle, owner, armand):
    other = factories.instrument(owner, by=armand, maker="Basile Roussillat")
    stranger = other.parts.get(key="wheel")

    luthier.post(
        reverse("instruments:part_add", args=[vielle.number]),
        {"label": "Flange", "parent": stranger.pk},
    )

    assert not Part.objects.filter(own_label="Flange").exists()


def test_usual_materials_fill_what_is_empty_and_are_marked_as_not_examined(luthier, vielle):
    vielle.parts.filter(key="wheel").update(material="brass", material_note="seen")

    luthier.post(reverse("instruments:usual", args=[vielle.number]))

    usual = {p.key: p.material for p in vielle.pattern.parts if p.material}
    filled = {p.key: p.material for p in vielle.parts.filter(material_note=NOTE)}
    wheel = vielle.parts.get(key="wheel")
    assert filled == {key: value for key, value in usual.items() if key != "wheel"}
    assert (wheel.material, wheel.material_note) == ("brass", "seen")
    assert not vielle.parts.filter(material="").exclude(material_note="").exists()


def test_the_register_is_searched_without_accents(luthier, vielle):
    found = luthier.get(reverse("instruments:list"), {"q": "etienne VALBRUNE"}).text
    missed = luthier.get(reverse("instruments:list"), {"q": "etienne lyon"}).text

    assert vielle.number in found
    assert vielle.number not in missed
