"""A time stamp comes with the paper when the server answers, and after it when it does not.

The server is one on this machine, driven by ``openssl ts``; its own verifier judges the tokens.
"""

from __future__ import annotations

import datetime as dt
import time

import pytest
from asn1crypto import cms
from django.urls import reverse
from django.utils import timezone, translation

from repairs.audit.models import LogEntry
from repairs.cases.receipt import issue_receipt
from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.press import sealing, tasks
from repairs.press.actions import pdf_bytes
from repairs.press.models import Paper
from repairs.press.proof_models import PaperProof
from repairs.press.refusals import StampServerError
from repairs.press.signing import stamps
from repairs.storage import files as store
from tests.press.checked import embedded, holds_for_openssl, judged, openssl, said_by_pdfsig

AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)
DIGEST = bytes(range(32))
BAD = {
    "refuse": "Message digest algorithm is not supported",
    "error": "it answered with HTTP 500",
    "page": "what it sent is no stamp over this paper",
    "other": "what it sent is no stamp over this paper",
    "hang": "it did not answer within 1 seconds",
    "drip": "it did not answer within 1 seconds",
}


@pytest.fixture
def receipt(house, house_key, case, helene):
    """Issue the receipt; what is asked of the stamp server stands in the settings."""
    return lambda: issue_receipt(case, language="en", by=helene, at=AT)


@pytest.fixture
def impatient(monkeypatch):
    monkeypatch.setattr(sealing, "PATIENCE_S", 0.5)
    monkeypatch.setattr("repairs.press.proving.PATIENCE_S", 0.5)


def token_of(proof: PaperProof) -> bytes:
    return store.path_of(proof.file_name).read_bytes()


def holds_for_openssl_ts(paper: Paper, clock, tmp_path) -> bool:
    """Whether ``openssl ts -verify`` finds the detached token good for the issued file."""
    token = tmp_path / "token.tst"
    token.write_bytes(token_of(paper.proofs.get(sort="stamp")))
    file = store.path_of(paper.file_name)
    words = ("ts", "-verify", "-data", file, "-in", token, "-token_in", "-CAfile", clock.root)
    return openssl(*words).returncode == 0


def test_a_stamp_that_comes_in_time_stands_in_the_file(receipt, stamping, tmp_path):
    paper = receipt()

    pdf = pdf_bytes(paper)
    verdict = judged(pdf)
    assert verdict.intact
    assert verdict.timestamp_validity.intact
    assert verdict.timestamp_validity.valid
    assert embedded(pdf).signer_info["unsigned_attrs"].native is not None
    assert holds_for_openssl(pdf, tmp_path)
    assert "Signature is Valid" in said_by_pdfsig(pdf, tmp_path)
    proof = paper.proofs.get(sort="stamp_inside")
    assert (proof.name, proof.issuer) == ("Clock of Trials", "Root of Clocks")
    assert abs(proof.at - timezone.now()) < dt.timedelta(minutes=2)
    assert cms.ContentInfo.load(token_of(proof))["content_type"].native == "signed_data"
    assert stamping.asked == ["/stamp"]


def test_without_a_server_none_is_asked(receipt):
    paper = receipt()

    assert {proof.sort for proof in paper.proofs.all()} == {"signature"}
    assert not Job.objects.exists()


@pytest.mark.parametrize("what", sorted(BAD))
def test_a_server_that_gives_no_stamp_is_told_with_the_reason(clock, what):
    server = stamps.StampServer(f"{clock.address}/{what}", patience_s=0.7)
    since = time.monotonic()

    with pytest.raises(StampServerError) as refusal:
        server.over(DIGEST)

    assert time.monotonic() - since < 5
    assert BAD[what] in str(refusal.value)
    assert "The time stamp server 127.0.0.1 gave no stamp" in str(refusal.value)


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("http://127.0.0.1:9/", "nobody answers at this address"),
        ("https://127.0.0.1:9/", "nobody answers at this address"),
    ],
)
def test_a_server_that_is_not_there_is_told(address, words):
    with pytest.raises(StampServerError, match=words):
        stamps.StampServer(address, patience_s=2).over(DIGEST)


