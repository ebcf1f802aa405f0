"""All gauges, registered by the import of their modules."""

from __future__ import annotations

from repairs.gauges import correction_gauge, stringset, strings, stringtone, wheel, wheel_force
from repairs.gauges.registry import Gauge, gauges

MODULES = (correction_gauge, stringset, strings, stringtone, wheel, wheel_force)

__all__ = ["MODULES", "Gauge", "gauges"]
