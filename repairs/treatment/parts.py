"""What goes in and what comes out: materials with their lot, removed parts, new parts."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db.models import Max
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.instruments.consumables import consumable_parts, is_cottoned
from repairs.instruments.part_models import Part
from repairs.instruments.protection import is_supplied
from repairs.language.text import labelled, semicolons
from repairs.people.models import User
from repairs.press.kinds import telling_of
from repairs.press.models import Paper
from repairs.treatment.actions import check_open
from repairs.treatment.models import Intervention
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.refusals import FateRefusedError, NotPutInError
from repairs.wood.actions import put_back, withdraw
from repairs.wood.models import Withdrawal

# “Old” stands beside “original”: a replacement of 1850 is itself a document of its time.
PRECIOUS = (Part.Originality.ORIGINAL, Part.Originality.OLD, Part.Originality.UNKNOWN)


@deed()
def use_material(use: MaterialUse, *, by: User, at: dt.datetime) -> MaterialUse:
    """Note a material with its lot: who undoes this work must know what holds it together."""
    work = use.intervention
    check_open(work)
    use.by, use.at = by, at
    use.save()
    record(by, "material.used", work.case, at=at, work=work.number, material=use.pk)
    return use


@deed()
def take_back_material(use: MaterialUse, *, by: User, at: dt.datetime) -> None:
    """Strike a material that was noted by mistake; the row stays."""
    work = use.intervention
    check_open(work)
    use.withdrawn_at = at
    use.save(update_fields=["withdrawn_at"])
    record(by, "material.withdrawn", work.case, at=at, work=work.number, material=use.pk)


@deed()
def remove_part(piece: RemovedPart, *, by: User, at: dt.datetime) -> RemovedPart:
    """Give the piece the next bag number of the case. It is kept until something else is said."""
    work = piece.intervention
    check_open(work)
    case = work.case
    last = case.removed_parts.aggregate(last=Max("number"))["last"] or 0
    piece.case, piece.number = case, last + 1
    piece.removed_by, piece.removed_at = by, at
    piece.save()
    record(by, "part.removed", case, at=at, work=work.number, bag=piece.number)
    return piece


def papers_naming(piece: RemovedPart) -> list[Paper]:
    """The issued papers of today that told the owner what became of the piece."""
    kinds = telling_of("removed parts")
    rows = Paper.objects.filter(subject=piece.case.log_key, kind__in=kinds, replaced_by=None)
    return list(rows.filter(issued_at__gte=piece.removed_at).order_by("issued_at", "pk"))


def outdated_by(piece: RemovedPart) -> list[Paper]:
    """Those of them that were issued before something else was said of the piece."""
    said_at = piece.fate_at
    return [paper for paper in papers_naming(piece) if said_at and paper.issued_at < said_at]


def _with_reason(piece: RemovedPart, fate: str, words: str, because: str) -> str:
    """What to keep with the piece; refuses to contradict an issued paper without a reason."""
    papers = papers_naming(piece)
    if not papers or (fate, words) == (piece.fate, piece.fate_words):
        return words
    if not because:
        titles = ", ".join(str(paper) for paper in papers)
        why = _("%(papers)s says otherwise: say why what was said there no longer holds.")
        raise FateRefusedError(what=piece, why=why % {"papers": titles})
    return semicolons(part for part in (words, labelled(_("changed since"), because)) if part)


@deed()
def set_fate(
    piece: RemovedPart, fate: str, words: str, *, because: str = "", by: User, at: dt.datetime
) -> RemovedPart:
    """Say what became of a removed piece.

    Raises FateRefusedError when an original, old or unknown part would be thrown away, or any
    other without the owner's word (strings and cotton were agreed upon at the intake), or when a
    sample is taken without saying who agreed. Source: ECCO Code 2003, art. 8–10; CIMCIM 1993.
    Likewise when the owner was already told otherwise by a paper, and no reason is given: the
    reason is kept with the words, and the paper's next version says it.
    """
    locked_case(piece.case_id)
    locked = RemovedPart.objects.get(pk=piece.pk)
    words = words.strip()
    if fate == RemovedPart.Fate.DISCARDED:
        words = _may_discard(piece, words)
    elif fate == RemovedPart.Fate.SAMPLED and not words:
        raise FateRefusedError(
            what=piece, why=_("say who agreed to the sample, when, and what it was for.")
        )
    kept = _with_reason(locked, fate, words, because.strip())
    details: dict[str, Any] = {"against_papers": True} if kept != words else {}
    words = kept
    locked.fate, locked.fate_words, locked.fate_at = fate, words, at
    locked.save(update_fields=["fate", "fate_words", "fate_at"])
    record(by, "part.fate", locked.case, at=at, bag=locked.number, fate=fate, **details)
    return locked


def _may_discard(piece: RemovedPart, words: str) -> str:
    """The words to keep with a piece that may be thrown away; refuses one that may not."""
    if piece.is_consumable and is_consumable_part(piece.part):
        if piece.case.consumables_kept and not words:
            raise FateRefusedError(what=piece, why=_wanted_back(piece))
        return words or _("as agreed at the intake")
    if piece.part is None or piece.part.originality in PRECIOUS:
        raise FateRefusedError(
            what=piece,
            why=_(
                "original, old and unknown parts are never thrown away. Keep it or give it back."
            ),
        )
    if not words:
        raise FateRefusedError(what=piece, why=_("say who agreed, and when."))
    return words


def _wanted_back(piece: RemovedPart) -> str:
    """Why it is not thrown away, without cotton where the kind has none."""
    if is_cottoned(piece.case.instrument.pattern):
        return _("the owner wants old strings and cotton back.")
    return _("the owner wants the old strings back.")


def is_consumable_part(part: Part | None) -> bool:
    """Whether it is of the strings, cotton and rosin; what is in no list of parts may be."""
    return part is None or part.key in consumable_parts()


@deed()
def fit_new_part(part: NewPart, cut: Withdrawal | None, *, by: User, at: dt.datetime) -> NewPart:
    """Note a new part; one out of the wood store takes its wood off there, both or neither.

    Raises NotEnoughWoodError, ProofMissingError or MaterialNotSuppliedError as the store does, and
    NotPutInError for ivory and the like from elsewhere.
    """
    work = part.intervention
    check_open(work)
    if cut is None and not is_supplied(part.material):
        raise NotPutInError(material=part.material_words)
    if cut is not None:
        cut.subject, cut.case_number = work.case.log_key, work.case.number
        cut.purpose = part.description
        part.withdrawal = withdraw(cut, by=by, at=at)
        part.material = cut.piece.material
    part.by, part.at = by, at
    part.save()
    record(by, "part.new", work.case, at=at, work=work.number, part=part.pk)
    return part


@deed()
def take_back_new_part(part: NewPart, *, by: User, at: dt.datetime) -> None:
    """Strike a new part that was noted by mistake; its wood goes back to the store."""
    work = part.intervention
    check_open(work)
    part.withdrawn_at = at
    part.save(update_fields=["withdrawn_at"])
    if part.withdrawal is not None:
        put_back(part.withdrawal, by=by, at=at)
    record(by, "part.new_withdrawn", work.case, at=at, work=work.number, part=part.pk)


@deed()
def follow(done: MoveDone, *, by: User, at: dt.datetime) -> MoveDone:
    """Keep by how much a prescription was really followed; the last row for it counts."""
    work: Intervention = done.intervention
    check_open(work)
    done.by, done.at = by, at
    done.save()
    record(
        by,
        "prescription.followed",
        work.case,
        at=at,
        work=work.number,
        prescription=done.prescription_id,
    )
    return done
