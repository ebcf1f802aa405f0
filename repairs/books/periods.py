"""Years, quarters and months of the books, as an address names them: 2026, 2026-Q4, 2026-11."""

from __future__ import annotations

import calendar
import datetime as dt
import re
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.translation import gettext as _

KEY = re.compile(r"(20\d\d)(?:-(?:Q([1-4])|(0[1-9]|1[0-2])))?")


@dataclass(frozen=True)
class Period:
    """From one day to another, both included, under the name that its address bears."""

    key: str
    first: dt.date
    last: dt.date

    @classmethod
    def year(cls, year: int) -> Period:
        """The whole calendar year."""
        return cls(str(year), dt.date(year, 1, 1), dt.date(year, 12, 31))

    @classmethod
    def months(cls, key: str, year: int, first: int, last: int) -> Period:
        """From the first day of one month to the last day of another of the same year."""
        end = calendar.monthrange(year, last)[1]
        return cls(key, dt.date(year, first, 1), dt.date(year, last, end))

    @classmethod
    def quarter(cls, year: int, number: int) -> Period:
        """The first to the fourth three months of a year."""
        last = 3 * number
        return cls.months(f"{year}-Q{number}", year, last - 2, last)

    @classmethod
    def month(cls, year: int, number: int) -> Period:
        """One month, January being the first."""
        return cls.months(f"{year}-{number:02d}", year, number, number)

    @property
    def days(self) -> tuple[dt.date, dt.date]:
        """First and last day, as the books take them."""
        return self.first, self.last

    @property
    def words(self) -> str:
        """The period as a reader of the language in force says it."""
        if "Q" in self.key:
            quarter = {"quarter": self.key[-1], "year": self.first.year}
            return _("quarter %(quarter)s of %(year)s") % quarter
        if "-" in self.key:
            return str(date_format(self.first, "YEAR_MONTH_FORMAT"))
        return self.key


def period_of(key: str) -> Period | None:
    """The period of that name; None for any other words."""
    found = KEY.fullmatch(key)
    if found is None:
        return None
    year, quarter, month = int(found[1]), found[2], found[3]
    if quarter:
        return Period.quarter(year, int(quarter))
    return Period.month(year, int(month)) if month else Period.year(year)


def periods_of(year: int) -> list[Period]:
    """The year itself, its quarters and its months."""
    quarters = (Period.quarter(year, number) for number in range(1, 5))
    months = (Period.month(year, number) for number in range(1, 13))
    return [Period.year(year), *quarters, *months]
