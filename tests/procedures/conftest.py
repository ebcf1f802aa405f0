"""A page is sent and seen here as it is for the work that follows a procedure."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from tests.procedures.wording import typed
from tests.treatment.conftest import see, send

__all__ = ["see", "send"]


@pytest.fixture
def edit(client, helene):
    def post(key: str = "wheel_recentring", **changed: Any) -> Any:
        client.force_login(helene)
        address = reverse("treatment:procedure_edit", args=[key])
        return client.post(address, typed(key, **changed))

    return post
