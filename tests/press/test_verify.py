"""The page that tells whether a PDF is ours, unchanged, and current."""

from __future__ import annotations

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from repairs.cases.compile import intake_receipt
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.estimates.consent.record import issue_record
from repairs.invoices.models import Invoice
from repairs.payments.reminders import issue_reminder
from repairs.payments.statements import issue_statement
from repairs.press import verify
from repairs.press.actions import issue, pdf_bytes, propose_seal
from repairs.press.document import new_code, tidy_code
from repairs.press.models import Paper
from tests import factories
from tests.press.authority import taken


@pytest.fixture(autouse=True)
def fresh_brake():
    cache.clear()


@pytest.fixture
def owed(helene, db) -> Invoice:
    """An invoice that is late."""
    factories.billing_house()
    return factories.late(factories.payer(by=helene), by=helene)


def a_receipt(case, by) -> Paper:
    now = timezone.now()
    seal = propose_seal(INTAKE_RECEIPT, case.log_key, by=by, at=now)
    return issue(intake_receipt(case, language="en", made_at=now, seal=seal), by=by)


def hand_in(client, data: bytes):
    file = SimpleUploadedFile("x.pdf", data, "application/pdf")
    return client.post(reverse("press:verify"), {"file": file}).content.decode()


def test_an_issued_file_is_ours_unchanged_and_current(client, case, helene):
    paper = a_receipt(case, helene)

    page = hand_in(client, pdf_bytes(paper))

    assert "Ours, and unchanged" in page
    assert "this is the newest version" in page


def test_of_what_the_paper_says_the_page_shows_the_number_of_the_instrument_alone(
    client, case, helene
):
    paper = a_receipt(case, helene)

    page = hand_in(client, pdf_bytes(paper))

    assert case.owner.name not in page
    assert case.number not in page
    assert f"<dd>{case.instrument.number}</dd>" in page
    assert "Sum" not in page


@pytest.mark.parametrize(
    ("language", "label", "warning"),
    [
        ("en", "Number of the instrument", "If your print says anything else"),
        ("fr", "Numéro de l’instrument", "Si votre exemplaire dit autre chose"),
    ],
)
def test_a_printed_code_tells_what_must_stand_on_the_print(
    client, case, helene, language, label, warning
):
    paper = a_receipt(case, helene)
    client.cookies["django_language"] = language

    page = client.get(reverse("press:verify_code", args=[paper.code])).text

    assert label in page
    assert case.instrument.number in page
    assert warning in page


@pytest.mark.parametrize(("language", "label"), [("en", "Sum"), ("fr", "Montant")])
def test_the_code_of_a_money_paper_tells_the_sum(client, owed, language, label):
    client.cookies["django_language"] = language

    page = client.get(reverse("press:verify_code", args=[owed.paper.code])).text

    assert f"<dt>{label}</dt>" in page
    assert owed.paper.data["content"]["amount"] in page
    assert owed.client.name not in page
    assert owed.number not in page


def test_each_paper_about_money_tells_its_sum(case, owed, helene):
    reminder = issue_reminder(owed, by=helene, at=timezone.now()).paper
    statement = issue_statement(owed.client, language="en", by=helene, at=timezone.now())
    estimate = factories.estimate(factories.looked_over(case, by=helene), by=helene)
    consent = factories.consent(estimate, by=helene)
    record = issue_record(consent, by=helene, at=timezone.now())

    for paper in (reminder, statement):
        assert verify.printed_on(paper).sums == (paper.data["content"]["amount"],)
    offered = factories.paper_of(estimate)
    totals = tuple(option["total"] for option in offered.data["content"]["options"])
    assert verify.printed_on(offered).sums == totals
    assert verify.printed_on(offered).instrument_number == case.instrument.number
    (agreed,) = verify.printed_on(record).sums
    assert agreed in totals
    assert agreed in [value for _label, value in record.data["content"]["sums"]]


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "not signed: the workshop had no key when it was issued"),
        ("fr", "non signé : l’atelier n’avait pas de clé lors de l’émission"),
    ],
)
def test_a_paper_without_a_signature_is_said_to_have_none(client, case, helene, language, words):
    paper = a_receipt(case, helene)
    client.cookies["django_language"] = language

    page = client.get(reverse("press:verify_code", args=[paper.code])).text

    assert words.replace(" :", "\u00a0:") in page


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", ("signed by “Atelier Sautarel” with a key", "nothing was changed since, not who")),
        ("fr", ("signé par «\u00a0Atelier Sautarel\u00a0» avec une clé", "pas qui est l’atelier")),
    ],
)
def test_a_self_made_key_is_said_to_prove_integrity_and_no_identity(
    client, house, house_key, case, helene, language, words
):
    paper = a_receipt(case, helene)
    client.cookies["django_language"] = language

    for page in (
        client.get(reverse("press:verify_code", args=[paper.code])).text,
        hand_in(client, pdf_bytes(paper)),
    ):
        said = " ".join(page.split(" "))
        assert all(one in said for one in words)
        assert "BEGIN CERTIFICATE" not in page


