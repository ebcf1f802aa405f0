"""The case page: everything about one case, in the order of the work, in few queries."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch
from django.utils.translation import gettext as _

from repairs.audit.models import LogEntry
from repairs.bench.deeds import deed_words
from repairs.cases.because import reason_words
from repairs.cases.entries import GROUPS as OF_CASES
from repairs.cases.forms import PlaceForm, WaitForm
from repairs.cases.models import Case
from repairs.estimates.state import docket_facts
from repairs.findings.models import Examination, FindingTag, PartLook
from repairs.instruments.kinds import material_label
from repairs.instruments.protection import Needs, needs_of
from repairs.invoices.show import billing_facts
from repairs.invoices.taxing import tax_of
from repairs.language.text import labelled
from repairs.papers.blocks.pictures import unbound_tags
from repairs.papers.kinds import paper_offers
from repairs.people.models import House
from repairs.photos.models import Photo
from repairs.photos.overlay import Mark, marks_svg
from repairs.photos.pairs import view_pairs
from repairs.press.models import Paper
from repairs.readings.models import Reading, Verdict
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.sheets.common import SIGNS
from repairs.readings.show import figure_rows
from repairs.screens.entries import facts as facts_shown
from repairs.treatment.part_models import NewPart
from repairs.treatment.show import Plan, plan_of

LOG_LINES = 120
BY_THE_OWNER = ("consent.given", "work.agreed")
GRAVEST_FIRST = ("outside", "doubtful", "inside")


@dataclass(frozen=True)
class StepMark:
    """One step on the strip: passed on a day, present, or ahead."""

    key: str
    label: str
    at: dt.datetime | None
    is_present: bool


@dataclass(frozen=True)
class Shown:
    """A photo with its marks drawn, as the page shows it."""

    photo: Photo
    marks: str


@dataclass(frozen=True)
class Protected:
    """A protected material in the instrument: where it is, and what it needs."""

    material: str
    parts: list[str]
    needs: Needs


@dataclass(frozen=True)
class LogLine:
    at: dt.datetime
    who: str
    words: str


def _with(links: str, joined: str) -> Prefetch:
    """The links between tags and findings with what they point to, however many there are."""
    return Prefetch(links, FindingTag.objects.select_related(joined))


def docket(case: Case) -> dict[str, Any]:
    """Gather what the case page shows."""
    photos = list(case.photos.ready().prefetch_related(_with("tags__finding_link", "finding")))
    for photo in photos:
        photo.case = case
    findings = list(case.findings.present().prefetch_related(_with("tag_links", "tag__photo")))
    looks = list(case.looks.select_related("part"))
    for look in looks:
        look.part.instrument = case.instrument
    for finding in findings:
        finding.part.instrument, finding.case = case.instrument, case
    taken = {photo.view for photo in photos}
    usual = tax_of(House.present(), case.owner)
    plan = plan_of(case, usual.rate_pct)
    facts = {
        "case": case,
        "strip": strip(case),
        "photos": [Shown(photo, _marks(photo)) for photo in photos],
        "missing_views": [
            view
            for view in case.instrument.pattern.views
            if view.required and view.slug not in taken
        ],
        "refused": list(case.photos.filter(state=Photo.State.REFUSED, withdrawn_at=None)),
        "findings": findings,
        "looked": sum(1 for look in looks if look.state == PartLook.State.LOOKED),
        "not_examined": [k for k in looks if k.state == PartLook.State.NOT_EXAMINED],
        "examination": Examination.objects.filter(case=case).select_related("examiner").first(),
        "unbound": unbound_tags(case),
        "readings": reading_lines(case),
        "rounds": rounds(case),
        "plan": plan,
        "protected": protected_in(case),
        "offers": paper_offers(case),
        "pairs": view_pairs(photos),
        "papers": list(
            Paper.objects.filter(subject=case.log_key)
            .select_related("issued_by", "replaced_by")
            .order_by("-issued_at")
        ),
        "intake_facts": list(facts_shown(case, OF_CASES, "page")),
        "custody": list(case.custody.select_related("noted_by")),
        "log": log_lines(case),
        "wait_form": WaitForm(initial={"waits_for": case.waits_for, "note": case.waits_note}),
        "place_form": PlaceForm(initial={"place": case.place}),
        **docket_facts(case),
        **billing_facts(case),
    }
    return facts | {"next": next_action(facts, plan)}


def protected_in(case: Case) -> list[Protected]:
    """What stands under protection in the instrument, old and new parts, by material."""
    found: dict[str, list[str]] = {}
    for part in case.instrument.parts.exclude(material=""):
        part.instrument = case.instrument
        found.setdefault(part.material, []).append(part.label())
    new = NewPart.objects.filter(intervention__case=case, withdrawn_at=None)
    for piece in new:
        found.setdefault(piece.material, []).append(piece.description)
    rows = [(material, parts, needs_of(material)) for material, parts in found.items()]
    return [
        Protected(material_label(material), parts, needs)
        for material, parts, needs in rows
        if needs
    ]


@dataclass(frozen=True)
class ReadingLine:
    """A reading in the docket: its gauge, and the gravest of its verdicts."""

    reading: Reading
    title: str
    word: str
    word_label: str
    sign: str


def reading_lines(case: Case) -> list[ReadingLine]:
    rows = case.readings.present().defer("raw").prefetch_related("results__verdicts")
    lines = []
    for row in rows:
        row.case = case
        result = row.latest
        words = {verdict.word for verdict in result.verdicts.all()} if result else set()
        word = next((w for w in GRAVEST_FIRST if w in words), "not_judged")
        label = str(Verdict.Word(word).label)
        lines.append(ReadingLine(row, str(sheet_of(row.gauge).label), word, label, SIGNS[word]))
    return lines


@dataclass(frozen=True)
class Round:
    """A round of readings of a new instrument, and what still fails at its end."""

    number: int
    readings: int
    fails: list[str]


def rounds(case: Case) -> list[Round]:
    """The numbered rounds of a case of the house, each with its figures outside their limits."""
    found: dict[int, Round] = {}
    rows = case.readings.present().exclude(round=None).prefetch_related("results__verdicts")
    for row in rows:
        number = row.round or 0
        at = found.setdefault(number, Round(number, 0, []))
        fails = [
            labelled(sheet_of(row.gauge).label, figure.label)
            for figure in figure_rows(row)
            if figure.word == "outside"
        ]
        found[number] = Round(number, at.readings + 1, at.fails + fails)
    return [found[number] for number in sorted(found)]


def strip(case: Case) -> list[StepMark]:
    """The steps of the case's path, each with the moment when it was last reached."""
    reached = {move.step: move.at for move in case.moves.all()}
    path = case.path
    present = path.index(case.step) if case.step in path else 0
    return [
        StepMark(
            step,
            str(Case.Step(step).label),
            reached.get(step) if i <= present else None,
            i == present,
        )
        for i, step in enumerate(path)
    ]


