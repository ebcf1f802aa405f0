"""What the tests of readings share."""

from __future__ import annotations

from typing import Any

import pytest

from tests.readings import samples


@pytest.fixture
def post(client, armand, case):
    client.force_login(armand)

    def send(words: dict[str, str], gauge: str = "wheel", **said: str) -> Any:
        return client.post(samples.address(case, gauge), samples.about(**said) | words)

    return send
