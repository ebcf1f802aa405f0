import pytest

from tests.prefetches import only_backwards


@pytest.fixture(autouse=True)
def prefetches_that_hold_at_size():
    with only_backwards():
        yield
