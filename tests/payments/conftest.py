from __future__ import annotations

import pytest

from repairs.invoices.models import Invoice
from tests import factories


@pytest.fixture
def owed(firm, helene) -> Invoice:
    """417.60 owed by a business, due thirty days ago."""
    return factories.late(firm, by=helene)


@pytest.fixture
def books_open(client, odile):
    """Odile, who keeps the books, is signed in."""
    client.force_login(odile)
    return client
