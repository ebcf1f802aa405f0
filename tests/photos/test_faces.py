"""The picture by which lists know a case, an instrument, a paper."""

from __future__ import annotations

import pytest
from django.urls import reverse

from repairs.photos.faces import faces_of
from tests import factories


def thumb(case, number: int) -> str:
    return reverse("photos:picture", args=[case.number, number, 320])


def test_the_front_is_the_face_of_a_case_wherever_it_stands(case, armand):
    factories.photo(case, by=armand, view="back")
    front = factories.photo(case, by=armand, view="front", data=factories.jpeg(seed=5))

    assert faces_of([case.number]) == {case.number: thumb(case, front.number)}


def test_without_a_front_the_first_photo_is(case, armand):
    first = factories.photo(case, by=armand, view="back")
    factories.photo(case, by=armand, view="head", data=factories.jpeg(seed=5))

    assert faces_of([case.number]) == {case.number: thumb(case, first.number)}


def test_a_withdrawn_photo_is_no_face(case, armand):
    photo = factories.photo(case, by=armand, view="front")
    type(photo).objects.filter(pk=photo.pk).update(withdrawn_at=factories.RECEIVED)

    assert faces_of([case.number]) == {}
    assert faces_of(instruments=[case.instrument.number]) == {}


def test_an_instrument_is_known_by_its_newest_stay(case, vielle, armand):
    factories.photo(case, by=armand, view="front")
    later = factories.case(vielle, by=armand)
    type(later).objects.filter(pk=later.pk).update(received_at="2027-01-02T10:00:00Z")
    front = factories.photo(later, by=armand, view="front")

    assert faces_of(instruments=[vielle.number]) == {vielle.number: thumb(later, front.number)}


@pytest.mark.parametrize("count", [1, 60])
def test_a_list_asks_once_for_all_its_pictures(case, django_assert_num_queries, count):
    with django_assert_num_queries(1):
        faces_of([case.number, *(f"2026-{n:03}" for n in range(2, count + 1))])


def test_the_bench_shows_it_and_its_words_stand_beside(client, case, armand):
    photo = factories.photo(case, by=armand, view="front")
    client.force_login(armand)

    shown = client.get("/").text

    assert f'<img class="thumb" src="{thumb(case, photo.number)}" alt=""' in shown
