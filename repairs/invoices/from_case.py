"""What a case gives to bill: recorded work and materials, agreed costs, deposits already paid."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.audit.actions import deed
from repairs.cases.models import Case
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import OptionLine
from repairs.estimates.standing import agreement_of
from repairs.estimates.totals import rates_of, totals_of
from repairs.invoices.actions import DraftLineSpec, open_draft
from repairs.invoices.codes import Kind, Unit
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.gathering import done_on
from repairs.invoices.models import Invoice
from repairs.invoices.remaining import LINE_OF_INVOICE, lines_left
from repairs.invoices.taxing import tax_of
from repairs.language.text import decimal_words
from repairs.money import NOTHING, tax_in
from repairs.people.house_models import House
from repairs.people.models import User
from repairs.treatment.models import Intervention
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.spent import hours_of

Sort = DraftLine.Sort


@deed()
def draft_of_case(case: Case, *, kind: str, by: User, at: dt.datetime) -> InvoiceDraft:
    """Open a draft with everything that the case gives to bill; the one who bills looks it over.

    A deposit invoice asks for the share that the estimate names. An invoice takes the deposits of
    the case that are not deducted yet along. A draft that waits already is taken up again.
    """
    waiting = case.invoice_drafts.open().filter(kind=kind).first()
    if waiting is not None:
        return waiting
    with translation.override(case.owner.language):
        lines = list(deposit_lines(case) if kind == Kind.DEPOSIT else unbilled_lines(case))
    draft = open_draft(case.owner, case=case, kind=kind, lines=lines, by=by, at=at)
    if kind == Kind.INVOICE:
        draft.deposits.set(deposits_left(case))
    if any(work.is_at_a_price for work in case.agreed_works.live()):
        draft.payment_days = 0  # a small job is paid before the owner leaves
        draft.save(update_fields=["payment_days"])
    return draft


def deposits_left(case: Case) -> list[Invoice]:
    """Deposit invoices of the case that no invoice has deducted."""
    rows = Invoice.objects.filter(case=case, kind=Kind.DEPOSIT, credit_notes=None)
    return list(rows.filter(deduction=None))


def unbilled_lines(case: Case) -> Iterator[DraftLineSpec]:
    """What the case gives to bill, less what its invoices bill already and was not credited."""
    billed = _billed(case)
    for spec in case_lines(case):
        quantity = spec.quantity - billed.get(spec.source, NOTHING)
        if quantity > 0:
            yield replace(spec, quantity=quantity)


def _billed(case: Case) -> dict[str, Decimal]:
    """By the source of a line, how much of it stands on invoices."""
    found: dict[str, Decimal] = {}
    for invoice in Invoice.objects.filter(case=case, kind=Kind.INVOICE).select_related("draft"):
        left = lines_left(invoice)
        for row in invoice.draft.lines.exclude(source=""):
            has = left[f"{LINE_OF_INVOICE}{row.position}"]
            if has.net > 0:
                found[row.source] = found.get(row.source, NOTHING) + has.quantity
    return found


def case_lines(case: Case) -> Iterator[DraftLineSpec]:
    """Survey fee, work by the hour, priced materials, costs from outside as they were agreed."""
    works = list(
        case.interventions.select_related("agreed", "version", "case__owner").prefetch_related(
            "spells", "materials", "findings"
        )
    )
    consent = agreement_of(case)
    if consent is not None and consent.estimate.survey_fee:
        yield _piece(Sort.FREE, _("Looking over"), consent.estimate.survey_fee, "survey")
    for work in works:
        yield from _work_lines(work)
    by_use = [work for work in works if not work.agreed.is_at_a_price]
    used = [one for work in by_use for one in work.materials.all() if _is_charged(one)]
    for use in used:
        yield _piece(
            Sort.MATERIAL, _material_words(use), use.price or NOTHING, f"material:{use.pk}"
        )
    if consent is not None:
        yield from _agreed_costs(consent, has_materials=bool(used))


def _work_lines(work: Intervention) -> Iterator[DraftLineSpec]:
    agreed = work.agreed
    if agreed.is_at_a_price:
        usual = tax_of(House.present(), work.case.owner, done_on(work.case))
        price = agreed.net_price_at(usual.rate_pct)
        yield _piece(Sort.FREE, str(agreed), price, f"work:{work.pk}")
        return
    if not work.minutes or agreed.hourly_rate is None:
        return
    numbers = [str(finding.number) for finding in work.findings.all()]
    yield DraftLineSpec(
        sort=Sort.HOURS,
        description=str(agreed)[:200],
        details=_finding_words(numbers),
        quantity=hours_of(work.minutes),
        unit=Unit.HOUR,
        unit_price=agreed.hourly_rate,
        currency=agreed.currency,
        source=f"work:{work.pk}",
    )


def _finding_words(numbers: list[str]) -> str:
    if not numbers:
        return ""
    words = ngettext("for finding %(numbers)s", "for findings %(numbers)s", len(numbers))
    return words % {"numbers": ", ".join(numbers)}


def _is_charged(use: MaterialUse) -> bool:
    return bool(use.price) and use.withdrawn_at is None


def _material_words(use: MaterialUse) -> str:
    if use.amount is None:
        return use.name
    return f"{use.name}, {decimal_words(use.amount)}\u00a0{use.unit}".strip()


def _agreed_costs(consent: Consent, *, has_materials: bool) -> Iterator[DraftLineSpec]:
    """Costs that only the estimate knows; its materials count when none was noted at the bench."""
    if consent.option is None:
        return
    kinds = [OptionLine.Kind.OUTSIDE] + ([] if has_materials else [OptionLine.Kind.MATERIAL])
    for line in consent.option.lines.filter(kind__in=kinds, amount__gt=0):
        is_outside = line.kind == OptionLine.Kind.OUTSIDE
        sort = Sort.OUTSIDE if is_outside else Sort.MATERIAL
        words = line.words or str(line.get_kind_display())
        yield _piece(sort, words, line.amount or NOTHING, f"estimate_line:{line.pk}")


def deposit_lines(case: Case) -> Iterator[DraftLineSpec]:
    """The deposit that the consented estimate asks for, before tax."""
    consent = agreement_of(case)
    if consent is None or consent.option is None:
        return
    estimate = consent.estimate
    asked = totals_of(consent.option, rates_of(estimate)).deposit
    net = asked - tax_in(asked, estimate.tax_pct)
    if net:
        said = {"pct": estimate.deposit_pct, "number": case.number, "version": estimate.version}
        words = _("Deposit of %(pct)s %% on estimate %(number)s, version %(version)s") % said
        spec = _piece(Sort.FREE, words, net, f"deposit:{consent.pk}")
        yield replace(spec, gross=asked)


def _piece(sort: str, words: str, price: Decimal, source: str) -> DraftLineSpec:
    return DraftLineSpec(
        sort=sort,
        description=words[:200],
        quantity=Decimal(1),
        unit=Unit.PIECE,
        unit_price=price,
        source=source,
    )
