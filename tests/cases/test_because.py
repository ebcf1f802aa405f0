"""Reasons that the program gives are kept once and said in any language; typed ones stay."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.utils import translation

from repairs.cases.because import CONSENT_BY_LINK, REASONS, reason_words

LANGUAGES = [code for code, _name in settings.LANGUAGES]


@pytest.mark.parametrize("kept_in", LANGUAGES)
@pytest.mark.parametrize("reason", REASONS)
def test_a_reason_is_said_in_english_whatever_it_was_kept_in(reason, kept_in):
    with translation.override(kept_in):
        kept = translation.gettext(reason) % {"number": 3}

    with translation.override("en"):
        assert reason_words(kept) == reason % {"number": 3}


def test_a_reason_with_a_number_is_said_with_it():
    kept = CONSENT_BY_LINK % {"number": 12}

    with translation.override("fr"):
        assert "12" in reason_words(kept)
        assert reason_words(kept) == translation.gettext(CONSENT_BY_LINK) % {"number": 12}


@pytest.mark.parametrize(
    "typed", ["", "A second crack", "It is 100 % dry", "agreed at the counter, once"]
)
def test_what_a_person_typed_stays_as_it_is(typed):
    for code in LANGUAGES:
        with translation.override(code):
            assert reason_words(typed) == typed
