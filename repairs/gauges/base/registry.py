"""Names of the gauges, what they take, and how to call them with plain data."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

Plain = Mapping[str, Any]
VERSION_WORDS = re.compile(r"[a-z_]+ [1-9][0-9]*")


@dataclass(frozen=True)
class Gauge:
    """A gauge by its name: ``run`` takes and gives plain, JSON-serialisable data.

    ``inputs`` names each input with what it is; one that may be left out says so.
    """

    name: str
    version: str
    says: str
    inputs: Mapping[str, str]
    run: Callable[[Plain], dict[str, Any]]


_GAUGES: dict[str, Gauge] = {}


def register(gauge: Gauge) -> Gauge:
    """Make a gauge known by its name.

    RuntimeError when the name is taken, or when the version does not read “name number”: a reader
    is told the number, and a number alone would be sought in every page that says it.
    """
    if gauge.name in _GAUGES:
        raise RuntimeError(f"two gauges are called {gauge.name}")
    if not VERSION_WORDS.fullmatch(gauge.version):
        raise RuntimeError(f"the version of {gauge.name} is “{gauge.version}”: write “name 1”")
    _GAUGES[gauge.name] = gauge
    return gauge


def gauges() -> Mapping[str, Gauge]:
    """All gauges by name, in the order of their names."""
    return dict(sorted(_GAUGES.items()))
