"""“Scale and colour chart” of a report looks at what the photos carry, not at one view alone."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import translation

from repairs.language.text import LANGUAGES
from repairs.papers.condition.instrument_units import photo_set_rows
from repairs.photos.models import Photo, views_taken

pytestmark = pytest.mark.django_db

SAID = {
    "en": {
        (): "not taken",
        ((1, "front", "both"),): "photo 1",
        ((1, "front", "both"), (2, "back", "both")): "photos 1, 2",
        ((3, "scale_card", ""),): "photo 3",
        ((1, "front", "scale"),): "scale: photo 1; colour card: in no picture",
        ((1, "front", "scale"), (2, "back", "card")): "scale: photo 1; colour card: photo 2",
        ((1, "front", ""),): "not taken",
    },
    "fr": {
        (): "vue non prise",
        ((1, "front", "both"),): "photo 1",
        ((1, "front", "both"), (2, "back", "both")): "photos 1, 2",
        ((3, "scale_card", ""),): "photo 3",
        ((1, "front", "scale"),): "échelle : photo 1 ; charte de couleurs : dans aucune image",
        ((1, "front", "scale"), (2, "back", "card")): (
            "échelle : photo 1 ; charte de couleurs : photo 2"
        ),
        ((1, "front", ""),): "vue non prise",
    },
}


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_row_says_in_which_photos_scale_and_card_lie(vielle, language):
    with translation.override(language):
        for photos, said in SAID[language].items():
            rows = [Photo(number=number, view=view, carries=c) for number, view, c in photos]

            found = {row.key: row.value for row in photo_set_rows(vielle, rows)}

            assert " ".join(found["photo_scale_card"].split()) == said


def test_no_photo_of_the_card_is_wanted_where_it_lies_in_others():
    lying = [Photo(view="front", carries="scale"), Photo(view="back", carries="card")]

    assert "scale_card" in views_taken(lying)
    assert "scale_card" not in views_taken(lying[:1])


@pytest.mark.parametrize("place", ["case", "photos"])
def test_the_screens_do_not_ask_for_it_any_more(client, armand, case, photo, place):
    client.force_login(armand)
    pages = {"case": case.get_absolute_url(), "photos": reverse("photos:add", args=[case.number])}
    asked = client.get(pages[place]).text
    Photo.objects.update(carries="both")

    page = client.get(pages[place]).text

    assert "?view=scale_card" in asked
    assert "?view=scale_card" not in page