def test_who_vouches_for_the_key_is_named(client, house, case, helene, authority):
    taken(authority.bundle("Atelier Sautarel"))

    page = hand_in(client, pdf_bytes(a_receipt(case, helene)))

    assert "signed by “Atelier Sautarel”; Root of Trials vouches for the name" in page


def test_the_certificate_is_handed_out_as_it_was(client, house, house_key, case, helene):
    paper = a_receipt(case, helene)
    proof = paper.proofs.get()

    answer = client.get(reverse("press:proof", args=[paper.code, proof.pk]))

    assert b"".join(answer.streaming_content).startswith(b"-----BEGIN CERTIFICATE")
    assert f"{paper.code}-signature.pem" in answer["Content-Disposition"]


def test_one_changed_byte_of_a_signed_file_is_found_out(client, house, house_key, case, helene):
    changed = bytearray(pdf_bytes(a_receipt(case, helene)))
    changed[300] ^= 1

    page = hand_in(client, bytes(changed))

    assert "Bears our code, but was changed" in page
    assert f"<dd>{case.instrument.number}</dd>" in page


def test_one_changed_byte_is_found_out(client, case, helene):
    changed = bytearray(pdf_bytes(a_receipt(case, helene)))
    changed[-20] ^= 1

    page = hand_in(client, bytes(changed))

    assert "Bears our code, but was changed" in page
    assert "yes, this is the newest version" not in page


def test_an_older_version_is_ours_but_replaced(client, case, helene):
    first = a_receipt(case, helene)
    second = a_receipt(case, helene)

    page = hand_in(client, pdf_bytes(first))

    assert second.version == 2
    assert second.replaces == first
    assert "version 2 of" in page


def test_a_strange_file_is_not_known(client, db):
    assert "Not known here" in hand_in(client, b"%PDF-1.7 something else")


def test_an_empty_file_is_not_known(client, db):
    assert "Not known here" in hand_in(client, b"")


def test_a_printed_code_is_found_however_it_is_typed(client, case, helene):
    paper = a_receipt(case, helene)

    typed = paper.code.lower().replace("-", " ")
    page = client.post(reverse("press:verify"), {"code": typed}).content.decode()

    assert "The code is ours" in page


def test_the_address_in_the_qr_code_answers(client, case, helene):
    paper = a_receipt(case, helene)

    page = client.get(reverse("press:verify_code", args=[paper.code])).content.decode()

    assert "The code is ours" in page


def test_a_code_that_cannot_be_one_is_told_so(client, db):
    page = client.post(reverse("press:verify"), {"code": "12-34"}).content.decode()

    assert "three groups of four letters" in page


def test_neither_file_nor_code_asks_for_one(client, db):
    page = client.post(reverse("press:verify"), {}).content.decode()

    assert "Choose the PDF, or type its code." in page
    assert "Nothing was saved yet" not in page


def test_guessing_is_braked(client, db, monkeypatch):
    monkeypatch.setattr("repairs.screens.throttle.time.time", lambda: 1_800_000_000.0)
    address = reverse("press:verify_code", args=["AAAA-AAAA-AAAA"])
    answers = [client.get(address).status_code for _ in range(32)]

    assert answers[:30] == [200] * 30
    assert answers[-1] == 429


def test_codes_are_random_and_keep_their_printed_form():
    codes = {new_code() for _ in range(500)}

    assert len(codes) == 500
    assert all(tidy_code(code) == code for code in codes)


def test_an_issued_paper_can_neither_change_nor_go(case, helene):
    paper = a_receipt(case, helene)

    with pytest.raises(TypeError, match="never changes"):
        paper.save()
    with pytest.raises(TypeError, match="never removed"):
        paper.delete()


def test_the_kept_bytes_have_the_kept_hash(case, helene):
    paper = a_receipt(case, helene)

    answer = verify.check_file(pdf_bytes(paper))

    assert answer.verdict == "unchanged"
    assert answer.paper == paper
