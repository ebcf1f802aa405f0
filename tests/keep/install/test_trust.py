"""The page by which a phone learns to trust the house."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from django.urls import reverse

from repairs.keep.install.authority import new_root
from repairs.keep.trust import read_root

pytestmark = pytest.mark.django_db


@pytest.fixture
def authority(settings, tmp_path: Path, house) -> Path:
    file = tmp_path / "authority.crt"
    file.write_bytes(new_root("casebook.local", dt.datetime.now(dt.UTC)).pem)
    settings.AUTHORITY_FILE = str(file)
    settings.SITE_ADDRESS = "https://casebook.local"
    return file


def test_a_stranger_finds_words_certificate_and_steps_in_both_languages(authority, client):
    root = read_root(authority)
    assert root is not None

    shown = client.get(reverse("keep:trust"), headers={"accept-language": "fr"}).content.decode()

    assert shown.index('lang="fr"', 200) < shown.index('<div class="pile" id="en"')
    for words in (" ".join(root.words), root.sha256, "iPhone", "Certificate Trust Settings"):
        assert words in shown
    assert "<form" not in shown  # none of its posts would get through without TLS
    assert "Set-Cookie" not in client.get(reverse("keep:trust")).headers


def test_the_certificate_is_handed_out_as_phones_take_it(authority, client):
    root = read_root(authority)
    assert root is not None

    answer = client.get(reverse("keep:trust_file"))

    assert answer.content == root.der
    assert answer["Content-Type"] == "application/x-x509-ca-cert"


def test_without_an_authority_there_is_nothing_to_do(house, client, settings):
    settings.AUTHORITY_FILE = ""

    assert "Nothing is to be done" in client.get(reverse("keep:trust")).content.decode()
    assert client.get(reverse("keep:trust_file")).status_code == 404
