"""What the tests of readings share."""

from __future__ import annotations

from typing import Any

import pytest

from tests import factories
from tests.readings import samples


@pytest.fixture
def case(request, case, armand):
    """A case; where a test asks about one gauge, of a kind that is read with it."""
    params = request.node.callspec.params if hasattr(request.node, "callspec") else {}
    return factories.read_with(params.get("gauge", ""), case, by=armand)


@pytest.fixture
def post(client, armand, case):
    client.force_login(armand)

    def send(words: dict[str, str], gauge: str = "wheel", **said: str) -> Any:
        return client.post(samples.address(case, gauge), samples.about(**said) | words)

    return send
