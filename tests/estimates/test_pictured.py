"""The photo of what is meant: which is chosen, what it shows, and what is said of it."""

from __future__ import annotations

import pytest
from django.utils import timezone, translation

from repairs.estimates.compile import estimate_sheet
from repairs.estimates.pictured import TALLEST_MM, pictures_of
from repairs.estimates.weighed import meant
from repairs.estimates.wishes import OptionWish
from repairs.photos.overlay import WHOLE
from repairs.photos.pieces import height_mm
from repairs.photos.printed import printed
from tests import factories


@pytest.fixture
def pictured(house, case, finding, armand):
    def of(*findings, **fields):
        lines = [factories.work_line(findings=findings or [finding])]
        row = factories.estimate(
            case, OptionWish(kind="safe", lines=lines), by=armand, issued=False, **fields
        )
        return estimate_sheet(row, language="en", made_at=timezone.now()).body

    return of


def shot(case, *findings, by, view, seed, **fields):
    photo = factories.photo(
        case, by=by, data=factories.jpeg(900, 600, seed=seed), view=view, **fields
    )
    for one in findings:
        factories.tag(photo, one, by=by)
    return photo


def test_the_photo_that_shows_the_most_of_what_is_meant_is_chosen(case, finding, armand, pictured):
    other = factories.finding(case, by=armand, part="wheel")
    shot(case, by=armand, view="front", seed=1)
    shot(case, other, by=armand, view="damage", seed=2)
    both = shot(case, finding, other, by=armand, view="back", seed=3)

    body = pictured(finding, other)

    [one] = body.pictures
    assert one.number == both.number
    assert {mark.number for mark in one.marks} == {finding.number, other.number}
    assert [number for number, _words in meant(body)] == [finding.number, other.number]
    assert height_mm((one.width, one.height), one.window, one.width_mm) <= TALLEST_MM + 0.05


def test_a_second_photo_shows_what_the_first_does_not_and_there_is_no_third(
    case, finding, armand, pictured
):
    more = [factories.finding(case, by=armand, part=part) for part in ("wheel", "tailpiece")]
    for seed, one in enumerate((finding, *more), 1):
        shot(case, one, by=armand, view="damage", seed=seed)

    assert len(pictured(finding, *more).pictures) == 2


def test_marks_of_findings_that_no_line_answers_are_left_out(case, finding, armand, pictured):
    other = factories.finding(case, by=armand, part="wheel")
    shot(case, finding, other, by=armand, view="front", seed=1)

    [one] = pictured(finding).pictures
    assert {mark.number for mark in one.marks} == {finding.number}


def test_without_a_mark_the_face_of_the_instrument_stands_there(case, finding, armand, pictured):
    shot(case, by=armand, view="back", seed=1)
    front = shot(case, by=armand, view="front", seed=2)

    body = pictured()

    [one] = body.pictures
    assert (one.number, one.window, one.marks) == (front.number, WHOLE, ())
    assert meant(body) == ()


def test_a_case_without_photos_has_an_estimate_without_a_picture(pictured):
    assert pictured().pictures == ()


@pytest.mark.parametrize("language", ["en", "fr"])
def test_someone_who_cannot_see_it_hears_what_is_seen_and_where(
    house, case, finding, armand, language
):
    shot(case, finding, by=armand, view="front", seed=1)
    row = factories.estimate(
        case,
        OptionWish(kind="safe", lines=[factories.work_line(findings=[finding])]),
        by=armand,
        issued=False,
    )

    with translation.override(language):
        [one] = pictures_of(case, row.options.all())
        html = printed(one, one.window, one.width_mm)

    hint, mark = {
        "en": ("Photograph, taken as its view asks: ", "Mark 1 "),
        "fr": ("Photographie, prise comme le demande la vue : ", "Repère 1 "),
    }[language]
    assert one.alt.replace("\u00a0", " ").startswith(hint)
    assert f'alt="{one.alt}"' in html
    assert f"<title>{mark}" in html
