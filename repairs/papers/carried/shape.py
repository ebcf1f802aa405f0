"""Plain JSON back into the frozen data that it was made of; what is missing is named by its place.

The classes of ``document.py`` say what there must be. This is the check at run time; that the
published schema says the same is for the tests.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
import types
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

T = TypeVar("T")
MISSING = _("is missing")
NOT_TEXT = _("is no text")
NOT_WHOLE = _("is no whole number")
NOT_NUMBER = _("is no number")
NOT_YES_OR_NO = _("is neither true nor false")
NOT_LIST = _("is no list")
NOT_OBJECT = _("is no object")
NOT_AS_MANY = _("has another number of values")
NOT_DATE = _("is no date")


class ShapeError(ValueError):
    """What is not as it must be, each as a sentence with its place, such as “data.photos[2]”."""

    def __init__(self, problems: list[str]) -> None:
        self.problems = problems
        super().__init__("; ".join(problems))


def shaped(kind: type[T], value: object, place: str) -> T:
    """The value as an object of that class. Raises ShapeError naming all that is wrong."""
    reading = _Reading()
    found = reading.read(kind, value, place)
    if reading.problems:
        raise ShapeError(reading.problems)
    return found  # type: ignore[no-any-return] # of that class, or a problem was noted


@cache
def _hints(kind: type) -> Mapping[str, Any]:
    return get_type_hints(kind)


class _Reading:
    def __init__(self) -> None:
        self.problems: list[str] = []

    def read(self, kind: Any, value: object, place: str) -> Any:
        if kind is Any:
            return value
        if dataclasses.is_dataclass(kind):
            return self._object(kind, value, place)
        origin, args = get_origin(kind), get_args(kind)
        if origin in (Union, types.UnionType):
            inner = next(one for one in args if one is not types.NoneType)
            return None if value is None else self.read(inner, value, place)
        if origin is tuple:
            return self._list(args, value, place)
        if origin is not None:
            return self._mapping(args[1], value, place)
        return self._plain(kind, value, place)

    def _object(self, kind: Any, value: object, place: str) -> Any:
        if not isinstance(value, dict):
            return self._wrong(place, NOT_OBJECT)
        said = {}
        for field in dataclasses.fields(kind):
            if field.name in value:
                hint = _hints(kind)[field.name]
                said[field.name] = self.read(hint, value[field.name], f"{place}.{field.name}")
            elif field.default is dataclasses.MISSING:
                self._wrong(f"{place}.{field.name}", MISSING)
        return kind(**said) if not self.problems else None

    def _list(self, args: tuple[Any, ...], value: object, place: str) -> Any:
        if not isinstance(value, list):
            return self._wrong(place, NOT_LIST)
        if args[-1] is Ellipsis:
            return tuple(
                self.read(args[0], one, f"{place}[{number}]") for number, one in enumerate(value)
            )
        if len(value) != len(args):
            return self._wrong(place, NOT_AS_MANY)
        return tuple(self.read(arg, one, place) for arg, one in zip(args, value, strict=True))

    def _mapping(self, inner: Any, value: object, place: str) -> Any:
        if not isinstance(value, dict):
            return self._wrong(place, NOT_OBJECT)
        return {key: self.read(inner, one, f"{place}.{key}") for key, one in value.items()}

    def _plain(self, kind: type, value: object, place: str) -> Any:
        read, words = PLAIN[kind]
        try:
            return read(value)
        except (TypeError, ValueError, OverflowError):
            return self._wrong(place, words)

    def _wrong(self, place: str, words: str | Promise) -> None:
        said = gettext("“%(place)s” %(wrong)s") % {"place": place, "wrong": words}
        self.problems.append(said)


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def _yes_or_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise TypeError
    return value


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError
    return value


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError
    if not math.isfinite(value):
        raise ValueError
    return float(value)


def _moment(value: object) -> dt.datetime:
    return dt.datetime.fromisoformat(_text(value))


def _day(value: object) -> dt.date:
    return dt.date.fromisoformat(_text(value))


PLAIN: Mapping[type, tuple[Callable[[object], Any], str | Promise]] = {
    str: (_text, NOT_TEXT),
    bool: (_yes_or_no, NOT_YES_OR_NO),
    int: (_whole, NOT_WHOLE),
    float: (_number, NOT_NUMBER),
    dt.datetime: (_moment, NOT_DATE),
    dt.date: (_day, NOT_DATE),
}
