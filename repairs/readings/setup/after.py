"""After a card: which step of the set-up its hands changed, to be noted with one tap."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from repairs.readings.models import Reading
from repairs.readings.setup.orders import order_for


def after_facts(reading: Reading) -> dict[str, Any]:
    """The step that the reading belongs to, where a set-up goes on; the name of the next tap."""
    order = order_for(reading.case)
    step = order.step_of(reading.gauge) if order else None
    if step is None or not reading.case.setups.filter(ended_at=None).exists():
        return {}
    return {"setup_step": step, "tap": uuid4()}
