import pytest

from tests.books.year import by, lived, odette, year, year_once  # noqa: F401 - fixtures
from tests.prefetches import only_backwards


@pytest.fixture(autouse=True)
def prefetches_that_hold_at_size():
    with only_backwards():
        yield
