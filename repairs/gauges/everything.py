"""All gauges, registered by the import of their modules."""

from __future__ import annotations

from repairs.gauges import (
    action,
    cards,
    climate,
    climate_target,
    correction_gauge,
    joints,
    keyboard,
    movement,
    strings,
    stringset,
    stringtone,
    timber,
    wheel,
    wheel_force,
)
from repairs.gauges.registry import Gauge, gauges

MODULES = (
    action,
    cards,
    climate,
    climate_target,
    correction_gauge,
    joints,
    keyboard,
    movement,
    stringset,
    strings,
    stringtone,
    timber,
    wheel,
    wheel_force,
)

__all__ = ["MODULES", "Gauge", "gauges"]
