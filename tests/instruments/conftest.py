"""What the tests of instruments share."""

from __future__ import annotations

import pytest

from repairs.instruments.models import Instrument
from repairs.people.models import User
from tests import factories


@pytest.fixture
def poisoned(vielle: Instrument, armand: User) -> Instrument:
    """The instrument with a hazard that stands; loaded afresh, so that nothing is remembered."""
    factories.hazard(vielle, by=armand, key="pesticide", note="white bloom in the lining")
    return Instrument.objects.get(pk=vielle.pk)
