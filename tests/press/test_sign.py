"""Issued papers are signed by the key of the house, and everybody's tools agree on it."""

from __future__ import annotations

import datetime as dt
import io
from typing import Any

import pypdf
import pytest
from django.utils import timezone, translation

from repairs.cases.compile import intake_receipt
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.cases.receipt import issue_receipt
from repairs.jobs.models import Job
from repairs.language.refusal import WorkshopError
from repairs.press.actions import issue, pdf_bytes, propose_seal
from repairs.press.models import Paper
from repairs.press.proof_models import PaperProof
from repairs.press.refusals import KeyExpiredError, KeyUnusableError
from repairs.press.render import render
from repairs.press.sealing import seal
from repairs.press.signing.house_key import present_key
from repairs.storage import files as store
from tests import factories
from tests.outside.verapdf import validate
from tests.press.authority import curve_key, taken
from tests.press.checked import (
    cms_of,
    embedded,
    fingerprint,
    holds_for_openssl,
    judged,
    said_by_pdfsig,
)

AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


@pytest.fixture
def signed(house, house_key, case, helene) -> bytes:
    return pdf_bytes(issue_receipt(case, language="en", by=helene, at=AT))


def read(pdf: bytes) -> Any:
    return pypdf.PdfReader(io.BytesIO(pdf))


def test_a_signed_paper_holds_for_three_programs(signed, tmp_path):
    verdict = judged(signed)

    assert verdict.intact
    assert verdict.valid
    assert verdict.coverage.name == "ENTIRE_FILE"
    assert holds_for_openssl(signed, tmp_path)
    said = said_by_pdfsig(signed, tmp_path)
    assert "Signature is Valid" in said
    assert "Total document signed" in said
    assert "ETSI.CAdES.detached" in said
    assert "Signer Certificate Common Name: Atelier Sautarel" in said


@pytest.mark.parametrize("place", [0.1, 0.5, 0.9])
def test_one_changed_byte_is_found_by_each_of_them(signed, tmp_path, place):
    until = embedded(signed).byte_range[1]
    changed = bytearray(signed)
    changed[max(40, int(until * place))] ^= 1

    assert not holds_for_openssl(bytes(changed), tmp_path)
    said = said_by_pdfsig(bytes(changed), tmp_path)
    assert "Signature is Valid" not in said


def test_a_changed_word_of_the_paper_is_no_longer_what_was_signed(signed):
    changed = signed.replace(b"/Lang", b"/LanG", 1)

    assert changed != signed
    assert not judged(changed).intact


def test_the_signature_is_that_of_pades_with_the_time_of_the_paper(signed):
    signature = embedded(signed)

    names = {one["type"].native for one in signature.signer_info["signed_attrs"]}
    assert names == {"content_type", "message_digest", "signing_certificate_v2"} | (
        names & {"cms_algorithm_protection"}
    )
    assert signature.sig_object["/SubFilter"] == "/ETSI.CAdES.detached"
    assert signature.self_reported_timestamp == AT
    assert signature.signer_info["unsigned_attrs"].native is None


def test_the_same_sheet_gives_the_same_signed_bytes(house, house_key, case, helene):
    proposed = propose_seal(INTAKE_RECEIPT, case.log_key, by=helene, at=AT)
    sheet = intake_receipt(case, language="fr", made_at=AT, seal=proposed)
    bare, _pages = render(sheet)

    first, second = seal(bare, sheet).pdf, seal(render(sheet)[0], sheet).pdf

    assert first == second
    assert first.startswith(bare)


def test_what_the_press_wrote_stays_as_it_was(house, house_key, case, helene):
    proposed = propose_seal(INTAKE_RECEIPT, case.log_key, by=helene, at=AT)
    sheet = intake_receipt(case, language="en", made_at=AT, seal=proposed)
    bare, _pages = render(sheet)

    before, after = map(read, (bare, seal(bare, sheet).pdf))

    assert after.trailer["/ID"] == before.trailer["/ID"]
    assert proposed.code.encode() in after.trailer["/ID"][0].original_bytes
    assert after.trailer["/Root"]["/Metadata"].get_data() == (
        before.trailer["/Root"]["/Metadata"].get_data()
    )
    assert after.attachments == before.attachments
    assert [page.extract_text() for page in after.pages] == [
        page.extract_text() for page in before.pages
    ]


@pytest.mark.real_press
def test_a_signed_paper_is_archival_and_accessible(signed, tmp_path):
    (tmp_path / "receipt.pdf").write_bytes(signed)

    assert validate([tmp_path / "receipt.pdf"]) == {"receipt.pdf": {"3a": [], "ua1": []}}


@pytest.mark.parametrize(("language", "words"), [("en", "Signature of"), ("fr", "Signature de")])
def test_a_reader_who_listens_is_told_whose_field_it_is(
    house, house_key, case, helene, language, words
):
    pdf = pdf_bytes(issue_receipt(case, language=language, by=helene, at=AT))

    (field,) = read(pdf).get_fields().values()
    assert field["/TU"].startswith(words)
    assert field["/TU"].endswith("Atelier Sautarel")


