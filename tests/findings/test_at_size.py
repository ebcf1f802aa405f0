"""The screens of looking over a case with 400 photos and 1,500 tags."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.papers import many

PHOTOS, TAGS = 400, 1500


@pytest.fixture
def asked(client, armand, house):
    client.force_login(armand)

    def opened(name: str, *words: object) -> int:
        with CaptureQueriesContext(connection) as seen:
            answer = client.get(reverse(name, args=words))
        assert answer.status_code == 200
        return len(seen)

    return opened


@pytest.mark.parametrize("name", ["findings:look_over", "photos:add"])
def test_the_case_is_looked_over_with_1500_tags_as_with_six(asked, case, armand, name):
    photos = many.photographed(case, 4, by=armand)
    many.tagged(case, photos, 6, by=armand)
    few = asked(name, case.number)
    photos += many.photographed(case, PHOTOS - 4, by=armand)
    many.tagged(case, photos, TAGS - 6, by=armand)

    assert asked(name, case.number) == few <= 30


def test_one_photo_with_1500_tags_opens_as_with_six(asked, case, armand):
    photos = many.photographed(case, 1, by=armand)
    many.tagged(case, photos, 6, by=armand)
    few = asked("findings:photo", case.number, 1)
    many.photographed(case, PHOTOS - 1, by=armand)
    many.tagged(case, photos, TAGS - 6, by=armand)

    assert asked("findings:photo", case.number, 1) == few <= 30


def test_the_tags_of_a_photo_are_sent_all_1500_at_once(client, asked, case, armand):
    photos = many.photographed(case, 1, by=armand)
    many.tagged(case, photos, 6, by=armand)
    few = asked("findings:annotations", case.number, 1)
    many.tagged(case, photos, TAGS - 6, by=armand)

    assert asked("findings:annotations", case.number, 1) == few <= 12
