"""An instrument as it is typed on its screen."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

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
