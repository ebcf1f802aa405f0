"""The pages of the procedures: their list, an earlier version, who words one, in whose language."""

from __future__ import annotations

import html

import pytest
from django.urls import reverse

from repairs.procedures.procedure import procedure_of, shipped
from tests import factories
from tests.procedures.wording import lines, newest, said


def test_the_list_shows_every_procedure_with_its_version(tom, edit, see):
    edit(label_en="our way of centring")

    page = said_of(see("procedures", by=tom))

    assert "Our way of centring" in page
    assert "version 2, of the house" in page
    assert page.count("as delivered") == len(shipped()) - 1
    assert "cannot be undone" in page


def said_of(page: str) -> str:
    return html.unescape(page)


def test_an_earlier_version_says_that_it_is_not_the_newest(armand, helene, edit, client):
    edit(label_en="our way of centring")
    client.force_login(armand)
    address = reverse("treatment:procedure", args=["wheel_recentring"])

    earlier = client.get(address, {"version": "1"}).text
    wrong = client.get(address, {"version": "x"}).text

    assert "not the newest" in earlier
    assert "Our way of centring" not in earlier
    assert "Our way of centring" in wrong


@pytest.mark.parametrize("name", ["procedure", "procedure_edit"])
def test_a_procedure_that_is_none_is_not_found(client, helene, name):
    client.force_login(helene)

    assert client.get(reverse(f"treatment:{name}", args=["alchemy"])).status_code == 404


@pytest.mark.parametrize("person", ["armand", "lise", "odile", "tom"])
def test_only_the_principal_words_a_procedure(request, person, see):
    who = request.getfixturevalue(person)

    see("procedure_edit", "free", by=who, status=403)
    assert "Word it otherwise" not in see("procedure", "free", by=who)


def test_a_french_reader_reads_the_procedure_in_french(db, see):
    reader = factories.person("lucie", "apprentice", "fr")

    page = said_of(see("procedure", "wheel_truing", by=reader))

    label = procedure_of(shipped()["wheel_truing"]).label["fr"]
    assert label.casefold() in page.casefold()
    assert lines("wheel_truing", "fr")[0] in page
    assert lines("wheel_truing", "en")[0] not in page


def test_the_source_is_told_in_the_reader_s_language_and_kept_in_both(client, helene, edit):
    helene.language = "fr"
    helene.save()
    client.force_login(helene)
    page = said(client.get(reverse("treatment:procedure", args=["free"])))

    edit("free", because="in our words")

    assert "usage courant" in page
    assert "common practice" not in page
    assert newest("free").content["source"] == shipped()["free"]["source"]
