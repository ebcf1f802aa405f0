"""The words of a report beside the numbers that it carries: the pages say the figures as carried.

Compared are the figures of readings, value, uncertainty and verdict: words that any release writes
alike. What else the pages say in words may be said otherwise by a later release.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import Any

from repairs.language.text import labelled
from repairs.papers.carried.document import FigureData, ReadingData, ReportData
from repairs.readings.show import digits, unit_words


def unlike_printed(data: ReportData, content: object) -> Iterator[Mapping[str, str | int]]:
    """Figures that the pages say otherwise than the data, in the language in force."""
    printed = _printed(content)
    for reading in data.readings:
        for figure in reading.figures:
            said = printed.get((reading.number, figure.label), [])
            ours = (figure_words(figure), digits(figure.u, figure.digits), figure.verdict)
            if said and ours not in said:
                yield _unlike(reading, figure, said[0], ours)


def figure_words(figure: FigureData) -> str:
    """“0.200 mm”, as the page says it."""
    return f"{digits(figure.value, figure.digits)} {unit_words(figure.unit)}".strip()


def _unlike(
    reading: ReadingData, figure: FigureData, said: tuple[str, ...], ours: tuple[str, ...]
) -> Mapping[str, str | int]:
    return {
        "reading": reading.number,
        "figure": figure.key,
        "what": labelled(f"{reading.number} · {reading.title}", figure.label),
        "printed": " · ".join(word for word in said if word),
        "carried": " · ".join(word for word in ours if word),
    }


def _printed(content: object) -> Mapping[tuple[Any, Any], list[tuple[str, str, str]]]:
    """Value, uncertainty and verdict that the pages say, by reading and label.

    Two strings may bear one name, and then a label stands twice.
    """
    found = defaultdict(list)
    for reading in _list(content, "readings"):
        for figure in _list(reading, "figures"):
            key = reading.get("number"), figure.get("label")
            words = (str(figure.get(name, "")) for name in ("value", "u", "word"))
            found[key].append((next(words), next(words), next(words)))
    return found


def _list(holder: Any, name: str) -> list[dict[str, Any]]:
    rows = holder.get(name) if isinstance(holder, dict) else None
    return [row for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []
