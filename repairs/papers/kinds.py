"""The papers of a case: what each is for, who issues it, and what happens when it is issued."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils import translation
from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.papers.after import end_stay, report_survey
from repairs.papers.condition import report as condition_report
from repairs.papers.needs.lacks import facts_of, lack_of
from repairs.papers.owner import care_sheet, material_statement, return_receipt, setup_sheet
from repairs.papers.paper_kinds import (
    CARE_SHEET,
    CONDITION_REPORT,
    MATERIAL_STATEMENT,
    REMOVED_PARTS,
    RETURN_RECEIPT,
    SETUP_SHEET,
    TREATMENT_REPORT,
)
from repairs.papers.treatment import removed_parts
from repairs.papers.treatment import report as treatment_report
from repairs.people.access import Deed
from repairs.people.block import house_block
from repairs.press.document import Seal, Sheet
from repairs.press.kinds import label_of

Text = str | Promise
Lines = Callable[[Any], list[str]]
Also = Callable[..., None]


@dataclass(frozen=True, kw_only=True)
class PaperKind:
    """One kind of paper. ``contents`` and ``gaps`` speak of it before it is made."""

    key: str
    purpose: Text
    body: Callable[[Case], Any]
    contents: Lines
    gaps: Lines
    deed: Deed
    template: str
    also: Also | None = None
    consequence: Text = ""

    @property
    def label(self) -> str:
        return str(capfirst(label_of(self.key)))


KINDS = {
    kind.key: kind
    for kind in (
        PaperKind(
            key=CONDITION_REPORT,
            template="papers/condition/condition_report.html",
            purpose=_("What was found, where and how bad, with photos and readings."),
            body=condition_report.body,
            contents=condition_report.contents,
            gaps=condition_report.gaps,
            deed="issue",
            also=report_survey,
            consequence=_("A survey is then reported."),
        ),
        PaperKind(
            key=TREATMENT_REPORT,
            template="papers/treatment/treatment_report.html",
            purpose=_("What was done about each finding, with what, by whom, and its proof."),
            body=treatment_report.body,
            contents=treatment_report.contents,
            gaps=treatment_report.gaps,
            deed="issue",
        ),
        PaperKind(
            key=SETUP_SHEET,
            template="papers/owner/setup_sheet.html",
            purpose=_("How the instrument was left: strings, wheel, keys, pressure, dog, action."),
            body=setup_sheet.body,
            contents=setup_sheet.contents,
            gaps=setup_sheet.gaps,
            deed="receipt",
        ),
        PaperKind(
            key=REMOVED_PARTS,
            template="papers/treatment/removed_parts.html",
            purpose=_("Every piece that was taken off, its bag, and what became of it."),
            body=removed_parts.body,
            contents=removed_parts.contents,
            gaps=removed_parts.gaps,
            deed="receipt",
        ),
        PaperKind(
            key=MATERIAL_STATEMENT,
            template="papers/owner/material_statement.html",
            purpose=_("What is known of each protected part, and what selling or a border asks."),
            body=material_statement.body,
            contents=material_statement.contents,
            gaps=material_statement.gaps,
            deed="issue",
        ),
        PaperKind(
            key=CARE_SHEET,
            template="papers/owner/care_sheet.html",
            purpose=_("Plain words for the owner of just this instrument."),
            body=care_sheet.body,
            contents=care_sheet.contents,
            gaps=care_sheet.gaps,
            deed="receipt",
        ),
        PaperKind(
            key=RETURN_RECEIPT,
            template="papers/owner/return_receipt.html",
            purpose=_("To whom the instrument goes, with what, and in what state."),
            body=return_receipt.body,
            contents=return_receipt.contents,
            gaps=return_receipt.gaps,
            deed="receipt",
            also=end_stay,
            consequence=_("Issuing it ends the stay and passes custody on."),
        ),
    )
}


def compile_paper(
    kind: str, case: Case, *, language: str, made_at: dt.datetime, seal: Seal | None = None
) -> Sheet:
    """Compile the paper of that kind in the language of its reader.

    Raises the refusal that stands in its way when it would say nothing, or may not be made yet.
    """
    known = KINDS[kind]
    with translation.override(language):
        lack = lack_of(kind, facts_of(case))
        if lack is not None:
            raise lack
        return Sheet(
            kind=known.key,
            template=known.template,
            subject=case.log_key,
            language=language,
            title=f"{known.label} {case.number}",
            reference=case.instrument.number,
            house=house_block(),
            made_at=made_at,
            seal=seal,
            body=known.body(case),
        )


@dataclass(frozen=True)
class Offer:
    """A paper that the case could have: where it is made, and what is missing until then."""

    kind: str
    label: str
    url: str
    is_ready: bool
    missing: str


def paper_offers(case: Case) -> list[Offer]:
    """Every paper of a case, in the order in which they come in its life."""
    facts = facts_of(case)
    offers = []
    for kind in KINDS.values():
        lack = lack_of(kind.key, facts)
        url = reverse("papers:make", args=[case.number, kind.key])
        if kind.key == RETURN_RECEIPT and not facts.is_going:
            url = reverse("papers:return", args=[case.number])
        offers.append(Offer(kind.key, kind.label, url, lack is None, str(lack or "")))
    return offers
