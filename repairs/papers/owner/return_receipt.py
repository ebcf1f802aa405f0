"""The return receipt: how the instrument leaves, to whom, with what, and who then holds it."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.cases.refusals import HandBackError
from repairs.instruments.models import Instrument
from repairs.language.dates import day_words, moment_words
from repairs.language.refusal import WorkshopError
from repairs.language.text import lines_of, semicolons
from repairs.papers import paper_kinds
from repairs.papers.after import end_stay
from repairs.papers.blocks.readings import room_words
from repairs.papers.needs.kind import PaperKind, known
from repairs.papers.needs.lacks import Facts, empty, facts_of
from repairs.press.document import Picture
from repairs.press.models import Paper
from repairs.treatment.held import held_at_sign_off
from repairs.treatment.models import Intervention
from repairs.treatment.part_models import RemovedPart


@dataclass(frozen=True, kw_only=True)
class ReturnReceipt:
    """To whom the instrument went, with what, and in what state."""

    case_number: str
    instrument_number: str
    instrument: str
    identity: str
    owner: str
    ending: str
    ends_in_house: bool
    received_name: str
    is_owner: bool
    received_at: str
    returned_at: str
    returned_by: str
    state: tuple[str, ...]
    climate: str
    items: tuple[str, ...]
    why_unworked: str
    works: tuple[str, ...]
    given_back: tuple[str, ...]
    kept_here: tuple[str, ...]
    papers: tuple[str, ...]
    unissued: tuple[str, ...]
    reserve: tuple[str, ...]
    next_check_on: str
    face: Picture | None = None


def body(case: Case) -> ReturnReceipt:
    """What the receipt says of the return that was written down last."""
    row = case.hand_backs.select_related("noted_by").latest("pk")
    instrument = case.instrument
    return ReturnReceipt(
        case_number=case.number,
        instrument_number=instrument.number,
        instrument=str(instrument),
        identity=_identity(instrument),
        owner=case.owner.name,
        ending=str(row.get_ending_display()),
        ends_in_house=row.ending == Case.Step.TO_STOCK,
        received_name=row.received_name,
        is_owner=row.received_name == case.owner.name,
        received_at=moment_words(case.received_at),
        returned_at=moment_words(row.returned_at),
        returned_by=str(row.noted_by),
        state=lines_of(row.state_at_return),
        climate=room_words(row.room_t_c, row.room_rh_pct),
        items=lines_of(row.items),
        why_unworked=row.why_unworked,
        works=_works(case),
        given_back=_bags(case, RemovedPart.Fate.GIVEN_BACK),
        kept_here=_bags(case, RemovedPart.Fate.KEPT),
        papers=_papers(case, row),
        unissued=() if row.done_at else _unissued(case),
        reserve=lines_of(row.reserve),
        next_check_on=day_words(row.next_check_on),
        face=_face(case),
    )


def _identity(instrument: Instrument) -> str:
    words = (instrument.serial, instrument.place_made, instrument.date_text)
    return ", ".join(part for part in words if part)


def _face(case: Case) -> Picture | None:
    """As it leaves: the last photo of its front."""
    photo = case.photos.face(is_last=True)
    return photo.on_paper if photo else None


def _works(case: Case) -> tuple[str, ...]:
    rows = case.interventions.filter(sign_off__isnull=False)
    return tuple(_work(work) for work in rows.select_related("agreed__version", "sign_off"))


def _work(work: Intervention) -> str:
    """The work, and what was not as it must be when it was signed off, grouped by how it stood."""
    title = f"{work.number} · {work.agreed}"
    weak: dict[str, list[str]] = {}
    for one in held_at_sign_off(work):
        if one.is_weak:
            weak.setdefault(one.words, []).append(one.label)
    if not weak:
        return title
    what = ", ".join(f"{words} ({semicolons(labels)})" for words, labels in weak.items())
    return _("%(work)s, with reservations: %(what)s") % {"work": title, "what": what}


def _bags(case: Case, fate: str) -> tuple[str, ...]:
    rows = list(case.removed_parts.filter(fate=fate))
    for row in rows:
        row.case = case
    return tuple(f"{row.bag} {row.description}" for row in rows)


def _papers(case: Case, row: HandBack) -> tuple[str, ...]:
    """Kind and code of the current papers of the case, as they stood when it left."""
    papers = Paper.objects.filter(subject=case.log_key, replaced_by=None)
    if row.done_at is not None:
        papers = papers.filter(issued_at__lte=row.done_at)
    kept = papers.exclude(kind=RETURN_RECEIPT.key).order_by("issued_at", "pk")
    return tuple(f"{paper.kind_label} {paper.code}" for paper in kept)


def _unissued(case: Case) -> tuple[str, ...]:
    """The papers that the case could have and that were never issued."""
    facts = facts_of(case)
    papers = Paper.objects.filter(subject=case.log_key)
    issued = {RETURN_RECEIPT.key, *papers.values_list("kind", flat=True)}
    missing = [kind for key, kind in known().items() if key not in issued]
    return tuple(str(kind.name) for kind in missing if kind.lack(facts) is None)


def contents(paper: ReturnReceipt) -> list[str]:
    """What will be printed, in a few lines for the screen."""
    items = ngettext(
        "%(count)s thing given with it", "%(count)s things given with it", len(paper.items)
    )
    papers = ngettext("%(count)s paper", "%(count)s papers", len(paper.papers))
    said = {"how": paper.ending, "when": paper.returned_at, "who": paper.received_name}
    how = _("%(how)s on %(when)s") if paper.ends_in_house else _("%(how)s on %(when)s to %(who)s")
    return [
        how % said,
        items % {"count": len(paper.items)},
        papers % {"count": len(paper.papers)},
    ]


def gaps(paper: ReturnReceipt) -> list[str]:
    """What is easily forgotten at the door."""
    found = []
    if paper.kept_here:
        found.append(_("Removed parts stay here: %(bags)s.") % {"bags": ", ".join(paper.kept_here)})
    if paper.unissued:
        found.append(_("Never issued: %(papers)s.") % {"papers": ", ".join(paper.unissued)})
    if not paper.next_check_on:
        found.append(_("No next check is agreed."))
    return found


def lack(facts: Facts) -> WorkshopError | None:
    """The refusal while something blocks the return, or nobody wrote it down."""
    if facts.blocking:
        return HandBackError(number=facts.number, why=" ".join(facts.blocking))
    if facts.is_going:
        return None
    why = _("nobody has written down how the instrument goes home.")
    return empty(facts, RETURN_RECEIPT.name, why)


RETURN_RECEIPT = PaperKind(
    key=paper_kinds.RETURN_RECEIPT,
    purpose=gettext_lazy("To whom the instrument goes, with what, and in what state."),
    template="papers/owner/return_receipt.html",
    body=body,
    contents=contents,
    gaps=gaps,
    lack=lack,
    deed="receipt",
    also=end_stay,
    consequence=gettext_lazy("Issuing it ends the stay and passes custody on."),
    ends_stay=True,
)