def test_the_hash_that_is_kept_is_that_of_the_signed_file(house, house_key, case, helene):
    paper = issue_receipt(case, language="en", by=helene, at=AT)

    assert store.name_for("papers", paper.sha256, ".pdf") == paper.file_name
    proof = paper.proofs.get()
    assert (proof.sort, proof.name, proof.issuer) == ("signature", "Atelier Sautarel", "")
    assert proof.at == paper.issued_at
    assert store.path_of(proof.file_name).read_bytes().startswith(b"-----BEGIN CERTIFICATE")
    assert b"PRIVATE" not in store.path_of(proof.file_name).read_bytes()


def test_a_self_made_key_alone_leaves_nothing_to_be_fetched(house, house_key, case, helene):
    issue_receipt(case, language="en", by=helene, at=AT)

    assert not Job.objects.exists()


def test_a_house_without_a_key_issues_unsigned(house, case, helene):
    paper = issue_receipt(case, language="en", by=helene, at=AT)

    assert b"/ByteRange" not in pdf_bytes(paper)
    assert not PaperProof.objects.exists()
    assert not Job.objects.exists()


def test_the_key_gets_its_certificate_with_the_first_paper_and_keeps_it(
    house, house_key, case, helene
):
    assert present_key() is None

    issue_receipt(case, language="en", by=helene, at=AT)
    first = fingerprint()
    house.name = "Another Name"
    house.save()
    paper = issue_receipt(case, language="en", by=helene, at=timezone.now())

    assert fingerprint() == first
    assert paper.proofs.get().name == "Atelier Sautarel"
    assert house_key.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    ("name", "known_as"),
    [
        ("Atelier " * 15, ("Atelier " * 15)[:64]),
        ("בית מלאכה לתיבות נגינה", "בית מלאכה לתיבות נגינה"),
        ("Three\x07bells\n", "Three bells"),
        ("", "Sautereau"),
    ],
)
def test_a_workshop_of_any_name_can_sign(house, house_key, case, helene, name, known_as):
    house.name = name
    house.save()

    paper = issue_receipt(case, language="en", by=helene, at=AT)

    assert paper.proofs.get().name == known_as.strip()
    assert judged(pdf_bytes(paper)).intact


@pytest.mark.parametrize(
    ("content", "language", "words"),
    [
        (b"not a key", "en", "it holds no key in PEM"),
        (b"", "en", "it holds no key in PEM"),
        (b"not a key", "fr", "ne contient pas de clé au format PEM"),
    ],
)
def test_a_key_that_cannot_be_read_stops_the_issue_with_a_sentence(
    house, house_key, case, helene, content, language, words
):
    house_key.write_bytes(content)

    with translation.override(language), pytest.raises(KeyUnusableError) as refusal:
        issue_receipt(case, language="en", by=helene, at=AT)

    with translation.override(language):
        assert words in str(refusal.value)
        assert str(house_key) in str(refusal.value)
    assert not Paper.objects.exists()


def test_a_key_whose_certificate_has_ended_stops_the_issue(house, case, helene, authority):
    last = dt.datetime(2026, 11, 24, tzinfo=dt.UTC)
    bundle = authority.bundle("Atelier Sautarel", last=last)
    taken(bundle, at=dt.datetime(2026, 11, 1, tzinfo=dt.UTC))

    with pytest.raises(KeyExpiredError, match="not on the day of this paper"):
        issue_receipt(case, language="en", by=helene, at=AT)

    assert not Paper.objects.exists()


def test_a_key_of_an_issuer_names_it(house, case, helene, authority):
    taken(authority.bundle("Atelier Sautarel"))

    paper = issue_receipt(case, language="en", by=helene, at=AT)

    pdf = pdf_bytes(paper)
    assert judged(pdf).intact
    assert paper.proofs.get().issuer == "Root of Trials"
    kept = store.path_of(paper.proofs.get().file_name).read_bytes()
    assert kept.count(b"BEGIN CERTIFICATE") == 2


def test_a_key_on_a_curve_signs_too(house, case, helene, authority, tmp_path):
    taken(authority.bundle("Atelier Sautarel", key=curve_key()))

    pdf = pdf_bytes(issue_receipt(case, language="en", by=helene, at=AT))

    assert judged(pdf).intact
    assert holds_for_openssl(pdf, tmp_path)


def test_a_check_that_refuses_sees_the_signed_file(house, house_key, case, helene):
    class NotThisError(WorkshopError):
        pass

    def refuse(pdf: bytes) -> None:
        assert cms_of(pdf)
        raise NotThisError

    proposed = propose_seal(INTAKE_RECEIPT, case.log_key, by=helene, at=AT)
    sheet = intake_receipt(case, language="en", made_at=AT, seal=proposed)
    with pytest.raises(NotThisError):
        issue(sheet, by=helene, check=refuse)

    assert not Paper.objects.exists()


def test_an_invoice_is_signed_with_what_travels_in_it(house_key, helene, db):
    factories.billing_house()
    payer = factories.payer(by=helene)

    invoice = factories.issued(factories.draft(payer, by=helene), by=helene)

    pdf = pdf_bytes(invoice.paper)
    assert judged(pdf).intact
    assert "factur-x.xml" in pypdf.PdfReader(io.BytesIO(pdf)).attachments
