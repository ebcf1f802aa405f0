"""What ``read_paper`` says of a paper: all that it carries, each figure as stated and as computed.

Nothing here asks a database: an empty data folder is enough, in thirty years as well.
"""

from __future__ import annotations

import dataclasses
import hashlib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.language.text import labelled, spoken
from repairs.papers.blocks.typed_document import AnnexBlock, TypedBlock
from repairs.papers.carried.achieved import changes_checked, promises_checked
from repairs.papers.carried.document import FileData, ReportData
from repairs.papers.carried.moved import Moved, moved_values
from repairs.papers.carried.opened import Opened, open_paper
from repairs.papers.carried.printed import unlike_printed
from repairs.papers.carried.recompute import Checked, Outcome, figures_checked, outcomes_of
from repairs.papers.carried.refusals import DataIncompleteError
from repairs.papers.carried.shape import ShapeError, shaped
from repairs.papers.carried.values import values_words

CARRYING = ("condition_report", "treatment_report")  # kinds of paper whose data has figures
MOST_NAMED = 5


@dataclass(frozen=True, kw_only=True)
class Told:
    """All that can be said of one paper. ``sentences`` are what a person should read."""

    file: str
    paper: Mapping[str, Any]
    figures: Sequence[Checked] = ()
    moved: Sequence[Moved] = ()
    unlike: Sequence[Mapping[str, str | int]] = ()
    files: Sequence[Mapping[str, str]] = ()
    sentences: Sequence[str] = field(default_factory=tuple)
    is_earlier: bool = False

    @property
    def counts(self) -> Mapping[str, int]:
        """How many figures agree, differ, or could not be computed anew."""
        counts = Counter(one.result for one in self.figures)
        return {word: counts[word] for word in ("agree", "differ", "not_recomputed")}

    @property
    def is_good(self) -> bool:
        """Whether every figure was computed anew and agrees, and nothing was moved."""
        bad = self.counts["differ"] + self.counts["not_recomputed"]
        lost = any(one["result"] != "agree" for one in self.files)
        return not (bad or lost or self.moved or self.unlike or self.is_earlier)

    def data(self) -> dict[str, Any]:
        """The same for another program; the paper itself, as it is carried, comes last."""
        outside = ("format", "kind", "title", "reference", "language", "program", "seal")
        return {
            "file": self.file,
            **{key: self.paper.get(key) for key in outside},
            "counts": dict(self.counts),
            "figures": [_plain(one) for one in self.figures],
            "moved": [dataclasses.asdict(one) for one in self.moved],
            "unlike_printed": list(self.unlike),
            "files": list(self.files),
            "sentences": list(self.sentences),
            "paper": self.paper,
        }


def _plain(one: Checked) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "reading" if one.kind == "figure" else "work": one.of,
        "gauge": one.gauge,
        "figure": one.figure,
        "label": one.label,
        "unit": one.unit,
        "stated": dict(one.stated),
        "recomputed": None if one.recomputed is None else dict(one.recomputed),
        "result": one.result,
        "why": one.why,
    }


def told_of(pdf: bytes, name: str) -> Told:
    """Read the paper and compute it anew. Raises a PaperUnreadableError when that cannot be."""
    opened = open_paper(pdf, name)
    if opened.is_earlier:
        return _earlier(opened, name)
    if "data" not in opened.data and opened.data.get("kind") not in CARRYING:
        words = _("This kind of paper carries no readings: there is nothing to compute anew.")
        return Told(file=name, paper=opened.data, sentences=(words,))
    return _told(opened, name)


def _earlier(opened: Opened, name: str) -> Told:
    words = _(
        "This paper was issued by an earlier release, when papers carried their words and not what "
        "was typed (format “%(format)s”). It can be read here; no figure of it can be computed "
        "anew."
    )
    said = words % {"format": opened.data["format"]}
    return Told(file=name, paper=opened.data, sentences=(said,), is_earlier=True)


def _told(opened: Opened, name: str) -> Told:
    data = _data_of(opened, name)
    outcomes = outcomes_of(data, opened.files)
    figures = _all_checked(data, outcomes)
    differing = {one.of for one in figures if one.kind == "figure" and one.result != "agree"}
    annex = _annex_of(opened)
    # In the language of the paper, in which its words are to be compared.
    with translation.override(spoken(str(opened.data.get("language", "")))):
        unlike = list(unlike_printed(data, opened.data.get("content")))
        moved = [
            one
            for number, outcome in outcomes.items()
            for one in moved_values(outcome, annex, opened.files, differs=number in differing)
        ]
    told = Told(
        file=name,
        paper=opened.data,
        figures=figures,
        moved=moved,
        unlike=unlike,
        files=[_file(one, opened.files) for row in data.readings for one in row.raw.files],
    )
    titles = {row.number: labelled(row.title, row.subject) for row in data.readings}
    return dataclasses.replace(told, sentences=tuple(_sentences(told, titles)))


