"""Materials with their lot."""

from __future__ import annotations

import html
from decimal import Decimal

import pytest
from django.utils import timezone, translation

from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import take_back_material, use_material
from repairs.treatment.refusals import WorkClosedError
from tests import factories
from tests.treatment.bagging import bag


def test_a_material_is_kept_with_its_lot_and_what_the_glue_had(work, lise, case, send, see):
    send(
        "material_add",
        case.number,
        work.number,
        by=lise,
        name="hide glue",
        lot="Roy, lot 12",
        amount="10",
        unit="g",
        glue_t_c="58,5",
        price="4,50",
    )

    use = work.materials.get()
    page = see("work", case.number, work.number, by=lise)
    assert (use.glue_t_c, use.price, use.by) == (Decimal("58.5"), Decimal("4.50"), lise)
    assert "Roy, lot 12" in page
    assert "10 g" in page
    assert "58.5 °C" in page
    assert "1E+1" not in page


@pytest.mark.parametrize(
    ("amount", "language", "words"),
    [("10", "en", "10 g"), ("0.50", "fr", "0,5 g"), ("1200", "en", "1200 g")],
)
def test_an_amount_is_written_as_people_write_it(amount, language, words):
    with translation.override(language):
        said = MaterialUse(name="glue", amount=Decimal(amount), unit="g").amount_words

    assert said.replace(",", "") == words or said == words


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"name": ""}, "This field is required."),
        ({"price": "-1"}, "Less than 0"),
        ({"amount": "much"}, "is not a number"),
        ({"glue_t_c": "600"}, "More than 200"),
    ],
)
def test_a_material_that_cannot_be_is_refused_and_what_was_typed_stays(
    work, armand, case, send, typed, sentence
):
    words = {"name": "hide glue", "lot": "Roy, lot 12"} | typed

    answer = send("material_add", case.number, work.number, by=armand, **words)

    page = html.unescape(answer.content.decode())
    assert answer.status_code == 422
    assert sentence in page
    assert 'value="Roy, lot 12"' in page
    assert "<details open>" in page
    assert not work.materials.exists()


def test_a_material_taken_back_stays_as_a_row(work, armand, case, send, see):
    use = use_material(MaterialUse(intervention=work, name="epoxy"), by=armand, at=timezone.now())

    send("material_back", case.number, work.number, use.pk, by=armand)
    again = send("material_back", case.number, work.number, use.pk, by=armand)

    use.refresh_from_db()
    assert use.withdrawn_at is not None
    assert again.status_code == 404
    assert "<strong>epoxy</strong>" not in see("work", case.number, work.number, by=armand)


def test_a_material_of_another_work_is_not_taken_back_from_here(
    work, plain_work, armand, case, send
):
    use = use_material(MaterialUse(intervention=work, name="glue"), by=armand, at=timezone.now())

    answer = send("material_back", case.number, plain_work.number, use.pk, by=armand)

    assert answer.status_code == 404


def test_signed_work_takes_no_material_and_gives_none_back(plain_work, armand):
    use = use_material(
        MaterialUse(intervention=plain_work, name="glue"), by=armand, at=timezone.now()
    )
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)

    with pytest.raises(WorkClosedError):
        use_material(MaterialUse(intervention=plain_work, name="x"), by=armand, at=timezone.now())
    with pytest.raises(WorkClosedError):
        take_back_material(use, by=armand, at=timezone.now())
    with pytest.raises(WorkClosedError):
        bag(plain_work, by=armand)
