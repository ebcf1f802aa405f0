"""What an estimate says where: page one, which is weighed and signed, and the detail after it.

Pure: from the frozen estimate to what stands on its pages. A text that is too long for page one is
opened there and stands whole in the detail; whatever stands whole on page one is not said again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from repairs.estimates.document import EstimateContent, LineBlock, OptionBlock, ProcedureBlock
from repairs.estimates.models import OptionLine
from repairs.language.openings import opening

SIDE_BY_SIDE, A_ROW = 4, 3  # so many stand in one row; of more three by three
LETTERS = {1: 480, 2: 260, 3: 180, 4: 130}  # of a text, by the number of options beside each other
INTRO_LETTERS = 360
MOST_WORKS = 7


@dataclass(frozen=True)
class Works:
    """The works of an option: what it has of an earlier one is said by that one's number."""

    like: int
    lines: tuple[LineBlock, ...]
    more: int


@dataclass(frozen=True)
class WeighedRow:
    """One row of the options side by side; a cell an option, whose shape ``kind`` tells."""

    kind: str
    label: str
    cells: tuple[str | Works | OptionBlock, ...]


@dataclass(frozen=True)
class Weighed:
    """Options that stand side by side, row by row."""

    options: tuple[OptionBlock, ...]
    rows: tuple[WeighedRow, ...]


@dataclass(frozen=True)
class DetailRow:
    """One line of the offer, the options that contain it; findings and procedure told once.

    ``findings`` have words where nothing before said what the number means.
    """

    line: LineBlock
    options: tuple[int, ...]
    findings: tuple[tuple[int, str], ...]
    procedure: ProcedureBlock | None


@dataclass(frozen=True)
class Told:
    """A text that page one has no room for: its name, and what is said of each option."""

    label: str
    words: tuple[tuple[int, str], ...]


def weighed(options: Sequence[OptionBlock]) -> tuple[Weighed, ...]:
    """The options side by side, or in rows of three where they are many."""
    beside = len(options) if len(options) <= SIDE_BY_SIDE else A_ROW
    starts = range(0, len(options), beside or 1)
    rows = (tuple(options[start : start + beside]) for start in starts)
    return tuple(Weighed(row, _rows(row, options)) for row in rows)


def _rows(beside: tuple[OptionBlock, ...], every: Sequence[OptionBlock]) -> tuple[WeighedRow, ...]:
    most = LETTERS[len(beside)]

    def texts(label: str, said: Callable[[OptionBlock], str]) -> WeighedRow:
        return WeighedRow("text", label, tuple(opening(said(one), most) for one in beside))

    works = tuple(_works(one, every) for one in beside)
    grave = any(one.irreversible or one.sampling for one in beside)
    rows = (
        texts(_("What it gives"), lambda one: one.promise),
        WeighedRow("works", _("Work"), works if any(map(_says, works)) else ()),
        texts(_("Not included"), lambda one: one.left_out or _("Whatever is not named above.")),
        texts(_("Risk"), lambda one: one.risk),
        WeighedRow("for_good", _("Cannot be undone"), beside if grave else ()),
        WeighedRow("sum", _("Never more without a new consent"), beside),
    )
    return tuple(row for row in rows if any(row.cells))


def _says(works: Works) -> bool:
    return bool(works.like or works.lines)


def _works(option: OptionBlock, every: Sequence[OptionBlock]) -> Works:
    """The works of the option beyond those of the earlier one that gives it the most."""
    own = _done(option)
    best, shared = 0, 0
    for other in every:
        if other.number == option.number:
            break
        theirs = _done(other)
        if len(theirs) > shared and all(line in own for line in theirs):
            best, shared = other.number, len(theirs)
    given = _done(every[best - 1]) if best else ()
    lines = tuple(line for line in own if line not in given)
    return Works(best, lines[:MOST_WORKS], len(lines[MOST_WORKS:]))


def _done(option: OptionBlock) -> tuple[LineBlock, ...]:
    """What is done, by us or by others; materials follow in the detail where there is any work."""
    done = tuple(line for line in option.lines if line.kind != OptionLine.Kind.MATERIAL)
    return done or option.lines


def meant(content: EstimateContent) -> tuple[tuple[int, str], ...]:
    """The findings that are answered and that a photo of page one shows: numbers and words."""
    shown = {mark.number for picture in content.pictures for mark in picture.marks}
    lines = (line for option in content.options for line in option.lines)
    named = {number: words for line in lines for number, words in line.findings}
    return tuple((number, named[number]) for number in sorted(shown & named.keys()))


def detail(content: EstimateContent) -> tuple[DetailRow, ...]:
    """Every line once, in the order in which it is first offered."""
    found: dict[LineBlock, list[int]] = {}
    for option in content.options:
        for line in option.lines:
            found.setdefault(line, []).append(option.number)
    procedures = {one.title: one for one in content.procedures}
    named = {number for number, _words in meant(content)}
    rows = []
    for line, numbers in found.items():
        findings = tuple((n, "" if n in named else words) for n, words in line.findings)
        named |= {number for number, _words in findings}
        told = procedures.pop(line.title, None)
        rows.append(DetailRow(line, tuple(dict.fromkeys(numbers)), findings, told))
    return tuple(rows)


def stops(content: EstimateContent) -> tuple[tuple[int, str], ...]:
    """Where the workshop stops and asks: one sentence for all (number 0), or one an option."""
    options = content.options
    if len(options) == 1:
        return ((0, options[0].stop_words),)
    if all(one.totals.stop_at >= one.totals.ceiling for one in options):
        words = _(
            "We stop and ask you before the bill passes the sum that stands in your option, tax "
            "included. You never pay more than that without a new consent."
        )
        return ((0, words),)
    return tuple((one.number, one.stop_words) for one in options)


def opened_intro(content: EstimateContent) -> str:
    """What is said to the owner first, or its first sentences."""
    return opening(content.intro, INTRO_LETTERS)


def told_in_full(content: EstimateContent) -> tuple[Told, ...]:
    """What page one has no room for, and whether each option can be undone."""
    options = content.options
    most = LETTERS[len(options) if len(options) <= SIDE_BY_SIDE else A_ROW]
    intro = content.intro if len(content.intro) > INTRO_LETTERS else ""
    rows = (
        Told(_("To the owner"), ((0, intro),) if intro else ()),
        _told(_("What it gives"), options, lambda one: one.promise, most),
        _told(_("Not included"), options, lambda one: one.left_out, most),
        _told(_("Risk"), options, lambda one: one.risk, most),
        _told(_("Reversibility"), options, lambda one: one.reversibility, 0),
    )
    return tuple(row for row in rows if row.words)


def _told(
    label: str, options: Iterable[OptionBlock], said: Callable[[OptionBlock], str], most: int
) -> Told:
    return Told(label, tuple((one.number, said(one)) for one in options if len(said(one)) > most))
