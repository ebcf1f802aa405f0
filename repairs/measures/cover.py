"""Whether what gauges say of their own doubt holds: tables of simulated instruments.

Each table is a function of how many are drawn a cell; a gauge adds its own to `TABLES`.
"""

from __future__ import annotations

from collections.abc import Callable

from repairs.measures import cover_keys, cover_wheel, cover_wood
from repairs.measures.harness import Figure, Plan, Say

Table = Callable[[int, Say], dict[str, Figure]]

TABLES: tuple[Table, ...] = (
    cover_wheel.covered,
    cover_wheel.cuts,
    cover_keys.keyboards,
    cover_keys.temperaments,
    cover_wood.woods,
)
WHOLE, QUICK = 1000, 4  # drawn in each cell of a table


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Draw every table; figures by name, shares in per cent."""
    drawn = QUICK if plan.rounds == 1 else WHOLE
    figures: dict[str, Figure] = {}
    for table in TABLES:
        figures |= table(drawn, say)
    return figures