def test_a_server_that_speaks_no_tls_is_told(clock):
    address = clock.address.replace("http:", "https:")

    with pytest.raises(StampServerError, match="the connection to it is not safe"):
        stamps.StampServer(address, patience_s=2).over(DIGEST)


def test_the_password_in_its_address_is_not_told(clock):
    address = clock.address.replace("http://", "http://luthier:secret@") + "/error"

    with pytest.raises(StampServerError) as refusal:
        stamps.StampServer(address, patience_s=2).over(DIGEST)

    assert "secret" not in str(refusal.value)


@pytest.mark.parametrize("what", ["hang", "drip"])
def test_a_server_that_hangs_holds_up_no_paper(receipt, clock, settings, impatient, caplog, what):
    settings.STAMP_SERVER = f"{clock.address}/{what}"
    since = time.monotonic()

    paper = receipt()

    assert time.monotonic() - since < 4
    assert judged(pdf_bytes(paper)).intact
    assert {proof.sort for proof in paper.proofs.all()} == {"signature"}
    job = Job.objects.get()
    assert (job.name, job.arguments) == ("press.prove", {"paper": paper.pk})
    assert "it did not answer within" in caplog.text


def test_the_stamp_then_comes_beside_the_file_which_stays_as_it_is(
    receipt, clock, settings, impatient, tmp_path
):
    settings.STAMP_SERVER = f"{clock.address}/error"
    paper = receipt()
    before = pdf_bytes(paper)

    settings.STAMP_SERVER = f"{clock.address}/stamp"
    Worker().run_all()

    proof = paper.proofs.get(sort="stamp")
    assert (proof.name, proof.issuer) == ("Clock of Trials", "Root of Clocks")
    assert pdf_bytes(paper) == before
    assert holds_for_openssl_ts(paper, clock, tmp_path)
    line = LogEntry.objects.get(verb="paper.stamped")
    assert line.details == {"paper": str(paper.uuid), "sha256": proof.sha256}
    assert not Job.objects.open().exists()


def test_a_token_does_not_fit_another_file(receipt, clock, settings, impatient, tmp_path):
    settings.STAMP_SERVER = f"{clock.address}/error"
    paper = receipt()
    settings.STAMP_SERVER = f"{clock.address}/stamp"
    Worker().run_all()
    store.path_of(paper.file_name).write_bytes(pdf_bytes(paper) + b"%")

    assert not holds_for_openssl_ts(paper, clock, tmp_path)


def test_a_job_that_finds_no_stamp_is_put_off_longer_each_time(receipt, clock, settings, impatient):
    settings.STAMP_SERVER = f"{clock.address}/refuse"
    receipt()

    for tries in (1, 2, 3):
        began = timezone.now()
        assert Worker().run_all() == 1
        waiting = Job.objects.open().get()
        assert waiting.arguments["tried"] == tries
        assert waiting.not_before - began >= dt.timedelta(minutes=2 ** (tries - 1))
        Job.objects.filter(pk=waiting.pk).update(not_before=began)
    done = Job.objects.filter(state="done").first()
    assert done is not None
    assert "Message digest algorithm is not supported" in done.result["put_off"]


def test_the_waits_grow_to_six_hours_and_end_after_a_month():
    waits = [tasks.wait_after(tries) for tries in range(1, tasks.MOST_TRIES)]

    assert waits[:3] == [dt.timedelta(minutes=minutes) for minutes in (1, 2, 4)]
    assert max(waits) == dt.timedelta(hours=6)
    assert dt.timedelta(days=28) < sum(waits, dt.timedelta()) < dt.timedelta(days=35)


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "were asked for 128 times in vain"), ("fr", "ont été demandés 128 fois en vain")],
)
def test_a_job_gives_up_with_a_sentence(
    receipt, clock, settings, impatient, helene, language, words
):
    settings.STAMP_SERVER = f"{clock.address}/refuse"
    paper = receipt()
    helene.language = language
    helene.save()
    last = {"paper": paper.pk, "tried": tasks.MOST_TRIES - 1}
    Job.objects.update(arguments=last)

    Worker().run_all()

    job = Job.objects.get()
    assert job.state == Job.State.FAILED
    assert words in job.message
    assert "Message digest algorithm is not supported" in job.message


