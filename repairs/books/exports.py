"""Files for the accountant: a plain CSV, and the French layout of article A47 A-1 of the LPF.

Columns, order, dates as YYYYMMDD and the comma in amounts stand in A47 A-1 VI, VII, IX (text read
as republished at juriblio.fr). It names ASCII, ISO 8859-15 and EBCDIC; whether the tax office’s
program takes the UTF-8 written here was not verified. Ours is a sub-ledger: no purchases and no
opening balances, so that the accountant’s program makes the FEC that is handed in.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from repairs.books.books import Books, Sale, VatLine
from repairs.books.ledger import Entry, entries
from repairs.books.refusals import NothingToBookError
from repairs.people.house_models import House

FEC_COLUMNS = (
    "JournalCode",
    "JournalLib",
    "EcritureNum",  # one sequence for the year, in the order of writing down
    "EcritureDate",
    "CompteNum",
    "CompteLib",
    "CompAuxNum",  # the client, on accounts of clients only
    "CompAuxLib",
    "PieceRef",  # number and day of the invoice, for its payments too
    "PieceDate",
    "EcritureLib",
    "Debit",
    "Credit",
    "EcritureLet",  # see books.lettering
    "DateLet",
    "ValidDate",  # when it was written down, which may be later than its day
    "Montantdevise",  # empty: the books know one currency
    "Idevise",
)
# OWASP, “CSV Injection”: also as full-width letters, which spreadsheets read alike.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def fec(year: int, *, lettered: bool = True) -> bytes:
    """The entries of a year in the French layout. Raises NothingToBookError for an empty year.

    The letters are those of today; without them the file of a closed year is always the same.
    """
    found = entries(year)
    if not found:
        raise NothingToBookError(**_period(dt.date(year, 1, 1), dt.date(year, 12, 31)))
    rows = [FEC_COLUMNS, *(row for entry in found for row in _fec_rows(entry, lettered))]
    # No rounding here: every amount was rounded once in its own line, and a sum of rounded lines is
    # what the accountant's program will get too.
    # An apostrophe before a name stays within the layout: A47 A-1 leaves the content of labels
    # free, and dates, accounts and amounts never begin so.
    return "".join("\t".join(map(_fec_cell, row)) + "\r\n" for row in rows).encode()


def fec_name(year: int) -> str:
    """SIREN, “FEC” and the last day of the year, as the layout wants it."""
    # A SIRET is the SIREN of the firm and five digits of the place; the file is named by the firm.
    siren = "".join(sign for sign in House.present().company_number if sign.isdigit())[:9]
    return f"{siren or 'SIREN'}FEC{year}1231.txt"


def _fec_rows(entry: Entry, lettered: bool) -> Iterator[tuple[str, ...]]:
    for line in entry.lines:
        letter = line.letter if lettered else None
        yield (
            entry.journal,
            entry.journal_label,
            str(entry.number),
            f"{entry.day:%Y%m%d}",
            line.account,
            line.account_label,
            line.client,
            line.client_name,
            entry.piece,
            f"{entry.piece_day:%Y%m%d}",
            entry.label,
            _comma(line.debit),
            _comma(line.credit),
            letter.code if letter else "",
            f"{letter.day:%Y%m%d}" if letter else "",
            f"{localtime(entry.written_at):%Y%m%d}",
            "",
            "",
        )


def sales_csv(period: Books) -> bytes:
    """The journal of sales, one line for each paper and tax, for any spreadsheet."""
    if not period.sales:
        raise NothingToBookError(**_period(period.first, period.last))
    head = (
        _("date"),
        _("number"),
        _("kind"),
        _("client"),
        _("country"),
        pgettext("in the books", "part"),
        _("category"),
        _("rate %"),
        _("net"),
        _("VAT"),
        _("with VAT"),
    )
    return _as_csv([head, *(row for sale in period.sales for row in _sale_rows(sale))])


def _sale_rows(sale: Sale) -> Iterator[tuple[str, ...]]:
    invoice = sale.invoice
    for row in invoice.tax_rows.all():
        yield (
            invoice.issued_on.isoformat(),
            invoice.number,
            str(invoice.get_kind_display()),
            invoice.client.name,
            invoice.client.country,
            str(row.get_part_display()),
            row.category,
            _comma(row.rate_pct),
            _comma(row.base),
            _comma(row.tax),
            _comma(row.base + row.tax),
        )


def vat_csv(period: Books) -> bytes:
    """Both tables, told apart by the first column: by day of issue, and of what was received."""
    if not (period.vat or period.received):
        raise NothingToBookError(**_period(period.first, period.last))
    head = (
        pgettext("in the books", "table"),
        _("category"),
        _("what it is"),
        _("rate %"),
        _("net"),
        _("VAT"),
    )
    issued = pgettext("table of VAT", "by day of issue")
    received = pgettext("table of VAT", "received")
    rows = [*_vat_rows(issued, period.vat), *_vat_rows(received, period.received)]
    return _as_csv([head, *rows])


def _vat_rows(table: str, lines: Iterable[VatLine]) -> Iterator[tuple[str, ...]]:
    for line in lines:
        figures = map(_comma, (line.rate_pct, line.base, line.tax))
        yield (table, line.category, line.label, *figures)


def _as_csv(rows: Iterable[tuple[str, ...]]) -> bytes:
    """Semicolons, a comma in numbers and a byte order mark: what French spreadsheets open."""
    text = io.StringIO()
    csv.writer(text, delimiter=";").writerows([_harmless(cell) for cell in row] for row in rows)
    return text.getvalue().encode("utf-8-sig")


def _harmless(cell: str) -> str:
    """A name that a spreadsheet would reckon as a formula is marked as text; numbers are not."""
    is_number = cell[1:].replace(",", "").isdigit()
    # A client may call himself “=HYPERLINK(…)”: opened in a spreadsheet that is a program, not a
    # name.
    return f"'{cell}" if cell.startswith(FORMULA_STARTS) and not is_number else cell


def _fec_cell(words: str) -> str:
    return _harmless(_one_cell(words))


def _one_cell(words: str) -> str:
    """A tab or a line break would shift every column after it."""
    return " ".join(words.split())


def _comma(amount: Decimal) -> str:
    return f"{amount:.2f}".replace(".", ",")


def _period(first: dt.date, last: dt.date) -> dict[str, str]:
    return {
        "first": date_format(first, "DATE_FORMAT"),
        "last": date_format(last, "DATE_FORMAT"),
    }
