"""Writing XML as nested calls: what has nothing to say leaves no element behind."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from lxml import etree  # type: ignore[import-untyped]


class Element(Protocol):
    """What is used of an element of lxml, which has no types."""

    text: str | None

    def append(self, child: Element, /) -> None:
        """Add a child after those that are there."""

    def set(self, key: str, value: str, /) -> None:
        """Give an attribute its value."""

    def __len__(self) -> int: ...


Child = Element | str | Decimal | dt.date | None
ILLEGAL = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
CII_DAY, UBL_DAY = "%Y%m%d", "%Y-%m-%d"


@dataclass(frozen=True)
class Maker:
    """Makes elements by prefixed names, such as ``ram:Name``, of one set of namespaces."""

    namespaces: Mapping[str, str]
    day_format: str

    def __call__(self, name: str, *children: Child, **attributes: str) -> Element | None:
        """The element, or None when neither text nor a child is in it."""
        element = self.bare(name)
        for child in children:
            if isinstance(child, etree._Element):
                element.append(child)
            elif text := self._text(child):
                element.text = text
        if element.text is None and not len(element):
            return None
        for key, value in attributes.items():
            element.set(key, value)
        return element

    def bare(self, name: str) -> Element:
        """An element with nothing in it, where the schema demands it all the same."""
        made: Element = etree.Element(self.tag(name), nsmap=self._declared())
        return made

    def tag(self, name: str) -> str:
        """The name with its namespace, as lxml writes it."""
        prefix, _colon, local = name.rpartition(":")
        return f"{{{self.namespaces[prefix]}}}{local}"

    def _declared(self) -> dict[str | None, str]:
        return {prefix or None: uri for prefix, uri in self.namespaces.items()}

    def _text(self, value: Child) -> str:
        if isinstance(value, Decimal):
            return format(value, "f")
        if isinstance(value, dt.date):
            return value.strftime(self.day_format)
        return legal(str(value or "")).strip()


def legal(text: str) -> str:
    """Without the characters that XML cannot hold, which nobody types on purpose."""
    return ILLEGAL.sub("", text)


def as_bytes(root: Element | None) -> bytes:
    """The whole file, in UTF-8 with its declaration. Raises ValueError when there is no element."""
    if root is None:
        raise ValueError("an e-invoice without content")
    etree.cleanup_namespaces(root)
    return bytes(etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True))


def money(amount: Decimal) -> str:
    """Always two places: 5 is 5.00."""
    return format(amount, ".2f")


def number(value: Decimal) -> str:
    """As short as it can be: 20.00 is 20, and 5.50 is 5.5."""
    return format(value.normalize(), "f")
