"""The mirror image of a chart: what lay on the left lies on the right, its words stay readable."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree as ET

from repairs.charts.svg import Chart

ENDS = {"start": "end", "end": "start"}


def mirrored(chart: Chart) -> Chart:
    """Return the chart of a left-handed instrument for that of a right-handed one.

    Nut and wheel, keys from the lowest to the highest, and the sense in which a wheel is counted
    change sides; figures, their units and the sentence about it do not.
    """
    root = ET.fromstring(chart.svg)  # noqa: S314 - drawn by our own board
    width = float(root.get("viewBox", "0 0 0 0").split()[2])
    for element in root.iter():
        _turn(element, width)
    return replace(chart, svg=ET.tostring(root, encoding="unicode"))


def _turn(element: ET.Element, width: float) -> None:
    for name in ("x1", "x2", "cx"):
        if name in element.attrib:
            element.set(name, _across(element.attrib[name], width))
    if "points" in element.attrib:
        pairs = (point.split(",") for point in element.attrib["points"].split())
        element.set("points", " ".join(f"{_across(x, width)},{y}" for x, y in pairs))
    if element.tag == "rect":
        right = float(element.attrib["x"]) + float(element.attrib["width"])
        element.set("x", _across(right, width))
    if element.tag == "text":
        element.set("x", _across(element.attrib["x"], width))
        anchor = element.attrib["text-anchor"]
        element.set("text-anchor", ENDS.get(anchor, anchor))


def _across(x: str | float, width: float) -> str:
    return f"{width - float(x):.2f}"
