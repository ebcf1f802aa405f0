"""Two people at the same moment, as two threads of the test, each with its own connection."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from threading import Barrier
from uuid import uuid4

from django.db import connection, connections

from repairs.language.refusal import WorkshopError
from repairs.press.document import Sheet

Deed = Callable[[], object]
AtOnce = Callable[[Deed, Deed, float], list[str]]


@contextmanager
def two_hands() -> Iterator[AtOnce]:
    """What does two deeds at once, and says of each “done”, “refused: …” or “FAULT …”.

    Its last argument is by how many seconds the first is ahead. Wants a test outside a
    transaction, with ``shared_database``.
    """
    known, barrier = connection.settings_dict, Barrier(2)

    def connect() -> None:
        connections["default"] = type(connections["default"])({**known}, "default")

    def act(deed: Deed, wait_s: float) -> str:
        barrier.wait(20)
        time.sleep(max(0.0, wait_s))
        try:
            deed()
        except WorkshopError as refusal:
            return f"refused: {refusal}"
        except Exception as fault:
            return f"FAULT {type(fault).__name__}: {fault}"
        return "done"

    with ExitStack() as stack:
        hands = [
            stack.enter_context(ThreadPoolExecutor(1, initializer=connect)) for _hand in range(2)
        ]

        def at_once(first: Deed, second: Deed, lead_s: float) -> list[str]:
            waits = (-lead_s, lead_s)
            runs = [
                h.submit(act, d, w) for h, d, w in zip(hands, (first, second), waits, strict=True)
            ]
            return [run.result(60) for run in runs]

        yield at_once
        for hand in hands:
            hand.submit(lambda: connections["default"].close()).result(20)


def blank(sheet: Sheet) -> tuple[bytes, int]:
    """In the place of ``press.render``: one sheet with no content, never the same twice."""
    return f"%PDF-1.7 {uuid4()} {sheet.title}".encode(), 1
