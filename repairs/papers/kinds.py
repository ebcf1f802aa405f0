"""The papers of a case, in the order in which they come in its life."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.urls import reverse
from django.utils import translation

from repairs.cases.models import Case
from repairs.papers.condition.report import CONDITION_REPORT
from repairs.papers.needs.kind import make_known
from repairs.papers.needs.lacks import facts_of
from repairs.papers.owner.care_sheet import CARE_SHEET
from repairs.papers.owner.material_statement import MATERIAL_STATEMENT
from repairs.papers.owner.return_receipt import RETURN_RECEIPT
from repairs.papers.owner.setup_sheet import SETUP_SHEET
from repairs.papers.treatment.removed_parts import REMOVED_PARTS
from repairs.papers.treatment.report import TREATMENT_REPORT
from repairs.people.block import house_block
from repairs.press.document import Seal, Sheet

KINDS = make_known(
    CONDITION_REPORT,
    TREATMENT_REPORT,
    SETUP_SHEET,
    REMOVED_PARTS,
    MATERIAL_STATEMENT,
    CARE_SHEET,
    RETURN_RECEIPT,
)


def compile_paper(
    kind: str, case: Case, *, language: str, made_at: dt.datetime, seal: Seal | None = None
) -> Sheet:
    """Compile the paper of that kind in the language of its reader.

    Raises the refusal that stands in its way when it would say nothing, or may not be made yet.
    """
    known = KINDS[kind]
    with translation.override(language):
        lack = known.lack(facts_of(case))
        if lack is not None:
            raise lack
        whole = known.compiled(case)
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
            body=whole.body,
            carried=whole.carried,
            enclosures=whole.enclosures,
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
        lack = kind.lack(facts)
        url = reverse("papers:make", args=[case.number, kind.key])
        if kind.ends_stay and not facts.is_going:
            url = reverse("papers:return", args=[case.number])
        offers.append(Offer(kind.key, kind.label, url, lack is None, str(lack or "")))
    return offers
