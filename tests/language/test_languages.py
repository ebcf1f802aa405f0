"""The languages of the house: one list, and what is offered follows from it."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import translation

from repairs.findings.look_models import PartLook
from repairs.instruments import checked
from repairs.instruments.refusals import KindFileError
from repairs.jobs.models import Job
from repairs.language.text import (
    LANGUAGES,
    OWN_NAMES,
    counted,
    house_language,
    language,
    spoken,
)
from repairs.screens import filters
from tests import factories

pytestmark = pytest.mark.django_db
ONE_MORE = (*OWN_NAMES, ("eo", "Esperanto"))


@pytest.mark.parametrize(("own", "said"), [("en", "en"), ("fr", "fr"), ("en-gb", "en")])
def test_who_chose_no_language_is_spoken_to_in_that_of_the_house(settings, own, said):
    settings.LANGUAGE_CODE = own

    assert spoken("") == spoken("la") == house_language() == said
    assert Job(name="tests.note").language == said
    with translation.override(None):
        assert language() == said


@pytest.mark.parametrize(
    ("code", "counted_as"),
    [("fr", {"0": 0, "0.5": 0, "1.9": 1, "-2.5": 2}), ("en", {"0": 0, "0.5": 0, "1": 1, "2.5": 0})],
)
def test_each_language_counts_broken_numbers_in_its_own_way(code, counted_as):
    with translation.override(code):
        assert {q: counted(Decimal(q)) for q in counted_as} == counted_as


@pytest.fixture
def offered(monkeypatch, client, armand):
    """What a page offers when the house speaks one language more."""
    monkeypatch.setattr(filters, "OWN_NAMES", ONE_MORE)
    armand.language = "fr"
    armand.save()
    client.force_login(armand)
    return lambda name, *place: client.get(reverse(name, args=place)).text


def test_the_first_two_languages_are_called_as_their_readers_call_them():
    assert OWN_NAMES[:2] == (("fr", "Français"), ("en", "English"))


def test_the_foot_offers_every_language_but_the_one_that_is_read(offered):
    page = offered("instruments:list")

    key = 'value="{0}" lang="{0}"[^>]*>\\s*{1}\\s*<'
    found = [code for code, name in ONE_MORE if re.search(key.format(code, name), page)]
    assert found == [code for code, _name in ONE_MORE if code != "fr"]


def test_a_paper_is_offered_in_every_language(offered, house, case, armand):
    PartLook.objects.create(case=case, part=case.instrument.parts.get(key="back"), state="looked")
    factories.examination(case, by=armand, no_photo_reason="the owner forbids pictures")
    receipt = offered("cases:receipt", case.number)
    made = offered("papers:make", case.number, "condition_report")

    for code, name in ONE_MORE:
        assert re.search(rf'href="\?language={code}" lang="{code}"\s[^>]*>{name}</a>', receipt)
        assert f'<option value="{code}"' in made


def test_a_text_of_a_kind_may_speak_every_language_of_the_house(monkeypatch):
    here = checked.Place("fixtures/kinds/violin.json")
    words = {"en": "back", "fr": "fond", "eo": "dorso"}
    with pytest.raises(KindFileError):
        checked.words(words, here)

    monkeypatch.setattr(checked, "LANGUAGES", (*LANGUAGES, "eo"))

    assert checked.words(words, here) == words
    for wrong in ({"en": "back", "eo": "dorso"}, words | {"eo": " "}, words | {"la": "tergum"}):
        with pytest.raises(KindFileError):
            checked.words(wrong, here)
