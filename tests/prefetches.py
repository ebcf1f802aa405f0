"""A guard for every test: what a row points at is joined, never prefetched.

It sees what really happens, whatever a lookup is called and wherever its name comes from; but only
where a test has a row to fetch for. What no test has a row for is read by
``tests/whole/test_prefetches.py``, which cannot tell a name that leads both ways (``draft``).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import NoReturn
from unittest.mock import patch

import pytest
from django.db.models.fields.related_descriptors import ForwardManyToOneDescriptor


@contextmanager
def only_backwards() -> Iterator[None]:
    """Fail on a prefetch through a foreign key or a one-to-one field of the row itself.

    Django 5.2 asks SQLite for those by “id = ? OR id = ? …”, which it refuses from 1,000 rows on;
    rows that point at this one are asked for by “IN”, which it takes. See ``storage.rows``.
    """

    def refused(self: ForwardManyToOneDescriptor, *_args: object, **_named: object) -> NoReturn:
        raise AssertionError(f"{self.field} is prefetched: join it by select_related instead")

    with patch.object(ForwardManyToOneDescriptor, "get_prefetch_querysets", refused):
        yield


@pytest.fixture(autouse=True)
def prefetches_that_hold_at_size() -> Iterator[None]:
    with only_backwards():
        yield
