"""One way to ask for a correction, for the tests."""

from __future__ import annotations

from repairs.gauges.everything import gauges


def run(**asked):
    return gauges()["correction"].run({"length_mm": 345, "temperament": "just", **asked})


def one_key(**asked):
    """Ask about one key; what is found of it."""
    answer = run(**asked)
    return answer["strings"][0]["keys"][0]


def tangents(length_mm, name, keys, **more):
    asked = {"length_mm": length_mm, "temperament": name, "keys": keys, **more}
    return gauges()["tangents"].run(asked)["keys"]
