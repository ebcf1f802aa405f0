"""What a value in a file of fixtures must be; a wrong one is refused with its place and a mend."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from repairs.instruments.refusals import KindFileError
from repairs.language.text import LANGUAGES

Row = TypeVar("Row")
SNAKE_CASE = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")


@dataclass(frozen=True)
class Place:
    """Where in a file something stands, for the sentence that refuses it."""

    file: str
    field: str = ""

    def at(self, step: str | int) -> Place:
        """The place one step further in: a field by its name, a row by its number from 0."""
        mark = f"[{step}]" if isinstance(step, int) else f".{step}" if self.field else step
        return Place(self.file, f"{self.field}{mark}")

    def wrong(self, mend: str) -> KindFileError:
        """The refusal that names this place and says how to mend it."""
        return KindFileError(file=self.file, field=self.field or "whole file", mend=mend)


def fields(
    value: object, here: Place, needed: Sequence[str], optional: Sequence[str] = ()
) -> Mapping[str, Any]:
    """The object here, with every needed field and none that is not known."""
    if not isinstance(value, dict):
        raise here.wrong(f"write an object with the fields {', '.join(needed)}.")
    for name in needed:
        if name not in value:
            raise here.at(name).wrong("this field is missing; write it.")
    for name in value:
        if name not in needed and name not in optional:
            known = ", ".join((*needed, *optional))
            raise here.at(name).wrong(f"no such field; take it out. Known are {known}.")
    return value


def items(value: object, here: Place) -> Iterator[tuple[Place, Any]]:
    """The rows of the list here, each with its place. Raises KindFileError when it is no list."""
    if not isinstance(value, list):
        raise here.wrong("write a list, [ … ].")
    for number, one in enumerate(value):
        yield here.at(number), one


def words(value: object, here: Place) -> Mapping[str, str]:
    """A text in both languages, and in others that the house speaks; none of them empty."""
    spoken = isinstance(value, dict) and {"en", "fr"} <= set(value) <= set(LANGUAGES)
    if not spoken or not all(isinstance(w, str) and w.strip() for w in value.values()):  # type: ignore[attr-defined]
        raise here.wrong('write it in both languages: {"en": "…", "fr": "…"}.')
    return value  # type: ignore[return-value]


def key_in(value: object, here: Place) -> str:
    """A key in snake_case, as it will stand in rows for thirty years."""
    if not isinstance(value, str) or not SNAKE_CASE.fullmatch(value):
        raise here.wrong("write a key in small letters, digits and single underscores.")
    return value


def among(value: object, here: Place, known: Sequence[str]) -> tuple[str, ...]:
    """A list of known names, each at most once."""
    names = [name for _at, name in items(value, here)]
    for number, name in enumerate(names):
        if name not in known or names.index(name) != number:
            raise here.at(number).wrong(f"write each once, of: {', '.join(known)}.")
    return tuple(names)


def yes_no(value: object, here: Place) -> bool:
    """True or false; “yes” and 1 are refused, so that nobody wonders later."""
    if not isinstance(value, bool):
        raise here.wrong("write true or false.")
    return value


def unique(rows: Iterator[Row], here: Place, name: str = "key") -> tuple[Row, ...]:
    """The rows, after making sure that no two have the same name."""
    found = tuple(rows)
    counted = Counter(getattr(row, name) for row in found)
    for key, times in counted.items():
        if times > 1:
            raise here.wrong(f"“{key}” stands {times} times; each {name} is used once.")
    return found
