"""Files and functions stay so short that they can be read in one go."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

ROOT = Path(settings.BASE_DIR)
USUAL_LINES = 250  # of 19 files in 20
MOST_LINES = 400
FUNCTION_LINES = 30
# Formulas with their docstrings of units and sources, and the story of the demo, told in order.
LONG_FUNCTION_LINES = 60
LONG_FUNCTIONS = ("repairs/gauges/", "repairs/demo/")
APP = ("repairs", "workshop")


def files(*folders: str) -> dict[str, str]:
    """The source of each module by its place; migrations are written by a program."""
    found = (file for folder in folders for file in (ROOT / folder).rglob("*.py"))
    places = {file.relative_to(ROOT).as_posix(): file for file in found}
    return {
        place: file.read_text(encoding="utf-8")
        for place, file in sorted(places.items())
        if "/migrations/" not in place
    }


def longer(sources: dict[str, str], lines: int) -> dict[str, int]:
    lengths = {place: len(source.splitlines()) for place, source in sources.items()}
    return {place: length for place, length in lengths.items() if length > lines}


def functions(source: str) -> Iterator[tuple[str, int]]:
    """Yield (name, lines) of each function, its docstring with it, its decorators not."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno is not None
            yield node.name, node.end_lineno - node.lineno + 1


def allowed(place: str) -> int:
    return LONG_FUNCTION_LINES if place.startswith(LONG_FUNCTIONS) else FUNCTION_LINES


def too_long(sources: dict[str, str]) -> list[str]:
    """Each function above what is allowed where it stands."""
    return [
        f"{place}: {name} has {lines} lines, {allowed(place)} are allowed"
        for place, source in sources.items()
        for name, lines in functions(source)
        if lines > allowed(place)
    ]


def test_nineteen_files_in_twenty_have_250_lines_at_most():
    sources = files(*APP, "tests")

    assert len(sources) > 800
    above = longer(sources, USUAL_LINES)
    assert len(above) <= len(sources) // 20, above


def test_no_file_has_more_than_400_lines():
    assert longer(files(*APP, "tests"), MOST_LINES) == {}


def test_no_function_of_the_app_is_longer_than_can_be_read_in_one_go():
    assert too_long(files(*APP)) == []


@pytest.mark.parametrize(
    ("place", "lines", "found"),
    [
        ("repairs/cases/actions.py", 30, []),
        ("repairs/cases/actions.py", 31, ["sing has 31 lines, 30 are allowed"]),
        ("workshop/prepare.py", 31, ["sing has 31 lines, 30 are allowed"]),
        ("repairs/gauges/wheel/gauge.py", 60, []),
        ("repairs/gauges/wheel/gauge.py", 61, ["sing has 61 lines, 60 are allowed"]),
        ("repairs/demo/work.py", 61, ["sing has 61 lines, 60 are allowed"]),
    ],
)
def test_one_line_more_than_is_allowed_is_told_with_its_place(place, lines, found):
    body = "\n".join(["    class Voice:", "        async def sing(self):"])
    source = f"def outer():\n{body}\n" + "            pass\n" * (lines - 1)

    told = [one for one in too_long({place: source}) if ": sing " in one]

    assert told == [f"{place}: {one}" for one in found]
