"""Tags as annotations that other programs read.

Source of every rule here: W3C Recommendation “Web Annotation Data Model”, 23 February 2017,
sections 3.1 (annotations), 4.2 (selectors), 4.2.7 (SVG selector) and 5.2 (annotation page).
"""

from __future__ import annotations

import datetime as dt
import io
from typing import Any
from xml.etree import ElementTree

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from repairs.findings.models import Finding
from repairs.people.models import User
from repairs.photos import actions
from repairs.photos.models import Photo
from tests import factories

pytestmark = pytest.mark.django_db

SVG = "{http://www.w3.org/2000/svg}"
CONTEXT = "http://www.w3.org/ns/anno.jsonld"
SITE = "https://vielles.example.org"


@pytest.fixture
def page(client: Browser, armand: User, settings):
    settings.SITE_ADDRESS = SITE
    client.force_login(armand)

    def read(photo: Photo) -> dict[str, Any]:
        address = reverse("findings:annotations", args=[photo.case.number, photo.number])
        answer = client.get(address)
        assert answer["Content-Type"] == "application/ld+json"
        data: dict[str, Any] = answer.json()
        return data

    return read


def test_a_page_of_annotations_has_what_the_model_requires(page, photo: Photo, finding, armand):
    factories.tag(photo, finding, by=armand)
    factories.tag(photo, None, by=armand, shape="point", points=[[0.5, 0.5]])

    data = page(photo)

    assert data["@context"] == CONTEXT
    assert data["type"] == "AnnotationPage"
    assert data["id"].startswith(f"{SITE}/cases/{photo.case.number}/photos/{photo.number}/")
    assert isinstance(data["items"], list) and len(data["items"]) == 2


def test_an_annotation_has_what_the_model_requires(page, photo: Photo, finding: Finding, armand):
    factories.tag(photo, finding, by=armand)
    factories.tag(photo, finding, by=armand)

    items = page(photo)["items"]

    assert len({item["id"] for item in items}) == 2
    for item in items:
        assert item["@context"] == CONTEXT
        assert item["id"].startswith(SITE)
        assert item["type"] == "Annotation"
        assert item["motivation"] == "describing"
        assert dt.datetime.fromisoformat(item["created"]).tzinfo is not None
        assert item["body"] == {
            "type": "TextualBody",
            "value": str(finding),
            "format": "text/plain",
        }
        assert item["target"]["source"] == SITE + photo.screen_address
        assert item["target"]["selector"]["type"] == "SvgSelector"


SHAPES: dict[str, tuple[list[list[float]], str]] = {
    "point": ([[0.5, 0.25]], "circle"),
    "line": ([[0.0, 0.0], [1.0, 1.0]], "polyline"),
    "polygon": ([[0.25, 0.5], [0.5, 0.5], [0.5, 0.75]], "polygon"),
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("size", [(400, 300), (4000, 300)])
def test_the_selector_is_svg_in_pixels_of_its_source(
    client: Browser, page, case, armand: User, shape, size
):
    points, element = SHAPES[shape]
    photo = factories.photo(case, by=armand, data=factories.jpeg(*size))
    factories.tag(photo, None, by=armand, shape=shape, points=points)
    served = b"".join(client.get(photo.screen_address).streaming_content)  # type: ignore[attr-defined]
    width, height = Image.open(io.BytesIO(served)).size

    drawn = ElementTree.fromstring(page(photo)["items"][0]["target"]["selector"]["value"])  # noqa: S314 - our own

    assert drawn.tag == f"{SVG}svg"
    assert drawn.get("viewBox") == f"0 0 {width} {height}"
    assert [child.tag for child in drawn] == [f"{SVG}{element}"]
    words = dict(drawn[0].attrib)
    if shape == "point":
        pixels = [(float(words["cx"]), float(words["cy"]))]
    else:
        pixels = [_pair(word) for word in words["points"].split()]
    assert pixels == [(round(x * width, 1), round(y * height, 1)) for x, y in points]


def _pair(word: str) -> tuple[float, float]:
    x, y = word.split(",")
    return float(x), float(y)


def test_withdrawn_tags_are_not_among_them(page, photo: Photo, finding: Finding, armand: User):
    tag = factories.tag(photo, finding, by=armand)
    actions.set_tag_withdrawn(tag, True, by=armand, at=timezone.now())

    assert page(photo)["items"] == []


def test_a_photo_without_a_picture_has_an_empty_page(page, case, armand: User):
    assert page(factories.photo(case, by=armand, data=b"no picture"))["items"] == []
