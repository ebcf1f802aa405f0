"""XML from outside, read so that it can do nothing: no entities, no network, no end of size."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from django.utils.translation import gettext as _
from lxml import etree  # type: ignore[import-untyped]

from repairs.einvoice.refusals import ReceivedUnreadableError
from repairs.money import NOTHING

MOST_BYTES = 5_000_000
NUMBER = re.compile(r"[+-]?\d{1,15}(\.\d{0,12})?")
DAYS = {8: "%Y%m%d", 10: "%Y-%m-%d"}


class XmlElement(Protocol):
    """What is asked of an element of lxml, which has no types."""

    tag: str

    def iterfind(self, path: str, names: Mapping[str, str], /) -> Iterator[XmlElement]:
        """The elements under the path, in the order of the document."""

    def findtext(self, path: str, default: str, names: Mapping[str, str], /) -> str | None:
        """The text of the first element under the path."""

    def get(self, name: str, default: str, /) -> str:
        """The value of an attribute."""


def parse(data: bytes, name: str) -> XmlElement:
    """The root element. Raises ReceivedUnreadableError with a sentence."""
    if len(data) > MOST_BYTES:
        raise ReceivedUnreadableError(name=name, why=_("its XML is larger than 5 MB."))
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError) as fault:
        raise ReceivedUnreadableError(name=name, why=_ill_formed(data, fault)) from fault
    if root.getroottree().docinfo.internalDTD is not None:
        why = _("it has a document type declaration, which an e-invoice never has.")
        raise ReceivedUnreadableError(name=name, why=why)
    found: XmlElement = root
    return found


def _ill_formed(data: bytes, fault: Exception) -> str:
    """The reader's own words are English and for programmers: the place in the file says more."""
    if not data.strip():
        return _("it is empty.")
    line, column = getattr(fault, "position", (None, None))
    if not line:
        return _("it is no well-formed XML.")
    why = _("it is no well-formed XML: the reading stops in line %(line)s at sign %(column)s.")
    return why % {"line": line, "column": column}


@dataclass(frozen=True)
class Part:
    """An element, asked by paths; what is missing is empty, zero or None."""

    element: XmlElement
    namespaces: Mapping[str, str]
    name: str

    def parts(self, path: str) -> Iterator[Part]:
        """The elements at that path, in the order of the file."""
        for element in self.element.iterfind(path, self.namespaces):
            yield Part(element, self.namespaces, self.name)

    def part(self, path: str) -> Part | None:
        """The first element at that path; None when there is none."""
        return next(self.parts(path), None)

    def text(self, path: str) -> str:
        """The words at that path, white space drawn together; empty when there are none."""
        found = self.element.findtext(path, "", self.namespaces)
        return " ".join((found or "").split())

    def number(self, path: str) -> Decimal | None:
        """The exact number at that path; None when nothing stands there.

        Raises ReceivedUnreadableError for words, for powers of ten and for absurd lengths.
        """
        words = self.text(path)
        if not words:
            return None
        if not NUMBER.fullmatch(words):
            why = _("“%(words)s” is no number.") % {"words": words[:40]}
            raise ReceivedUnreadableError(name=self.name, why=why)
        return Decimal(words)

    def amount(self, path: str) -> Decimal:
        """As ``number``, but nothing is 0.00."""
        return self.number(path) or NOTHING

    def day(self, path: str) -> dt.date | None:
        """The day at that path, YYYYMMDD (CII) or YYYY-MM-DD (UBL); None when nothing stands there.

        Raises ReceivedUnreadableError when it is no day.
        """
        words = self.text(path)
        if not words:
            return None
        try:
            return (
                dt.datetime.strptime(words, DAYS.get(len(words), "")).replace(tzinfo=dt.UTC).date()
            )
        except ValueError as fault:
            why = _("“%(words)s” is no date.") % {"words": words[:40]}
            raise ReceivedUnreadableError(name=self.name, why=why) from fault


def vat_of(stated: Iterable[Part], *, currency: str, sums: Part | None) -> Decimal | None:
    """The tax in the currency of the invoice; it may be said once more in that of the books."""
    for one in stated:
        if one.element.get("currencyID", currency) == currency:
            return one.number(".")
    return NOTHING if sums else None
