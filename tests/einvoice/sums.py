"""The sums of an invoice by name, and one of our invoices with other lines."""

from __future__ import annotations

import dataclasses

from repairs.einvoice.document import Line
from tests.einvoice.samples import TWO_RATES

NAMES = ("lines_net", "net", "vat", "gross", "due")


def with_lines(*lines: Line, **fields):
    return dataclasses.replace(TWO_RATES, lines=lines, deposits=(), **fields)
