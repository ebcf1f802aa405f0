"""Every issued paper bears the head of the log: at its foot, and whole in its data."""

from __future__ import annotations

import dataclasses

import pytest

from repairs.audit.anchors import current_head
from repairs.audit.head import Head
from repairs.measures.content import sheet
from repairs.press.render import to_html
from tests import factories

HEAD = Head(1428, "0123456789abcdef" * 4)


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "The workshop’s log at line 1428:"), ("fr", "Journal de l’atelier, ligne 1428")],
)
def test_the_foot_of_page_one_says_what_the_digits_are(language, words):
    plain = sheet(())
    assert plain.seal is not None
    sealed = dataclasses.replace(plain.seal, head=HEAD)

    html = to_html(dataclasses.replace(plain, language=language, seal=sealed))

    said = html.split('data-head="')[1].partition('"')[0]
    assert words in said
    assert "0123 4567 89ab cdef 0123" in said


def test_a_paper_of_before_bears_none():
    html = to_html(sheet(()))

    assert html.split('data-head="')[1].partition('"')[0].strip() == ""


def test_the_data_of_an_issued_paper_hold_the_head_whole(case, armand):
    before = current_head()

    paper = factories.receipt(case, by=armand)

    assert paper.data["seal"]["head"] == {"seq": before.seq, "sha256": before.sha256}
