"""What the tests of the books share: a year that was lived, and one invoice of March."""

from __future__ import annotations

import pytest

from repairs.invoices.models import Invoice
from tests import factories
from tests.books.days import AT
from tests.books.year import by, lived, odette, year, year_once  # noqa: F401 - fixtures


@pytest.fixture
def billed(payer, helene) -> Invoice:
    """417.60 for work, on 10 March."""
    return factories.issued(factories.draft(payer, by=helene), by=helene, at=AT)
