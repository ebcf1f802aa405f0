"""What proves a signature in later years is gathered while those who vouch still answer."""

from __future__ import annotations

import datetime as dt
import hashlib

import pytest
from asn1crypto import cms, ocsp, x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509 import ocsp as x509_ocsp
from django.urls import reverse

from repairs.cases.receipt import issue_receipt
from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.press.actions import pdf_bytes
from repairs.press.signing.evidence import Found, proof
from repairs.press.signing.house_key import HouseKey
from repairs.storage import files as store
from tests.press.authority import new_key, taken
from tests.press.checked import openssl

AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


@pytest.fixture
def vouched(house, case, helene, authority):
    """A receipt that is signed by a key for which the authority vouches."""
    taken(authority.bundle("Atelier Sautarel"))
    return issue_receipt(case, language="en", by=helene, at=AT)


def proof_file(paper) -> bytes:
    return store.path_of(paper.proofs.get(sort="validation").file_name).read_bytes()


def holds_for_openssl_cms(paper, authority, tmp_path, data: bytes) -> bool:
    """``openssl cms`` finds the proof good for the file, the authority and the list inside it."""
    (tmp_path / "proof.p7s").write_bytes(proof_file(paper))
    (tmp_path / "paper.pdf").write_bytes(data)
    words = ("cms", "-verify", "-binary", "-inform", "DER", "-out", "/dev/null", "-crl_check")
    places = ("-in", tmp_path / "proof.p7s", "-content", tmp_path / "paper.pdf")
    return openssl(*words, *places, "-CAfile", authority.file).returncode == 0


def test_the_list_of_revoked_certificates_is_kept_over_the_file(vouched, authority, tmp_path):
    before = pdf_bytes(vouched)

    Worker().run_all()

    assert pdf_bytes(vouched) == before
    content = cms.ContentInfo.load(proof_file(vouched))["content"]
    names = {one.chosen.subject.native["common_name"] for one in content["certificates"]}
    assert names == {"Atelier Sautarel", "Root of Trials"}
    (kept,) = content["crls"]
    assert kept.chosen.issuer.native["common_name"] == "Root of Trials"
    assert holds_for_openssl_cms(vouched, authority, tmp_path, before)
    assert not holds_for_openssl_cms(vouched, authority, tmp_path, before + b"%")
    assert not Job.objects.open().exists()


def test_with_a_server_the_proofs_are_stamped_and_speak_of_the_stamp_too(
    house, case, helene, authority, stamping
):
    taken(authority.bundle("Atelier Sautarel"))
    paper = issue_receipt(case, language="en", by=helene, at=AT)

    Worker().run_all()

    signer = cms.ContentInfo.load(proof_file(paper))["content"]["signer_infos"][0]
    kinds = {one["type"].native for one in signer["unsigned_attrs"]}
    assert kinds == {"signature_time_stamp_token"}
    content = cms.ContentInfo.load(proof_file(paper))["content"]
    names = {one.chosen.subject.native["common_name"] for one in content["certificates"]}
    assert "Clock of Trials" in names


def test_a_list_that_cannot_be_fetched_is_asked_for_again(vouched, clock, monkeypatch):
    monkeypatch.delitem(clock.files, "/revoked.crl")

    Worker().run_all()

    assert not vouched.proofs.filter(sort="validation").exists()
    waiting = Job.objects.open().get()
    assert waiting.arguments == {"paper": vouched.pk, "tried": 1}
    done = Job.objects.get(state="done")
    assert "revoked certificates of" in done.result["put_off"]
    assert "Atelier Sautarel" in done.result["put_off"]


def test_the_answer_of_an_ocsp_server_is_kept_as_well(authority, tmp_path):
    key = new_key()
    certificate = authority.vouch("Atelier Sautarel", key)
    answer = ocsp.OCSPResponse.load(answered(authority, certificate))
    found = Found([x509.Certificate.load(der(certificate))], [], [answer])
    house_key_in_use = HouseKey(key, certificate, (authority.certificate,))
    data = b"%PDF-1.7 anything"

    made = proof(hashlib.sha256(data).digest(), house_key_in_use, found, at=AT, server=None)

    content = cms.ContentInfo.load(made)["content"]
    assert content["version"].native == "v5"
    (kept,) = content["crls"]
    assert kept.chosen["other_rev_info_format"].native == "ocsp_response"
    assert kept.chosen["other_rev_info"].dump() == answer.dump()
    (tmp_path / "proof.p7s").write_bytes(made)
    (tmp_path / "data").write_bytes(data)
    words = ("cms", "-verify", "-binary", "-inform", "DER", "-out", "/dev/null")
    places = ("-in", tmp_path / "proof.p7s", "-content", tmp_path / "data")
    assert openssl(*words, *places, "-CAfile", authority.file).returncode == 0


def answered(authority, certificate) -> bytes:
    """“Not revoked”, signed by the authority."""
    builder = x509_ocsp.OCSPResponseBuilder().add_response(
        cert=certificate,
        issuer=authority.certificate,
        algorithm=hashes.SHA256(),
        cert_status=x509_ocsp.OCSPCertStatus.GOOD,
        this_update=AT,
        next_update=AT + dt.timedelta(days=7),
        revocation_time=None,
        revocation_reason=None,
    )
    named = builder.responder_id(x509_ocsp.OCSPResponderEncoding.NAME, authority.certificate)
    signed = named.sign(authority.key, hashes.SHA256())
    return der(signed)


def der(what) -> bytes:
    return what.public_bytes(Encoding.DER)


def test_of_a_self_made_key_nobody_can_be_asked(house, house_key, case, helene, stamping):
    paper = issue_receipt(case, language="en", by=helene, at=AT)

    Worker().run_all()

    assert {one.sort for one in paper.proofs.all()} == {"signature", "stamp_inside"}
    assert not Job.objects.open().exists()


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "Proofs for later years"), ("fr", "Preuves pour plus tard")],
)
def test_the_check_page_shows_them(client, vouched, language, words):
    Worker().run_all()
    client.cookies["django_language"] = language

    page = client.get(reverse("press:verify_code", args=[vouched.code])).text

    assert words in page
    assert "Root of Trials" in page
