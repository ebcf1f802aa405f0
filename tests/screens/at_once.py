"""Several hands at the same moment, as threads of the test with a connection of their own each."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from threading import Barrier

from django.db import connection, connections


@contextmanager
def hands(count: int) -> Iterator[ThreadPoolExecutor]:
    """Wants a test outside a transaction, with ``shared_database``."""
    known, barrier = connection.settings_dict, Barrier(count)

    def connect() -> None:
        connections["default"] = type(connections["default"])({**known}, "default")

    def leave() -> None:
        barrier.wait(20)
        connections["default"].close()

    with ThreadPoolExecutor(count, initializer=connect) as pool:
        yield pool
        for end in [pool.submit(leave) for _hand in range(count)]:
            end.result(30)
