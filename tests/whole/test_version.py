"""The release stands where a reader looks for it: on every page and in every paper."""

from __future__ import annotations

import io
import re

import pypdf
import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.compile import intake_receipt
from repairs.press.actions import propose_seal
from repairs.press.render import RENDERER, render
from workshop import __version__


def test_a_release_has_a_number():
    assert re.fullmatch(r"\d+\.\d+(\.\d+)?", __version__)


def test_a_page_says_in_its_footer_which_release_it_is(client, db):
    page = client.get(reverse("people:sign_in")).text

    assert f"Sautereau {__version__}" in page.split("<footer")[1]


@pytest.mark.real_press
def test_a_paper_says_in_its_metadata_what_made_it(house, case, armand):
    now = timezone.now()
    seal = propose_seal("intake_receipt", case.log_key, by=armand, at=now)

    pdf, _pages = render(intake_receipt(case, language="en", made_at=now, seal=seal))

    facts = pypdf.PdfReader(io.BytesIO(pdf)).metadata
    assert facts is not None
    creator = str(facts["/Creator"])
    assert creator == RENDERER
    assert creator.startswith(f"Sautereau {__version__}")
