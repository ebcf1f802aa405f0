"""The material statement: every protected part, what is known of it, what the rules ask for.

It is a statement of the house and no permit; every rule carries its date and its source, and each
defers to the authority.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.cases.compile import maker_words
from repairs.cases.models import Case
from repairs.instruments.kinds import material_label, materials, protection_of
from repairs.instruments.part_models import Part
from repairs.instruments.protection import needs_of
from repairs.language.dates import day_words
from repairs.language.refusal import WorkshopError
from repairs.language.text import in_language, labelled, number_runs, semicolons
from repairs.papers import paper_kinds
from repairs.papers.blocks.pictures import photos_of
from repairs.papers.needs.kind import PaperKind
from repairs.papers.needs.lacks import Facts, empty
from repairs.papers.treatment.supplies import origin_words
from repairs.press.document import Picture
from repairs.treatment.part_models import NewPart, RemovedPart

RECORDED = (
    ("identified", gettext_lazy("how the species was identified")),
    ("mass", gettext_lazy("its mass")),
    ("acquired", gettext_lazy("when it was acquired")),
    ("evidence", gettext_lazy("the paper that shows it")),
    ("permit", gettext_lazy("the number of a permit")),
    ("expires", gettext_lazy("the day on which a permit expires")),
)


@dataclass(frozen=True, kw_only=True)
class Known:
    """What is on record of one part; what is not stays empty."""

    is_new: bool = False
    originality: str = ""
    identified: str = ""
    mass: str = ""
    acquired: str = ""
    evidence: str = ""
    permit: str = ""
    expires: str = ""
    removed: str = ""


@dataclass(frozen=True, kw_only=True)
class ProtectedPart:
    """One part of a protected material, with what is recorded and what the rules ask for."""

    part: str
    known: Known
    material: str
    latin: str
    listing: str
    note: str
    sell: str
    border: str
    must_have: tuple[str, ...]
    as_of: str
    source: str
    from_memory: bool
    unrecorded: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class MaterialStatement:
    """What is known of each protected part; it certifies nothing."""

    case_number: str
    instrument_number: str
    instrument: str
    maker: str
    made: str
    serial: str
    owner: tuple[str, ...]
    photos: str
    parts: tuple[ProtectedPart, ...]
    unknown_parts: int
    face: Picture | None = None


def body(case: Case) -> MaterialStatement:
    """Gather every part of a protected material, old and new."""
    instrument = case.instrument
    parts = list(instrument.parts.all())
    for part in parts:
        part.instrument = instrument
    photos, face = photos_of(case), case.photos.face()
    made = (instrument.place_made, instrument.date_text)
    return MaterialStatement(
        case_number=case.number,
        instrument_number=instrument.number,
        instrument=str(instrument),
        maker=maker_words(case),
        made=", ".join(word for word in made if word),
        serial=instrument.serial,
        owner=(case.owner.name, *case.owner.address_lines),
        photos=number_runs(photo.number for photo in photos if photo.view),
        parts=_by_material(
            (*_old_parts(case, parts), *_new_parts(case, {part.pk: part for part in parts}))
        ),
        unknown_parts=sum(1 for part in parts if not part.material),
        face=face.on_paper if face else None,
    )


def _by_material(parts: tuple[ProtectedPart, ...]) -> tuple[ProtectedPart, ...]:
    """The parts of one material behind each other: its rules are printed once for all of them."""
    order = list(dict.fromkeys(part.material for part in parts))
    return tuple(sorted(parts, key=lambda part: order.index(part.material)))


def _old_parts(case: Case, parts: list[Part]) -> Iterator[ProtectedPart]:
    removed: dict[int, list[str]] = {}
    for piece in case.removed_parts.exclude(part=None):
        piece.case = case
        words = labelled(piece.bag, RemovedPart.Fate(piece.fate).label)
        removed.setdefault(piece.part_id or 0, []).append(words)
    for part in parts:
        if part.protection:
            known = Known(
                originality=part.originality_label,
                identified=part.material_note,
                evidence=case.instrument.provenance,
                removed=semicolons(removed.get(part.pk, ())),
            )
            yield _protected(part.label(), part.material, known)


def _new_parts(case: Case, parts: dict[int, Part]) -> Iterator[ProtectedPart]:
    rows = NewPart.objects.filter(intervention__case=case, withdrawn_at=None)
    for row in rows.select_related("withdrawal__piece"):
        if protection_of(row.material) is not None:
            part = parts.get(row.part_id) if row.part_id else None
            name = f"{row.description}, {part.label()}" if part else row.description
            yield _protected(name, row.material, _known_of(row))


def _known_of(row: NewPart) -> Known:
    """What the wood store knows of the piece that a new part was made of."""
    piece = row.withdrawal.piece if row.withdrawal else None
    if piece is None:
        return Known(is_new=True, evidence=origin_words(row))
    acquired = (day_words(piece.acquired_on), piece.acquired_from)
    return Known(
        is_new=True,
        identified=piece.identified_by,
        acquired=", ".join(word for word in acquired if word),
        evidence=semicolons(word for word in (origin_words(row), piece.acquisition_proof) if word),
        permit=piece.permit_number,
        expires=day_words(piece.permit_expires_on),
    )


def _protected(part: str, material: str, known: Known) -> ProtectedPart:
    """What is known of the part beside what its material asks for; a gap is named as one."""
    listed = protection_of(material) or {}
    needs = needs_of(material)
    return ProtectedPart(
        part=part,
        known=known,
        material=material_label(material),
        latin=str(materials().get(material, {}).get("latin") or ""),
        listing=in_language(listed.get("list")),
        note=in_language(listed.get("note")),
        sell=needs.sell if needs else "",
        border=needs.border if needs else "",
        must_have=needs.must_have if needs else (),
        as_of=str(date_format(needs.as_of, "DATE_FORMAT")) if needs else "",
        source=needs.source if needs else "",
        from_memory=needs.from_memory if needs else bool(listed.get("from_memory")),
        unrecorded=tuple(str(words) for name, words in RECORDED if not getattr(known, name)),
    )


def contents(paper: MaterialStatement) -> list[str]:
    """What will be printed, in a few lines for the screen."""
    parts = ngettext(
        "%(count)s part of a protected material",
        "%(count)s parts of a protected material",
        len(paper.parts),
    )
    return [
        parts % {"count": len(paper.parts)},
        *(labelled(part.part, part.material) for part in paper.parts),
    ]


def gaps(paper: MaterialStatement) -> list[str]:
    """What an authority would ask and nobody has recorded."""
    found = [
        _("%(part)s: not recorded are %(what)s.")
        % {"part": part.part, "what": ", ".join(part.unrecorded)}
        for part in paper.parts
        if part.unrecorded
    ]
    if paper.unknown_parts:
        words = ngettext(
            "The material of %(count)s part is not recorded.",
            "The material of %(count)s parts is not recorded.",
            paper.unknown_parts,
        )
        found.append(words % {"count": paper.unknown_parts})
    return found


def lack(facts: Facts) -> WorkshopError | None:
    """The refusal while no part is known to be of a protected material."""
    if facts.has_protected:
        return None
    why = _(
        "no part is recorded as of a protected material. Note the materials of its parts first."
    )
    return empty(facts, MATERIAL_STATEMENT.name, why)


MATERIAL_STATEMENT = PaperKind(
    key=paper_kinds.MATERIAL_STATEMENT,
    purpose=gettext_lazy(
        "What is known of each protected part, and what selling or a border asks."
    ),
    template="papers/owner/material_statement.html",
    body=body,
    contents=contents,
    gaps=gaps,
    lack=lack,
    deed="issue",
)
