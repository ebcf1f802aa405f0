"""The drawing of the action: its strings over bridge, wheel and nut, to scale in height."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext

from repairs.charts.side import FlagMark, SideView, side_chart
from repairs.charts.svg import Chart
from repairs.language.text import uses_comma
from repairs.readings.sheets.action_cells import KINDS
from repairs.readings.sheets.base import (
    Plain,
)


def chart(given: Plain, out: Plain, _before: Plain | None, was: Plain | None) -> Chart | None:
    """The picture of the reading, with the earlier one under it."""
    flags = [
        FlagMark(
            key["at_mm"][0],
            key["flag_low_mm"],
            key["flag_high_mm"],
            f"{key['key']:g}",
            _word_of(out, key["key"]),
        )
        for key in given["keys"]
        if key.get("flag_low_mm") is not None and key.get("flag_high_mm") is not None
    ]
    lid = given.get("lid")
    view = SideView(
        given["length_mm"],
        [_line(line) for line in out["lines"]],
        flags,
        [(w["name"], w["at_mm"], w["height_mm"]) for w in given.get("walls", ())],
        (lid["from_mm"], lid["to_mm"], lid["height_mm"]) if lid else None,
        [_line(line) for line in was["lines"]] if was else [],
    )
    words = {
        "nut": gettext("nut"),
        "bridge": gettext("bridge"),
        "wheel": gettext("wheel"),
        "lid": gettext("lid"),
        "before": gettext("before"),
    }
    return side_chart(view, words=words, alt=_alt(out), comma=uses_comma())


def _alt(out: Plain) -> str:
    if fail := out["first_fail"]:
        said = {"key": fail["note"], "why": KINDS[fail["kind"]]}
        if not fail["note"]:
            return (
                gettext(
                    "Side view of the strings over the tangents: the open string fails (%(why)s)"
                )
                % said
            )
        return (
            gettext("Side view of the strings over the tangents: key %(key)s fails (%(why)s)")
            % said
        )
    return gettext("Side view of the strings over the tangents: no key fails")


def _word_of(out: Plain, key: float) -> str:
    words = {c["verdict"]["word"] for c in out["checks"] if c["key"] == key}
    return next((word for word in ("outside", "doubtful") if word in words), "inside")


def _line(line: Mapping[str, Any]) -> list[tuple[float, float]]:
    points = [(0.0, line["nut_mm"]), (line["length_mm"], line["bridge_mm"])]
    if line.get("contact_mm") is not None and line.get("contact_height_mm") is not None:
        points.insert(1, (line["contact_mm"], line["contact_height_mm"]))
    return points
