"""The page that tells whether a PDF is ours, unchanged, and current."""

from __future__ import annotations

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from repairs.cases.compile import intake_receipt
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.press import verify
from repairs.press.actions import issue, pdf_bytes, propose_seal
from repairs.press.document import new_code, tidy_code
from repairs.press.models import Paper


@pytest.fixture(autouse=True)
def fresh_brake():
    cache.clear()


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


def test_the_page_shows_nothing_of_what_the_paper_says(client, case, helene):
    paper = a_receipt(case, helene)

    page = hand_in(client, pdf_bytes(paper))

    assert case.owner.name not in page
    assert case.number not in page


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
