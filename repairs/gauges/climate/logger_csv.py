"""The file of a climate logger, read without loss: what cannot be used is counted and named.

Any of ``;``, ``,`` or a tab between the cells, decimal point or comma, lines of talk before the
names of the columns, names in ten languages, ISO dates or day first or month first, one column for
the time or two. A cell that is neither a number nor an empty one is refused with its line.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Sequence
from typing import Any

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate.log import Cells, Log
from repairs.gauges.climate.logger_rows import log_of

VERSION = "climate_csv 1"

MOST_ROWS = 5_000_000
HEADER_LINES = 60

_NAMES = {
    "time": (
        "datetime timestamp datetimestamp dateandtime zeitstempel datumzeit datumuhrzeit "
        "dateheure dateetheure horodatage horodate fechahora fechayhora dataora dataeora datumtijd "
        "datahora dataehora dataczas datetimeutc recordedat"
    ),
    "date": "date datum fecha data jour day tag dato",
    "clock": "time zeit uhrzeit heure hora ora tijd hour tid czas",
    "rh": (
        "rh hr rf rv ur humidity relativehumidity humrel relhumidity humidite humiditerelative "
        "hygrometrie luftfeuchte luftfeuchtigkeit relluftfeuchte relativeluftfeuchte relfeuchte "
        "relativefeuchte relativeluftfeuchtigkeit feuchte feuchtigkeit humedad humedadrelativa "
        "umidita umiditarelativa luchtvochtigheid vochtigheid relatieveluchtvochtigheid humidade "
        "humidaderelativa wilgotnosc wilgotnoscwzgledna rhpct hum luftfuktighet"
    ),
    "t": (
        "t temp temperature temperatur lufttemperatur airtemperature temperatura temperatuur "
        "temperaturedelair celsius tc temperaturec"
    ),
}
COLUMNS = {name: kind for kind, names in _NAMES.items() for name in names.split()}
_ASIDE = re.compile(r"\(.*?\)|\[.*?\]")
_FAHRENHEIT = re.compile(r"°\s*F|fahrenheit", re.IGNORECASE)


def decode(data: bytes) -> str:
    """Return the text of a logger's file: UTF-8 or UTF-16 by its mark, else UTF-8, else Latin."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def read_csv(text: str, *, day_first: bool | None = None) -> Log:
    """Return the log in ``text``. ``day_first`` settles dates as 03/04/2025; None looks for itself.

    Raises GaugeInputError naming the column and the line (counted from 1 with the header): no
    known columns, a cell that is no number, no date, a humidity outside 0…100 %, a short line.
    """
    lines = text.lstrip("\ufeff").splitlines()
    start, separator, header, found = _header(lines)
    return log_of(_cells(lines, start, separator, header, found), day_first)


def read_rows(rows: Sequence[Any], *, day_first: bool | None = None) -> Log:
    """Return the log of rows ``[time, rh_pct]`` or ``[time, rh_pct, t_c]``; lines count from 1."""
    if len(rows) > MOST_ROWS:
        raise GaugeInputError("too_many", field="rows", value=len(rows), limit=MOST_ROWS)
    for line, row in enumerate(rows, 1):
        if isinstance(row, str) or not isinstance(row, Sequence) or not 2 <= len(row) <= 3:
            raise GaugeInputError("missing", field="rows", row=line)
    text = [["" if cell is None else str(cell) for cell in row] for row in rows]
    temperatures = [row[2] if len(row) == 3 else "" for row in text]
    names = ("time", "rh_pct", "t_c")
    times, rh = [row[0] for row in text], [row[1] for row in text]
    lines = range(1, len(text) + 1)
    return log_of(Cells(times, None, rh, temperatures, lines, names, "", False), day_first)


def _header(lines: Sequence[str]) -> tuple[int, str, list[str], dict[str, int]]:
    """Find the line that names the columns: its number from 0, separator, cells and places."""
    best: list[str] = []
    for number, line in enumerate(lines[:HEADER_LINES]):
        for separator in ("\t", ";", ","):
            cells = _split(line, separator)
            found = _places(cells)
            if "rh" in found and ("time" in found or "date" in found):
                return number, separator, cells, found
            best = max(best, cells, key=len)
    seen = ", ".join(cell.strip() for cell in best[:8]) or "nothing"
    raise GaugeInputError("no_column", field="time, rh", known=seen)


def _split(line: str, separator: str) -> list[str]:
    """The cells of one line; none of a line that is no table at all (a cell of 131 072 signs)."""
    try:
        return next(csv.reader([line], delimiter=separator), [])
    except csv.Error:
        return []


def _places(cells: Sequence[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for place, cell in enumerate(cells):
        kind = COLUMNS.get(_bare(cell)) or COLUMNS.get(_bare(_ASIDE.sub("", cell)))
        if kind is not None:
            found.setdefault(kind, place)
    if "clock" in found and not {"time", "date"} & found.keys():
        found["time"] = found.pop("clock")
    if "time" in found:
        found.pop("clock", None)
        found.pop("date", None)
    return found


def _bare(cell: str) -> str:
    """Small letters without accents, signs and units: ``Humidité rel. [%]`` → ``humiditerel``."""
    apart = unicodedata.normalize("NFKD", cell.lower().replace("°c", "").replace("ł", "l"))
    return "".join(c for c in apart if "a" <= c <= "z")


def _cells(
    lines: Sequence[str], start: int, separator: str, header: list[str], found: dict[str, int]
) -> Cells:
    body = lines[start + 1 :]
    if len(body) > MOST_ROWS:
        raise GaugeInputError("too_many", field="rows", value=len(body), limit=MOST_ROWS)
    numbers: Sequence[int] = range(start + 2, start + 2 + len(body))
    width = len(header)
    columns = _quick(body, separator, width)
    if columns is None:
        rows, numbers = _even(body, numbers, separator, width, max(found.values()) + 1)
        columns = [[row[place] for row in rows] for place in range(max(found.values()) + 1)]
    names = tuple(
        header[found[k]].strip() for k in ("time", "date", "clock", "rh", "t") if k in found
    )
    return Cells(
        columns[found["time" if "time" in found else "date"]],
        columns[found["clock"]] if "clock" in found else None,
        columns[found["rh"]],
        columns[found["t"]] if "t" in found else None,
        numbers,
        names,
        separator,
        "t" in found and _FAHRENHEIT.search(header[found["t"]]) is not None,
    )


def _quick(body: Sequence[str], separator: str, width: int) -> list[list[str]] | None:
    """The columns of a file whose lines all have ``width`` cells and no quotes, else None.

    One join and one split make no list for each line, which is most of the time in long files.
    """
    if not body or {line.count(separator) for line in body} != {width - 1}:
        return None
    flat = separator.join(body)
    if '"' in flat:
        return None
    cells = flat.split(separator)
    return [cells[place::width] for place in range(width)]


def _even(
    body: Sequence[str], numbers: Sequence[int], separator: str, width: int, least: int
) -> tuple[list[list[str]], list[int]]:
    """Leave out empty lines; refuse a line that is too short, or longer by more than empty cells.

    A decimal comma in a file with commas between its cells shows itself as a line too long.
    """
    kept, lines = [], []
    for text, number in zip(body, numbers, strict=True):
        row = _split(text, separator)
        if not any(cell.strip() for cell in row):
            continue
        if len(row) < least or any(cell.strip() for cell in row[width:]):
            raise GaugeInputError("cells", field="row", row=number, value=len(row), limit=width)
        kept.append(row)
        lines.append(number)
    return kept, lines
