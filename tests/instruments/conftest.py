"""What the tests of instruments share: one as it is typed on its screen, one with a hazard."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from repairs.instruments.models import Instrument
from repairs.people.models import User
from tests import factories

TYPED = {
    "kind": "vielle_french",
    "maker": "Étienne Roussillat",
    "maker_surety": "signed",
    "place_made": "Valbrune",
    "date_text": "1771",
}


@pytest.fixture
def send(client, helene, owner):
    client.force_login(helene)

    def post(**changed: Any):
        return client.post(reverse("instruments:add", args=[owner.pk]), TYPED | changed)

    return post


@pytest.fixture
def poisoned(vielle: Instrument, armand: User) -> Instrument:
    """The instrument with a hazard that stands; loaded afresh, so that nothing is remembered."""
    factories.hazard(vielle, by=armand, key="pesticide", note="white bloom in the lining")
    return Instrument.objects.get(pk=vielle.pk)
