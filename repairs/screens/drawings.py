"""Our own drawings: where to lay a gauge, what to do with the hands, and small signs.

They lie in ``fixtures/drawings``: ``measure/`` and ``act/`` with words in them, ``icons/`` without.
``words.json`` has every word in both languages, by the key that ``data-word`` names. Colours stand
in the files, so a paper prints them as they are; on a screen ``drawings.css`` gives them the
tokens of the scheme. A drawing of a wheel fiddle shows a right-handed one (``data-handed``): of a
left-handed one the mirror image is given, its words as readable as before. A screw stays a
right-hand screw, so it is not among those. ``data-families`` says what is drawn: a violin is not
shown where to measure its wheel.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

from django.conf import settings
from django.utils.safestring import SafeString

from repairs.language.text import in_language, language
from repairs.screens.svg import box_of, number, read_svg, written
from repairs.storage.fixtures import read_fixture

FOLDER = "drawings"
WORDED = ("title", "desc", "text")
LEFT = ".left_handed"
ENDS = {"start": "end", "end": "start"}
CLASSES = {"l": "r", "r": "l"}


class UnknownDrawingError(LookupError):
    """A template names a drawing that is not there."""


def drawing(name: str, *, left_handed: bool = False, captioned: bool = False) -> SafeString:
    """The drawing of that name (``measure/wheel_rim``) in the reader's language.

    ``captioned``: its name and what to do stand beside it, so it is kept from a screen reader, who
    would be told twice. Raises UnknownDrawingError.
    """
    return _drawn(name, language(), left_handed, captioned)


def name_of(name: str) -> str:
    """What a drawing is called in the reader's language."""
    return _said(f"name.{_stem(name)}")


def says_of(name: str, *, left_handed: bool = False) -> str:
    """One sentence in the reader's language on how to do what a drawing shows."""
    return _said(f"says.{_stem(name)}", left_handed=left_handed)


def families_of(name: str) -> tuple[str, ...]:
    """Families of instruments that a drawing shows; none for one that fits all of them."""
    return tuple(_file(name).get("data-families", "").split())


def icon(name: str, *, said: bool = False) -> SafeString:
    """The sign of that name; a screen reader passes it over unless it is to be ``said``.

    A sign that stands alone is to be said; one beside its word is not. Raises UnknownDrawingError.
    """
    root = deepcopy(_file(f"icons/{name}"))
    if said:
        del root.attrib["aria-hidden"]
        root.set("role", "img")
        root.set("aria-label", _said(f"icon.{name}"))
    return written(root)


@cache
def words() -> Mapping[str, Mapping[str, str]]:
    """Every word of the drawings by its key, in both languages."""
    found: Mapping[str, Mapping[str, str]] = read_fixture(f"{FOLDER}/words.json")
    return found


def _stem(name: str) -> str:
    return name.rpartition("/")[2]


def _said(key: str, code: str | None = None, *, left_handed: bool = False) -> str:
    """The words of a key; those that differ for the left hand where there are some."""
    mirrored = words().get(key + LEFT) if left_handed else None
    try:
        return in_language(mirrored or words()[key], code)
    except KeyError:
        raise UnknownDrawingError(f"fixtures/{FOLDER}/words.json has no “{key}”") from None


@cache
def _file(name: str) -> ET.Element:
    """The drawing of a file, checked once."""
    path = Path(settings.FIXTURES) / FOLDER / f"{name}.svg"
    try:
        return read_svg(path)
    except FileNotFoundError:
        raise UnknownDrawingError(f"there is no fixtures/{FOLDER}/{name}.svg") from None
    except ValueError as problem:
        raise ValueError(f"fixtures/{FOLDER}/{name}.svg: {problem}") from problem


@cache
def _drawn(name: str, code: str, left_handed: bool, captioned: bool) -> SafeString:
    root = deepcopy(_file(name))
    is_mirrored = left_handed and root.get("data-handed") is not None
    for element in root.iter():
        key = element.get("data-word")
        if key is not None:
            element.text = _said(key, code, left_handed=is_mirrored)
    if is_mirrored:
        _mirror(root)
    if captioned:
        del root.attrib["role"]
        root.set("aria-hidden", "true")
        for element in [one for one in root if one.tag in ("title", "desc")]:
            root.remove(element)
    return written(root)


def _mirror(root: ET.Element) -> None:
    """Turn all but the words round; these stand where they belong and stay readable."""
    width, _height = box_of(root)
    turn = f"translate({number(width)} 0) scale(-1 1)"
    for element in root:
        if element.tag == "text":
            element.set("x", number(width - float(element.get("x", "0"))))
            anchor = element.get("text-anchor", "")
            if anchor in ENDS:
                element.set("text-anchor", ENDS[anchor])
            names = (CLASSES.get(one, one) for one in (element.get("class") or "").split())
            if said := " ".join(names):
                element.set("class", said)
        elif element.tag not in ("title", "desc"):
            element.set("transform", f"{turn} {element.get('transform', '')}".strip())
