"""What the tests of work share: work that is begun, a board in the store, and who sends what."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.treatment.models import AgreedWork, Intervention
from repairs.wood.actions import enter_piece
from repairs.wood.models import Piece
from tests import factories
from tests.treatment.promising import begun, tuned


@pytest.fixture
def agreed(case: Case, finding, armand) -> AgreedWork:
    """An open seam, answering the one finding, agreed to by the owner."""
    return factories.agreed_work(case, "open_seam", finding, by=armand)


@pytest.fixture
def work(agreed: AgreedWork, armand) -> Intervention:
    return factories.begun_work(agreed, by=armand)


@pytest.fixture
def plain_work(case: Case, armand) -> Intervention:
    """Work that asks for nothing but that its one step is told."""
    return factories.begun_work(factories.agreed_work(case, "free", by=armand), by=armand)


@pytest.fixture
def board(armand) -> Piece:
    """A spruce board of 400 cm³."""
    sizes = {"length_mm": Decimal(500), "width_mm": Decimal(200), "thickness_mm": Decimal(4)}
    return enter_piece(Piece(material="spruce", **sizes), by=armand, at=timezone.now())


@pytest.fixture
def send(client) -> Callable[..., Any]:
    """Send a form of the room as a person; the address by its name and what it wants."""

    def post(route: str, *arguments: Any, by: Any, **words: Any) -> Any:
        client.force_login(by)
        return client.post(reverse(f"treatment:{route}", args=arguments), words)

    return post


@pytest.fixture
def see(client) -> Callable[..., str]:
    def get(route: str, *arguments: Any, by: Any, status: int = 200) -> str:
        client.force_login(by)
        answer = client.get(reverse(f"treatment:{route}", args=arguments))
        assert answer.status_code == status
        return answer.content.decode()

    return get


@pytest.fixture
def refit(case, armand) -> Intervention:
    tuned(case, "2,9", by=armand)
    return begun(case, "tangent_refit", by=armand)
