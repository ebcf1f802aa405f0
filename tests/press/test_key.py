"""The key that signs papers: made at the first start, or taken over from an issuer."""

from __future__ import annotations

import datetime as dt
import json
from io import StringIO
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric import ed25519, rsa
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone, translation

from repairs.audit.models import LogEntry
from repairs.press.keys import key_facts, make_key
from repairs.press.refusals import KeyNotForSigningError, NoKeyFileError, WrongPassphraseError
from repairs.press.signing import keyfile
from tests.press.authority import ENCIPHERING, PASSPHRASE, bundled, taken

PAST = dt.datetime(2021, 1, 1, tzinfo=dt.UTC)


def test_the_first_start_makes_a_key_for_its_owner_alone(tmp_path):
    file = tmp_path / "seal-key.pem"

    keyfile.make_key(file)
    first = file.read_bytes()
    keyfile.make_key(file)

    assert file.stat().st_mode & 0o777 == 0o600
    assert file.read_bytes() == first
    held = keyfile.read(file)
    assert isinstance(held.key, rsa.RSAPrivateKey)
    assert held.key.key_size == 3072
    assert held.certificates == ()
    assert [one.name for one in tmp_path.iterdir()] == ["seal-key.pem"]


def test_of_two_first_starts_at_once_the_first_wins_whole(tmp_path, made_key):
    file, other = tmp_path / "seal-key.pem", keyfile.read(made_key)
    keyfile.make_key(file)
    first = file.read_bytes()

    keyfile.write(file, other, anew=False)

    assert file.read_bytes() == first


def test_a_key_of_an_issuer_is_taken_over(db, authority, settings):
    facts = taken(authority.bundle("Atelier Sautarel"), PASSPHRASE)

    assert (facts.name, facts.issuer, facts.is_self_made) == (
        "Atelier Sautarel",
        "Root of Trials",
        False,
    )
    assert facts.until is not None
    assert key_facts() == facts
    assert Path(settings.SEAL_KEY_FILE).stat().st_mode & 0o777 == 0o600
    line = LogEntry.objects.get()
    assert (line.verb, line.details) == ("seal.taken", {"certificate": facts.fingerprint})


def test_a_file_without_a_passphrase_is_opened_without(db, authority):
    assert taken(authority.bundle("Atelier Sautarel", passphrase=""), "").name


@pytest.mark.parametrize("typed", ["", "un mot long, 1771", "é" * 300])
@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "passphrase does not open this file"), ("fr", "phrase de passe n’ouvre pas")],
)
def test_a_wrong_passphrase_gives_a_sentence_and_changes_nothing(
    db, authority, house_key, typed, language, words
):
    before = house_key.read_bytes()

    with pytest.raises(WrongPassphraseError) as refusal:
        taken(authority.bundle("Atelier Sautarel"), typed)

    with translation.override(language):
        assert words in str(refusal.value)
    assert house_key.read_bytes() == before
    assert not LogEntry.objects.exists()


@pytest.mark.parametrize("data", [b"", b"%PDF-1.7", b"0\x03\x02\x01\x03", bytes(2000)])
def test_what_is_no_file_with_a_key_is_told_so(db, data):
    with pytest.raises(NoKeyFileError, match=r"PKCS#12 is wanted"):
        taken(data, PASSPHRASE)


def unfit(authority) -> dict[str, tuple[bytes, str]]:
    """Bundles whose key cannot sign papers, and why."""
    weak = rsa.generate_private_key(public_exponent=65537, key_size=1024)  # noqa: S505 - the point of it
    edwards = ed25519.Ed25519PrivateKey.generate()
    return {
        "ended": (authority.bundle("A", last=PAST), "not valid today"),
        "letters": (authority.bundle("A", usage=ENCIPHERING), "not made for signing"),
        "weak": (authority.bundle("A", key=weak), "fewer than 2048 bits"),
        "sort": (
            bundled(edwards, authority.vouch("A", edwards), []),
            "RSA or elliptic curves",
        ),
    }


@pytest.mark.parametrize("what", ["ended", "letters", "weak", "sort"])
def test_a_key_that_cannot_sign_papers_is_refused_with_the_reason(db, authority, house_key, what):
    bundle, why = unfit(authority)[what]
    before = house_key.read_bytes()

    with pytest.raises(KeyNotForSigningError, match=why):
        taken(bundle, PASSPHRASE)

    assert house_key.read_bytes() == before


def test_a_new_key_takes_the_place_of_the_old_one(house, house_key):
    before = house_key.read_bytes()

    facts = make_key("Atelier Sautarel", by=None, at=timezone.now())

    assert house_key.read_bytes() != before
    assert (facts.name, facts.is_self_made, facts.until) == ("Atelier Sautarel", True, None)
    assert LogEntry.objects.filter(verb="seal.made").count() == 1


