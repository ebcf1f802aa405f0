"""All gauges, registered by the import of their modules."""

from __future__ import annotations

from repairs.gauges.action import gauge as action
from repairs.gauges.base.registry import Gauge, gauges
from repairs.gauges.cards import bowing
from repairs.gauges.cards import voicing as cards
from repairs.gauges.climate import gauge as climate_gauge
from repairs.gauges.climate import statistics as climate
from repairs.gauges.keys import falling, keyboard
from repairs.gauges.keys import gauge as correction_gauge
from repairs.gauges.strings import gauge as strings
from repairs.gauges.strings import stringset, stringtone
from repairs.gauges.wheel import force as wheel_force
from repairs.gauges.wheel import gauge as wheel
from repairs.gauges.wheel import ledger as wheel_ledger
from repairs.gauges.wheel import pulse as force_turn
from repairs.gauges.wood import clamps, cleats, closing, joints, movement, plate, timber

MODULES = (
    action,
    bowing,
    cards,
    clamps,
    cleats,
    climate,
    climate_gauge,
    closing,
    correction_gauge,
    falling,
    force_turn,
    joints,
    keyboard,
    movement,
    plate,
    stringset,
    strings,
    stringtone,
    timber,
    wheel,
    wheel_force,
    wheel_ledger,
)

__all__ = ["MODULES", "Gauge", "gauges"]
