"""The record of the work and how it was judged, point by point."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.language.dates import day_words
from repairs.language.text import labelled, lines_of, semicolons
from repairs.papers.blocks.document import Row
from repairs.papers.blocks.treatment_document import WorkBlock
from repairs.papers.treatment.points import (
    Material,
    bag_words,
    count_words,
    pairs_after,
    point,
    refused_words,
)
from repairs.readings.models import Verdict


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
    return bag_words(piece for piece in material.removed if not piece.is_consumable)


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
    return semicolons((said, refused_words(refused))) if refused else said


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


def _judgement(blocks: Sequence[WorkBlock]) -> str:
    """What was said at the sign-offs; where nothing was, what the readings say."""
    lines = [block.signed_words or count_words(pairs_after([block])) for block in blocks]
    if len(blocks) == 1:
        return lines[0]
    numbers = (block.number for block in blocks)
    return "\n".join(f"{number} · {line}" for number, line in zip(numbers, lines, strict=True))
