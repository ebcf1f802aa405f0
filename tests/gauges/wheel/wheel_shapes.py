"""Wheels of a given shape, as they would be typed, and the published values about wheels."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
PUBLISHED = json.loads((HERE / "published_wheel.json").read_text("utf-8"))
CASES = json.loads((HERE / "wheel_cases.json").read_text("utf-8"))["cases"]


def published(subject: str) -> list[dict[str, Any]]:
    return [row for row in PUBLISHED if row["subject"] == subject]


def turn(shape: Callable[[float], float], count: int = 24, **more: Any) -> dict[str, Any]:
    """A wheel whose reading at each angle (radians) is ``shape(angle)``."""
    angles = [360 * place / count for place in range(count)]
    return {
        "angles_deg": angles,
        "readings_mm": [shape(math.radians(angle)) for angle in angles],
        "mean_diameter_mm": 170.0,
        "gauge_sigma_mm": 0.005,
        **more,
    }


def off_axle(angle: float) -> float:
    return 0.1 * math.cos(angle - math.radians(60))


def oval(angle: float) -> float:
    return 0.1 * math.cos(2 * angle)


def both(angle: float) -> float:
    return off_axle(angle) + 0.6 * oval(angle)


def wrong_by_deg(one: float, other: float) -> float:
    return abs((one - other + 180) % 360 - 180)
