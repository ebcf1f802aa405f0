"""How a value of a list of choices is read out of the log."""

from __future__ import annotations

import pytest

from repairs.audit.words import label_of
from repairs.estimates.consent_models import Consent


@pytest.mark.parametrize(
    ("value", "read"),
    [("declined", "declined"), ("agreed", "agreed"), ("of another release", ""), ("", "")],
)
def test_a_choice_is_read_by_its_label_and_an_unknown_one_as_nothing(value, read):
    assert label_of(Consent.Decision)(value) == read
