"""The days of the small books: an invoice of March, and the month after it."""

from __future__ import annotations

import datetime as dt

YEAR = 2025
AT = dt.datetime(YEAR, 3, 10, 9, 0, tzinfo=dt.UTC)
MARCH, APRIL = dt.date(YEAR, 3, 10), dt.date(YEAR, 4, 10)
