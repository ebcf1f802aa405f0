"""The points that the record of a treatment must hold, one row each, named by a fixture.

Source: the European conservators' code (ECCO Code 2003, art. 8 to 10), the steps of EN 16853:2017,
CIMCIM 1993 and the checklist, as digested in the fixture. Every point has a row, even when nothing
is recorded.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.cases.compile import maker_words
from repairs.cases.models import Case, HandBack
from repairs.findings.models import Examination
from repairs.instruments.models import Part
from repairs.instruments.scales import scale_label
from repairs.language.dates import day_words
from repairs.language.text import labelled, lines_of, semicolons
from repairs.papers.blocks.document import FindingBlock, Row
from repairs.papers.blocks.treatment_document import BagLine, PairBlock, ReadingPair, WorkBlock
from repairs.papers.condition.report import CONDITION_REPORT
from repairs.papers.condition.units import row_of
from repairs.papers.treatment.weighed import Weighed
from repairs.photos.models import Photo
from repairs.press.models import Paper
from repairs.readings.models import Verdict
from repairs.storage.fixtures import read_fixture
from repairs.treatment.models import Intervention
from repairs.treatment.part_models import RemovedPart

MOST_NAMED = 3
MOST_NOT_DONE = 2


@dataclass(frozen=True, kw_only=True)
class Material:
    """Everything that the treatment report draws on."""

    case: Case
    examination: Examination | None
    weighed: Weighed
    hand_back: HandBack | None
    works: tuple[Intervention, ...]
    blocks: tuple[WorkBlock, ...]
    findings: Mapping[int, FindingBlock]
    left: tuple[FindingBlock, ...]
    not_done: tuple[str, ...]
    parts: tuple[Part, ...]
    removed: tuple[RemovedPart, ...]
    bags: tuple[BagLine, ...]
    photos: tuple[Photo, ...]
    pairs: tuple[PairBlock, ...]


@cache
def points() -> Mapping[str, Mapping[str, Any]]:
    return {row["key"]: row for row in read_fixture("vocabulary/treatment_points.json")}


def point(key: str, value: object, *, empty: str = "") -> Row:
    return row_of(points()[key], value, empty=empty)


def answer_rows(material: Material) -> tuple[Row, ...]:
    """The first page in ten lines."""
    case, instrument = material.case, material.case.instrument
    said = (maker_words(case), instrument.place_made, instrument.date_text)
    name = instrument.name or instrument.kind_label
    agreed = dict.fromkeys(block.agreement for block in material.blocks)
    return (
        point("object", ", ".join(part for part in (name, *said) if part)),
        point("owner", case.owner.name),
        point("purpose", labelled(case.reason_label, case.owner_words)),
        point("agreement", "\n".join(agreed)),
        point("work_done", "\n".join(_work_line(block) for block in material.blocks)),
        point("proof", _proof_words(material.blocks)),
        point("not_done", _first_of(material.not_done), empty=_("all that was agreed was done")),
        point("parts_kept", _bag_words(material.removed), empty=_("nothing was taken off")),
        point("next_check", day_words(_next_check(material)), empty=_("none agreed")),
        point("responsible", ", ".join(dict.fromkeys(block.signed for block in material.blocks))),
    )


def _work_line(block: WorkBlock) -> str:
    parts = ", ".join(block.parts)
    return f"{block.number} · {block.title}" + (f" ({parts})" if parts else "")


def _first_of(lines: tuple[str, ...]) -> str:
    """The first few; how many more there are is said."""
    more = len(lines) - MOST_NOT_DONE
    if more <= 0:
        return "\n".join(lines)
    rest = ngettext("and %(count)s more, see below", "and %(count)s more, see below", more)
    return "\n".join((*lines[:MOST_NOT_DONE], rest % {"count": more}))


def _proof_words(blocks: Iterable[WorkBlock]) -> str:
    """How the figures of the readings after the work lie; those outside by name."""
    pairs = _pairs_after(blocks)
    outside = [
        str(capfirst(labelled(pair.title, f"{figure.label} {figure.after}")))
        for pair in pairs
        for figure in pair.figures
        if figure.word == Verdict.Word.OUTSIDE
    ]
    return "\n".join((_count_words(pairs), *outside[:MOST_NAMED]))


def _pairs_after(blocks: Iterable[WorkBlock]) -> list[ReadingPair]:
    return [pair for block in blocks for pair in block.readings if pair.after]


def _count_words(pairs: Iterable[ReadingPair]) -> str:
    """How many figures lie inside, are doubtful, lie outside, and what was not permitted."""
    counts = Counter(figure.word for pair in pairs for figure in pair.figures)
    counts[Verdict.Word.INSIDE] += sum(pair.inside_unsaid for pair in pairs)
    refused = sum(1 for pair in pairs if pair.not_permitted)
    said = [
        _("%(count)s inside their limits") % {"count": counts[Verdict.Word.INSIDE]},
        _("%(count)s doubtful") % {"count": counts[Verdict.Word.DOUBTFUL]},
        _("%(count)s outside") % {"count": counts[Verdict.Word.OUTSIDE]},
    ]
    said = said if any(counts.values()) else []
    if unjudged := counts[Verdict.Word.NOT_JUDGED]:
        said.append(_("%(count)s not judged") % {"count": unjudged})
    if refused:
        said.append(_refused_words(refused))
    return ", ".join(said) or _("no reading after the work was asked for")


def _refused_words(count: int) -> str:
    words = ngettext(
        "%(count)s reading not made because not permitted",
        "%(count)s readings not made because not permitted",
        count,
    )
    return words % {"count": count}


def _bag_words(removed: Iterable[RemovedPart]) -> str:
    counts = Counter(str(piece.get_fate_display()) for piece in removed)
    return semicolons(f"{count} × {fate}" for fate, count in counts.items())


def _next_check(material: Material) -> Any:
    row = material.hand_back or material.examination
    return row.next_check_on if row else None


def before_rows(material: Material) -> tuple[Row, ...]:
    """What was known and decided before the first cut."""
    agreed = material.case.agreed_works.filter(superseded_at=None).select_related("version")
    return (
        point("significance", _significance(material)),
        point("condition_before", _condition(material)),
        point("goals", _goals(material)),
        point("options", material.weighed.options),
        point("risk", material.weighed.risk),
        point("plan", "\n".join(f"{one.number} · {one}" for one in agreed)),
        point("minimum", _minimum(material)),
        point("reversibility", _grades(material)),
    )


def _significance(material: Material) -> str:
    """Maker and date, how many parts are known as original, and what was laid down about it."""
    instrument = material.case.instrument
    kept = sum(1 for part in material.parts if part.originality == Part.Originality.ORIGINAL)
    original = ngettext("%(count)s part is original", "%(count)s parts are original", kept)
    known = original % {"count": kept} if kept else _("originality of its parts not recorded")
    said = (maker_words(material.case), instrument.date_text, known, instrument.restrictions)
    return semicolons(part for part in said if part)


def _condition(material: Material) -> str:
    look = material.examination
    grade = scale_label("overall_grade", look.overall_grade) if look and look.overall_grade else ""
    report = Paper.objects.current(CONDITION_REPORT.key, material.case.log_key)
    issued = (
        _("condition report of %(day)s, code %(code)s")
        % {"day": day_words(report.issued_at), "code": report.code}
        if report
        else _("no condition report was issued")
    )
    state = labelled(grade, look.overall_state if look else "")
    return "\n".join(part for part in (state, issued) if part)


def _goals(material: Material) -> str:
    look = material.examination
    proposed = look.proposal if look else ""
    purposes = dict.fromkeys(block.purpose for block in material.blocks if block.purpose)
    return "\n".join(part for part in (proposed, *purposes) if part)


def _minimum(material: Material) -> str:
    """How many findings were answered, and how many were left alone on purpose or for later."""
    every = len(material.findings)
    treated = every - len(material.left)
    words = ngettext(
        "%(treated)s of %(every)s findings was treated",
        "%(treated)s of %(every)s findings were treated",
        treated,
    )
    unasked = ", ".join(str(block.number) for block in material.blocks if block.is_emergency)
    rest = (
        _("done before the owner could be asked: work %(numbers)s") % {"numbers": unasked}
        if unasked
        else _("nothing was done that was not agreed")
    )
    return semicolons((words % {"treated": treated, "every": every}, rest))


def _grades(material: Material) -> str:
    return "\n".join(f"{block.number} · {_grade(block)}" for block in material.blocks)


def _grade(block: WorkBlock) -> str:
    """The grade alone, unless it would say more than what was done."""
    return block.grade if block.undoing.startswith(capfirst(block.grade)) else block.undoing


def record_rows(material: Material) -> tuple[Row, ...]:
    """The record of the work, point by point; the details stand with each piece of work."""
    blocks = material.blocks
    new = [part for block in blocks for part in block.new_parts]
    lots = [use for block in blocks for use in block.materials]
    told = semicolons(labelled(part.description, part.marking or _("not marked")) for part in new)
    said = dict.fromkeys(f"{use.name} ({use.lot})" if use.lot else use.name for use in lots)
    return (
        point("work_log", _minutes(blocks)),
        point("climate", semicolons(dict.fromkeys(b.climate for b in blocks if b.climate))),
        point("materials", semicolons(said), empty=_("none was used")),
        point("new_parts", told, empty=_("none was put in")),
        point("removed_register", _register(material), empty=_("nothing was taken off")),
        point("evidence", _evidence(material), empty=_("nothing old was replaced")),
        point("measurements", _measured(blocks), empty=_("none was asked for")),
        point("pictures", _pictures(material)),
        point("predicted", _predicted(blocks), empty=_("nothing was foreseen in figures")),
    )


def _minutes(blocks: Iterable[WorkBlock]) -> str:
    total: Counter[str] = Counter()
    for block in blocks:
        for line in block.people:
            total[line.person] += line.minutes
    return semicolons(f"{who} {minutes}\u00a0min" for who, minutes in total.items())


def _register(material: Material) -> str:
    bags = [piece.bag for piece in material.bags if not piece.is_consumable]
    return _("bags %(bags)s, listed below") % {"bags": ", ".join(bags)} if bags else ""


def _evidence(material: Material) -> str:
    """What became of the pieces on which traces of the old work can still be read."""
    return _bag_words(piece for piece in material.removed if not piece.is_consumable)


def _measured(blocks: Iterable[WorkBlock]) -> str:
    pairs = [pair for block in blocks for pair in block.readings]
    both = sum(1 for pair in pairs if pair.is_both)
    refused = sum(1 for pair in pairs if pair.is_refused)
    if not pairs:
        return ""
    words = ngettext(
        "%(both)s of %(every)s readings was taken before and after",
        "%(both)s of %(every)s readings were taken before and after",
        both,
    )
    said = words % {"both": both, "every": len(pairs)}
    return semicolons((said, _refused_words(refused))) if refused else said


def _pictures(material: Material) -> str:
    photos = ngettext("%(count)s photo", "%(count)s photos", len(material.photos))
    pairs = ngettext(
        "%(count)s pair of photos before and after",
        "%(count)s pairs of photos before and after",
        len(material.pairs),
    )
    return semicolons(
        (photos % {"count": len(material.photos)}, pairs % {"count": len(material.pairs)})
    )


def _predicted(blocks: Iterable[WorkBlock]) -> str:
    lines = [line for block in blocks for line in block.promises]
    kept = sum(1 for line in lines if line.word == Verdict.Word.INSIDE)
    if not lines:
        return ""
    words = ngettext(
        "%(kept)s of the %(every)s promises came as foreseen",
        "%(kept)s of %(every)s promises came as foreseen",
        kept,
    )
    return words % {"kept": kept, "every": len(lines)}


def _judgement(blocks: Sequence[WorkBlock]) -> str:
    """What was said at the sign-offs; where nothing was, what the readings say."""
    lines = [block.signed_words or _count_words(_pairs_after([block])) for block in blocks]
    if len(blocks) == 1:
        return lines[0]
    numbers = (block.number for block in blocks)
    return "\n".join(f"{number} · {line}" for number, line in zip(numbers, lines, strict=True))


def after_rows(material: Material) -> tuple[Row, ...]:
    """How it was judged when it was done, and how it left."""
    row = material.hand_back
    state = semicolons(lines_of(row.state_at_return)) if row else ""
    return (
        point("evaluation", _judgement(material.blocks)),
        point("exit_state", state, empty=_("not returned yet")),
        point("exit_day", day_words(row.returned_at) if row else "", empty=_("not returned yet")),
        point("copy", _("one for the owner; the workshop keeps the record and its originals")),
    )
