"""Maps of parts: one drawing for each kind and view in which every part can be tapped.

A kind names its maps (``maps`` in its file) and owns them: ``fixtures/kinds/<slug>/<name>.svg``.
Each shape bears the key of its part; ``data-also`` names parts that share the place (varnish on the
soundboard, bars under it). The long side is 1000 units; fronts and backs stand head up. Maps show a
right-handed instrument; of a left-handed one the mirror image is given, and what is left or right
in its names changes with it, since left and right are those of the page.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

from django.conf import settings
from django.utils.safestring import SafeString

from repairs.instruments.map_shapes import Loop, Point, holds, loops_of
from repairs.instruments.pattern import Kind, PartMap
from repairs.instruments.refusals import KindFileError
from repairs.language.text import in_language
from repairs.screens.svg import box_of, number, read_svg, written

SIDES = {"left": "right", "right": "left"}
A_SIDE = re.compile(r"(?<=_)(?:left|right)\b|\b(?:left|right)(?=_)")
FINGER = 12 * 1000 / 360
"""How far a finger may miss: 12 px on a page 360 px wide, in units of the map."""
HERE = {"fill": "#f5b942", "stroke": "#14181b"}
FOUND = {"stroke": "#1b4d8f", "stroke-width": "6"}
"""Rosin for the place in question, blue for what was found: attributes for papers, whose pictures
know no style sheet; ``maps.css`` says the same for both schemes."""


@dataclass(frozen=True)
class Shape:
    """A part as a finger finds it: its key, the outlines of its paths, what else lies there."""

    key: str
    paths: tuple[tuple[Loop, ...], ...]
    also: tuple[str, ...]

    def holds(self, place: Point) -> bool:
        """Whether a tap there finds it: on what is seen, or on unseen room for a finger."""
        return any(holds(loops, place) for loops in self.paths)


def maps_of(kind: Kind, view: str, *, left_handed: bool = False) -> tuple[PartMap, ...]:
    """The maps that serve a photo of that view, the best first; none for a kind without maps."""
    seen = _swapped(view) if left_handed else view
    return tuple(one for one in kind.maps if seen in one.views)


def map_of(kind: Kind, view: str, *, left_handed: bool = False) -> PartMap | None:
    """The map of that name, else the best one for photos of that view."""
    named = next((one for one in kind.maps if one.name == view), None)
    return named or next(iter(maps_of(kind, view, left_handed=left_handed)), None)


@dataclass(frozen=True)
class Marked:
    """Parts to be marked on a map, by key or by the id of one shape."""

    here: str = ""
    found: Collection[str] = ()

    def look(self, element: ET.Element) -> tuple[str, Mapping[str, str]]:
        """The class of a shape and its colours in papers; nothing for one that is not marked."""
        names = {element.get("data-part", ""), element.get("id", "")}
        if self.here and self.here in names:
            return "here", HERE
        return ("found", FOUND) if names & set(self.found) else ("", {})


def part_map(
    kind: Kind,
    view: str,
    *,
    left_handed: bool = False,
    language: str | None = None,
    prefix: str = "",
    marked: Marked | None = None,
) -> SafeString:
    """The map for a view (or of that name) to stand in a page or paper; empty where there is none.

    ``language`` names its parts (the one in force by default). ``prefix`` stands before its ids:
    two maps in one page would share them.
    """
    chosen = map_of(kind, view, left_handed=left_handed)
    if chosen is None:
        return SafeString()
    root = deepcopy(_drawing(kind.slug, chosen.name))
    if left_handed:
        _mirror(root)
    root.set("data-map", chosen.name)
    root.set("role", "img")
    root.set("aria-label", in_language(chosen.label, language))
    _name(root, kind, language)
    for element in root.iter():
        _mark(element, marked or Marked(), prefix)
    return written(root)


def parts_at(kind: Kind, view: str, place: Point, *, left_handed: bool = False) -> tuple[str, ...]:
    """Keys of the parts that a tap may mean, the likeliest first.

    ``place`` is in units of the map (the long side is 1000). The topmost shape takes the tap; then
    come shapes within a finger of it, then what shares the place with any of them.
    """
    chosen = map_of(kind, view, left_handed=left_handed)
    if chosen is None:
        return ()
    if left_handed:
        width, _height = box_of(_drawing(kind.slug, chosen.name))
        place = (width - place[0], place[1])
    shapes = _shapes(kind.slug, chosen.name)
    hit = [_topmost(shapes, near) for near in (place, *_around(place))]
    shown = [shape for shape in hit if shape is not None]
    shared = (key for shape in shown for key in _also(shapes, shape))
    keys = tuple(dict.fromkeys([*(shape.key for shape in shown), *shared]))
    return tuple(_swapped(key) for key in keys) if left_handed else keys


def _around(place: Point) -> Iterator[Point]:
    for eighth in range(8):
        turn = eighth * math.pi / 4
        yield place[0] + FINGER * math.cos(turn), place[1] + FINGER * math.sin(turn)


def _topmost(shapes: Sequence[Shape], place: Point) -> Shape | None:
    return next((shape for shape in shapes if shape.holds(place)), None)


def _also(shapes: Sequence[Shape], shape: Shape) -> list[str]:
    """Said once on a map, by the first shape of a key: it holds for all of them."""
    return [also for one in shapes if one.key == shape.key for also in one.also]


@cache
def _drawing(slug: str, name: str) -> ET.Element:
    """The map of a file, checked once. Raises KindFileError with what to mend in it."""
    file = f"kinds/{slug}/{name}.svg"
    try:
        return read_svg(Path(settings.FIXTURES) / file)
    except (OSError, ValueError) as problem:
        raise KindFileError(file=f"fixtures/{file}", field="svg", mend=problem) from problem


@cache
def _shapes(slug: str, name: str) -> Sequence[Shape]:
    """The shapes of a map, the topmost first: what is drawn last lies on top."""
    elements = [one for one in _drawing(slug, name).iter() if "data-part" in one.attrib]
    return tuple(_shape(element) for element in reversed(elements))


def _shape(element: ET.Element) -> Shape:
    paths = [element] if element.tag == "path" else element.findall("path")
    tapped = (path for path in paths if path.get("pointer-events") != "none")
    outlines = tuple(tuple(loops_of(path.get("d", ""))) for path in tapped)
    also = tuple((element.get("data-also") or "").split())
    return Shape(element.get("data-part", ""), outlines, also)


def _name(root: ET.Element, kind: Kind, language: str | None) -> None:
    """Put the name of each part where its key stands, with the number of the one among several."""
    labels = {part.key: in_language(part.label, language) for part in kind.parts}
    for element in root.iter():
        title = element.find("title")
        if title is not None and (key := element.get("data-part")):
            label, place = labels.get(key, key), element.get("data-n")
            title.text = f"{label}, {place}" if place else label


def _mark(element: ET.Element, marked: Marked, prefix: str) -> None:
    if "data-part" not in element.attrib:
        return
    said, colours = marked.look(element)
    if said:
        element.set("class", f"{element.get('class', '')} {said}".strip())
        paths = [element] if element.tag == "path" else element.findall("path")
        for path in (path for path in paths if path.get("class") != "hit"):
            for name, value in colours.items():
                path.set(name, value)
    if prefix:
        element.set("id", f"{prefix}{element.get('id', '')}")


def _swapped(text: str) -> str:
    """A name with its left and right exchanged: ``keybox_wall_left``, ``right_side``."""
    return A_SIDE.sub(lambda side: SIDES[side[0]], text)


def _rename(root: ET.Element) -> None:
    """Exchange left and right in the names of parts and anchors."""
    for element in root.iter():
        for name in ("id", "data-part", "data-also", "data-anchor"):
            if name in element.attrib:
                element.set(name, _swapped(element.attrib[name]))


def _mirror(root: ET.Element) -> None:
    """Turn the map round, with its names, the places of its zooms and those of its anchors."""
    _rename(root)
    width, _height = box_of(root)
    for zoom in root.iter("g"):
        if "data-box" in zoom.attrib:
            x, y, wide, high = (float(side) for side in zoom.attrib["data-box"].split())
            sides = (width - x - wide, y, wide, high)
            zoom.set("data-box", " ".join(number(side) for side in sides))
    for anchor in root.iter("circle"):
        anchor.set("cx", number(width - float(anchor.get("cx", "0"))))
    for group in root.findall("g"):
        if group.get("class") != "anchors":
            group.set("transform", f"translate({number(width)} 0) scale(-1 1)")