# the page ----------------------------------------------------------------------------------------


@pytest.fixture
def page(client, house, helene):
    client.force_login(helene)

    def sent(bundle: bytes | None = None, passphrase: str = "", language: str = "en") -> str:
        client.cookies["django_language"] = language
        helene.language = language
        helene.save()
        address = reverse("people:seal")
        if bundle is None:
            return client.get(address).text
        file = SimpleUploadedFile("key.p12", bundle, "application/x-pkcs12")
        said = {"file": file, "passphrase": passphrase}
        return client.post(address, said, follow=True).text

    return sent


def test_the_page_says_that_there_is_no_key(page):
    assert "papers go out unsigned" in page()


def test_the_page_shows_a_key_that_never_signed(page, house_key):
    assert "With the first paper it gets its certificate" in page()


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "It proves that a paper was not changed; it does not prove who the workshop is"),
        ("fr", "Elle prouve qu’un document n’a pas été modifié"),
    ],
)
def test_a_self_made_key_is_said_to_prove_integrity_not_identity(page, house_key, language, words):
    make_key("Atelier Sautarel", by=None, at=timezone.now())

    said = page(language=language)

    assert words in said
    assert "Atelier Sautarel" in said


def test_the_page_takes_a_key_over(page, authority):
    said = page(authority.bundle("Atelier Sautarel"), PASSPHRASE)

    assert "From now on papers are signed by “Atelier Sautarel”." in said
    assert "Root of Trials" in said
    assert "The workshop made this key itself" not in said


def test_the_page_tells_of_a_wrong_passphrase_beside_its_field(page, authority):
    said = page(authority.bundle("Atelier Sautarel"), "wrong")

    assert "The passphrase does not open this file." in said
    assert 'id="id_passphrase_problem"' in said
    assert key_facts() is None


def test_the_page_asks_for_a_file(client, house, helene):
    client.force_login(helene)

    assert "This field is required" in client.post(reverse("people:seal"), {}).text


def test_the_page_shows_a_key_that_is_broken_and_the_way_out(client, page, house_key):
    house_key.write_text("broken")

    assert "it holds no key in PEM" in page()

    said = client.post(reverse("people:seal_new"), follow=True).text
    assert "The new key is made." in said
    assert "it holds no key in PEM" not in said


def test_the_page_warns_before_the_certificate_ends(page, authority):
    soon = timezone.now() + dt.timedelta(days=20)
    taken(authority.bundle("Atelier Sautarel", last=soon), PASSPHRASE)

    assert "Its certificate ends soon." in page()


# the command -------------------------------------------------------------------------------------


def told(*words: str) -> tuple[int, str, str]:
    """Exit code, what it says, what it complains of."""
    out, err = StringIO(), StringIO()
    try:
        call_command("seal_key", *words, stdout=out, stderr=err)
    except SystemExit as end:
        return int(str(end.code)), out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_the_command_says_that_there_is_no_key(db):
    assert told() == (1, "", "There is no key: papers go out unsigned.\n")


def test_the_command_takes_a_key_over(house, authority, tmp_path):
    (tmp_path / "key.p12").write_bytes(authority.bundle("Atelier Sautarel"))
    (tmp_path / "word").write_text(f"{PASSPHRASE}\n", encoding="utf-8")

    words = ("--take", str(tmp_path / "key.p12"), "--passphrase-file", str(tmp_path / "word"))
    code, said, _complaint = told(*words, "--json")

    assert code == 0
    assert json.loads(said)["issuer"] == "Root of Trials"
    assert json.loads(told("--json")[1]) == json.loads(said)


def test_the_command_refuses_a_wrong_passphrase(house, authority, tmp_path, monkeypatch):
    (tmp_path / "key.p12").write_bytes(authority.bundle("Atelier Sautarel"))
    monkeypatch.setenv("SAUTEREAU_PASSPHRASE", "wrong")

    code, said, complaint = told("--take", str(tmp_path / "key.p12"))

    assert (code, said) == (2, "")
    assert "The passphrase does not open this file." in complaint


def test_the_command_refuses_a_file_that_is_not_there(house, tmp_path):
    code, said, complaint = told("--take", str(tmp_path / "none.p12"))

    assert (code, said) == (2, "")
    assert "none.p12” cannot be read" in complaint


def test_the_command_makes_a_key(house):
    code, said, _complaint = told("--make")

    assert code == 0
    assert "name: Atelier Sautarel" in said
    assert "self_made: True" in said
    assert "until: -" in said


def test_the_command_tells_of_a_key_that_is_broken(db, house_key):
    house_key.write_text("broken")

    code, _said, complaint = told()

    assert code == 1
    assert "it holds no key in PEM" in complaint
