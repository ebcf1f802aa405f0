"""One way to ask for a correction, for the tests."""

from __future__ import annotations

from repairs.gauges.everything import gauges


def run(**asked):
    return gauges()["correction"].run({"length_mm": 345, "temperament": "just", **asked})
