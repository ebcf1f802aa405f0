"""Drawings that come as files, read for good: nothing in them that a page must not carry.

They are put into pages and papers as they are, under a policy that forbids every inline style and
script, so a file may hold shapes, words and plain attributes and nothing else.
"""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree as ET

from django.utils.safestring import SafeString, mark_safe

NAMESPACE = re.compile(r'\sxmlns="http://www\.w3\.org/2000/svg"')
TAGS = frozenset(("svg", "g", "path", "circle", "rect", "line", "text", "title", "desc"))
PLAIN = """
    class id d x y x1 y1 x2 y2 cx cy r rx ry width height viewBox points transform role opacity
    fill fill-rule stroke stroke-width stroke-linecap stroke-linejoin stroke-dasharray
    pointer-events font-family font-size font-weight text-anchor aria-hidden aria-label
"""
ATTRIBUTES = frozenset(PLAIN.split())


def read_svg(path: Path) -> ET.Element:
    """The drawing of a file.

    Raises ValueError with what stands in it that may not: a tag or attribute that is not known, a
    reference, or XML that is not well formed.
    """
    text = path.read_text(encoding="utf-8")
    if "<!" in text or "<?" in text:
        raise ValueError("it holds a declaration; a drawing is one <svg> and nothing else.")
    try:
        root = ET.fromstring(NAMESPACE.sub("", text, count=1))  # noqa: S314 - no declarations
    except ET.ParseError as problem:
        raise ValueError(f"it is not well formed ({problem}).") from problem
    for element in root.iter():
        _check(element)
    return root


def _check(element: ET.Element) -> None:
    if element.tag not in TAGS:
        raise ValueError(f"<{element.tag}> is not allowed; take it out.")
    for name, value in element.attrib.items():
        if name not in ATTRIBUTES and not re.fullmatch(r"data-[a-z-]+", name):
            raise ValueError(f"the attribute {name} is not allowed; take it out.")
        if "url(" in value or ":" in value:
            raise ValueError(f"{name}=“{value}” refers to something else; take it out.")


def written(root: ET.Element) -> SafeString:
    """The drawing as it stands in a page; every word in it is escaped."""
    return mark_safe(ET.tostring(root, encoding="unicode"))  # noqa: S308 - read by read_svg


def box_of(root: ET.Element) -> tuple[float, float]:
    """Width and height of a drawing, in its own units."""
    _left, _top, width, height = (float(side) for side in root.get("viewBox", "").split())
    return width, height


def number(value: float) -> str:
    """A coordinate as a file would have it: one place behind the point, without needless zeros."""
    return f"{value:.1f}".removesuffix(".0")