def next_action(docket: Mapping[str, Any], plan: Plan) -> str:
    """Name the section whose brass button is the obvious next one; empty when nothing is left."""
    case: Case = docket["case"]
    if case.ended_at is not None:
        return ""
    if plan.next_to_prove is not None:
        return "proof"
    if plan.next_to_begin is not None or (plan.lines and case.step != Case.Step.PROVED):
        return "work"
    if case.step in (Case.Step.PROVED, Case.Step.REPORTED):
        return "return"
    return _before_work(case, docket)


def _before_work(case: Case, docket: Mapping[str, Any]) -> str:
    """Photos, findings, the look over; then the report, the estimate, or the house's own word."""
    if not docket["photos"]:
        return "photos"
    if not docket["findings"] and not docket["looked"] and not docket["not_examined"]:
        return "findings"
    if case.step == Case.Step.TAKEN_IN:
        return "look"
    if Case.Step.REPORTED in case.path:
        return "report"
    if not docket["may_have_estimate"]:
        return "agree"
    return "decide" if docket["estimate"] else "estimate"


def _marks(photo: Photo) -> str:
    if photo.original is None:
        return ""
    marks = []
    for tag in photo.tags.all():
        link = getattr(tag, "finding_link", None)
        if tag.withdrawn_at is None and (link is None or link.finding.withdrawn_at is None):
            points = tuple((x, y) for x, y in tag.points)
            marks.append(Mark(link.finding.number if link else 0, tag.shape, points))
    return marks_svg(marks, photo.original.width, photo.original.height)


def log_lines(case: Case) -> list[LogLine]:
    """The case's lines of the log, the newest first, in words."""
    rows = LogEntry.objects.filter(subject=case.log_key).select_related("actor")
    why = {move.pk: reason_words(move.because) for move in case.moves.all()}
    return [
        LogLine(
            row.at,
            _who(row),
            labelled(deed_words(row.verb, row.details), why.get(row.details.get("move", 0), "")),
        )
        for row in rows.order_by("-seq")[:LOG_LINES]
    ]


def _who(row: LogEntry) -> str:
    """Who did it; what nobody of the house did was decided by the owner, through the link."""
    if row.actor is not None:
        return str(row.actor)
    return str(_("the owner, by the link")) if row.verb in BY_THE_OWNER else "—"
