"""The rooms that can be measured, by the word that names them on the command line."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from repairs.measures import (
    backup,
    causes,
    cover,
    doors,
    faults,
    gauges,
    invoices,
    mutants,
    papers,
    photos,
    screens,
)
from repairs.measures.harness import Figure, Plan, Say

ROOMS: Mapping[str, Callable[[Plan, Say], dict[str, Figure]]] = {
    "backup": backup.measure,
    "causes": causes.measure,
    "cover": cover.measure,
    "doors": doors.measure,
    "faults": faults.measure,
    "gauges": gauges.measure,
    "invoices": invoices.measure,
    "mutants": mutants.measure,
    "papers": papers.measure,
    "photos": photos.measure,
    "screens": screens.measure,
}