def _all_checked(data: ReportData, outcomes: Mapping[int, Outcome]) -> Sequence[Checked]:
    return [
        *(one for outcome in outcomes.values() for one in figures_checked(outcome)),
        *changes_checked(data.changes, outcomes),
        *promises_checked(data.promises, outcomes),
    ]


def _data_of(opened: Opened, name: str) -> ReportData:
    try:
        data = shaped(ReportData, opened.data.get("data"), "data")
        _check_numbers(data)
        _check_limits(data)
    except ShapeError as wrong:
        said = wrong.problems[:MOST_NAMED]
        if len(wrong.problems) > MOST_NAMED:
            said.append("…")
        raise DataIncompleteError(file=name, missing=", ".join(said)) from None
    return data


def _check_numbers(data: ReportData) -> None:
    """A number that stands twice would hide one of the two. Raises ShapeError."""
    numbers = {
        "readings": [row.number for row in data.readings],
        "findings": [row.number for row in data.findings],
        "photos": [row.number for row in data.photos],
    }
    for name, given in numbers.items():
        for number in (one for one, count in Counter(given).items() if count > 1):
            words = _("“%(place)s” has number %(number)s twice")
            raise ShapeError([words % {"place": f"data.{name}", "number": number}])


def _check_limits(data: ReportData) -> None:
    """A limit whose ends are exchanged can hold nothing. Raises ShapeError."""
    figures = [(one.key, one.lower, one.upper) for row in data.readings for one in row.figures]
    changes = [(one.figure, one.lower, one.upper) for one in data.changes]
    for name, lower, upper in (*figures, *changes):
        if lower is not None and upper is not None and lower > upper:
            words = _("“%(place)s” has its limits the wrong way round")
            raise ShapeError([words % {"place": name}])


def _annex_of(opened: Opened) -> Mapping[int, TypedBlock]:
    """What the annex prints, by the number of the reading; nothing where it is not whole."""
    content = opened.data.get("content")
    annex = content.get("annex") if isinstance(content, dict) else None
    try:
        blocks = shaped(tuple[AnnexBlock, ...], annex, "content.annex")
    except ShapeError:
        return {}
    return {block.number: block.typed for block in blocks}


def _file(one: FileData, files: Mapping[str, bytes]) -> dict[str, str]:
    if one.name not in files:
        result = "missing"
    else:
        same = hashlib.sha256(files[one.name]).hexdigest() == one.sha256
        result = "agree" if same else "differ"
    return {"name": one.name, "sha256": one.sha256, "result": result}


def _sentences(told: Told, titles: Mapping[int, str]) -> Iterator[str]:
    for one in told.figures:
        if one.result != "agree":
            yield _figure_words(one, titles)
    for moved in told.moved:
        yield _moved_words(moved, titles)
    for unlike in told.unlike:
        words = _("%(what)s: the page says “%(printed)s”, the data “%(carried)s”.")
        yield words % unlike
    yield _sum(told)


def _sum(told: Told) -> str:
    counts = told.counts
    words = ngettext(
        "%(count)s figure: %(agree)s agree, %(differ)s differ, %(left)s not computed anew.",
        "%(count)s figures: %(agree)s agree, %(differ)s differ, %(left)s not computed anew.",
        len(told.figures),
    )
    said = {"count": len(told.figures), "left": counts["not_recomputed"], **counts}
    return words % said


def _figure_words(one: Checked, titles: Mapping[int, str]) -> str:
    what = labelled(_place(one.kind, one.of, titles), one.label)
    if one.recomputed is None:
        return _("%(what)s – not computed anew. %(why)s") % {"what": what, "why": one.why}
    said = {
        "what": what,
        "stated": values_words(one.stated, one.recomputed, one.unit),
        "now": values_words(one.recomputed, one.stated, one.unit),
        "why": one.why,
    }
    words = _("%(what)s – stated %(stated)s, computed here %(now)s. %(why)s")
    return (words % said).strip()


def _place(kind: str, number: int, titles: Mapping[int, str]) -> str:
    if kind != "figure":
        return _("work %(number)s") % {"number": number}
    name = _("reading %(number)s") % {"number": number}
    title = titles.get(number, "")
    return f"{name} ({title})" if title else name


def _moved_words(one: Moved, titles: Mapping[int, str]) -> str:
    place = _place("figure", one.reading, titles)
    if one.row is not None:
        place = _("%(reading)s, row %(row)s") % {"reading": place, "row": one.row}
    said = {
        "where": labelled(place, one.label),
        "carried": one.carried,
        "printed": one.printed,
        "follows": one.follows,
    }
    if one.printed is None:
        words = _("%(where)s – “%(carried)s” is carried; the figures stated want “%(follows)s”.")
    elif one.follows is None:
        words = _("%(where)s – “%(carried)s” is carried; the annex prints “%(printed)s”.")
    else:
        words = _(
            "%(where)s – “%(carried)s” is carried; the annex prints “%(printed)s”, and the figures "
            "stated want “%(follows)s”."
        )
    return words % said
