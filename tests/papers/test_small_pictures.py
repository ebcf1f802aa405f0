"""The small papers of a case show the instrument: as it came, or as it goes."""

from __future__ import annotations

from repairs.cases.compile import intake_receipt
from repairs.press.render import to_html
from tests import factories
from tests.papers.conftest import NOW, sheet


def receipt(case):
    return intake_receipt(case, language="en", made_at=NOW)


def shot(case, armand, seed: int, **fields):
    return factories.photo(case, by=armand, data=factories.jpeg(seed=seed), **fields)


def test_a_receipt_without_a_photo_has_none(house, case):
    made = receipt(case)

    assert made.body.face is None
    assert "<img" not in to_html(made)


def test_the_intake_receipt_shows_the_front_as_it_came(house, case, armand):
    shot(case, armand, 1, view="back")
    came = shot(case, armand, 2, view="front")
    shot(case, armand, 3, view="front", phase="return")

    made = receipt(case)

    assert made.body.face == came.on_paper
    assert f"Photo {came.number} · front" in made.body.face.words
    assert f'src="store:{made.body.face.name}"' in to_html(made)


def test_the_care_sheet_shows_the_front_as_it_goes(house, case, work, armand, helene):
    shot(case, armand, 2, view="front")
    goes = shot(case, armand, 3, view="front", phase="return")

    made = sheet("care_sheet", case, helene)

    assert made.body.face.name == goes.on_paper.name