def test_who_issues_the_next_paper_does_not_wait_for_a_server_that_failed(
    receipt, clock, settings, impatient
):
    settings.STAMP_SERVER = f"{clock.address}/error"
    receipt()
    Worker().run_all()
    clock.asked.clear()

    receipt()

    assert clock.asked == []
    assert Job.objects.open().count() == 2


def test_a_job_that_runs_twice_stamps_once(receipt, clock, settings, impatient):
    settings.STAMP_SERVER = f"{clock.address}/error"
    paper = receipt()
    settings.STAMP_SERVER = f"{clock.address}/stamp"

    Worker().run_all()
    Job.objects.update(state=Job.State.WAITING)
    Worker().run_all()

    assert paper.proofs.filter(sort="stamp").count() == 1


def test_papers_of_the_time_before_are_stamped_when_that_is_asked(
    client, receipt, clock, settings, helene
):
    client.force_login(helene)
    paper = receipt()
    page = reverse("people:seal")
    assert "No server is named" in client.get(page).text

    settings.STAMP_SERVER = f"{clock.address}/stamp"
    assert "1 paper has none yet." in client.get(page).text
    said = client.post(reverse("people:seal_stamps"), follow=True).text
    assert "The time stamp of 1 paper is asked for now." in said
    Worker().run_all()

    assert paper.proofs.filter(sort="stamp").exists()
    assert "Every paper has its stamp from 127.0.0.1." in client.get(page).text


def test_a_stamp_too_large_for_its_place_comes_beside_the_file(receipt, stamping, monkeypatch):
    monkeypatch.setattr("repairs.press.signing.pades.ROOM_FOR_STAMP", 64)

    paper = receipt()
    Worker().run_all()

    assert embedded(pdf_bytes(paper)).signer_info["unsigned_attrs"].native is None
    assert paper.proofs.filter(sort="stamp").exists()


# the page on which anyone checks -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", ("Time stamp", "by the clock of Clock of Trials")),
        ("fr", ("Horodatage", "d’après l’horloge de Clock of Trials")),
    ],
)
def test_the_check_page_shows_the_stamp(client, receipt, stamping, language, words):
    paper = receipt()
    client.cookies["django_language"] = language

    page = client.get(reverse("press:verify_code", args=[paper.code])).text

    for one in words:
        assert one in page


def test_the_check_page_says_that_a_stamp_is_on_its_way(client, receipt, clock, settings):
    settings.STAMP_SERVER = f"{clock.address}/error"
    paper = receipt()

    page = client.get(reverse("press:verify_code", args=[paper.code])).text

    assert "asked for, not there yet" in page


def test_the_token_is_handed_out_to_whoever_holds_the_code(
    client, receipt, clock, settings, impatient
):
    settings.STAMP_SERVER = f"{clock.address}/error"
    paper = receipt()
    settings.STAMP_SERVER = f"{clock.address}/stamp"
    Worker().run_all()
    proof = paper.proofs.get(sort="stamp")

    answer = client.get(reverse("press:proof", args=[paper.code, proof.pk]))

    assert b"".join(answer.streaming_content) == token_of(proof)
    assert answer["Content-Type"] == "application/vnd.etsi.timestamp-token"
    assert f"{paper.code}-stamp.tst" in answer["Content-Disposition"]
    other = client.get(reverse("press:proof", args=["AAAA-AAAA-AAAA", proof.pk]))
    assert other.status_code == 404


def test_a_refusal_speaks_the_language_of_its_reader(clock):
    server = stamps.StampServer(f"{clock.address}/error", patience_s=2)

    with translation.override("fr"), pytest.raises(StampServerError) as refusal:
        server.over(DIGEST)

    with translation.override("fr"):
        assert "n’a pas donné d’horodatage" in str(refusal.value)
