"""Writing, looking at, issuing and withdrawing estimates."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.estimates import actions
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.entry import EstimateEntry
from repairs.estimates.gaps import gaps
from repairs.estimates.models import Estimate
from repairs.estimates.refusals import EstimateIssuedError
from repairs.estimates.standing import why_not_standing
from repairs.estimates.state import estimate_lines, is_house, takes_estimates
from repairs.language.text import language, spoken
from repairs.people.access import SignedInRequest, needs
from repairs.press.render import render as print_pdf
from repairs.screens.refusals import ChangedMeanwhileError


def estimate_of(case: Case, version: int) -> Estimate:
    """That version of the case, or a page that is not found."""
    rows = case.estimates.select_related("paper", "made_by", "changed_by")
    row = get_object_or_404(rows, version=version)
    row.case = case
    return row


@needs("view")
def estimate_list(request: SignedInRequest, number: str) -> HttpResponse:
    """All versions and decisions of a case."""
    case = case_for(request.user, number, to="view")
    facts = {
        "case": case,
        "lines": estimate_lines(case, timezone.localdate()),
        "consents": case.consents.select_related("case"),
        "is_house": is_house(case),
        "takes_estimates": takes_estimates(case) and case.ended_at is None,
    }
    return render(request, "estimates/list.html", facts)


@needs("estimate")
@require_POST
def estimate_new(request: SignedInRequest, number: str) -> HttpResponse:
    """The next version, a copy of the last; or the one that is being written already."""
    case = case_for(request.user, number, to="estimate")
    row = actions.write_estimate(case, by=request.user, at=timezone.now())
    return redirect("estimates:edit", case.number, row.version)


@needs("estimate")
def estimate_edit(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """One page; “one more” buttons answer with the same page and a row more, nothing lost."""
    case = case_for(request.user, number, to="estimate")
    row = estimate_of(case, version)
    if row.is_issued:
        raise EstimateIssuedError(version=version)
    entry = EstimateEntry(row, request.POST if request.method == "POST" else None)
    facts: dict[str, Any] = {"case": case, "estimate": row, "entry": entry}
    if entry.more:  # the page holds all that was typed: the device need not offer it again
        facts["draft_sent"] = request.POST.get("draft_key", "")
    if request.method != "POST" or entry.more or not entry.is_valid():
        return render(request, "estimates/form.html", facts)
    return _save(request, entry, facts)


def _save(request: SignedInRequest, entry: EstimateEntry, facts: dict[str, Any]) -> HttpResponse:
    """Keep it; when somebody else was faster, show theirs, and what was typed below it."""
    row = entry.form.save(commit=False)
    seen = entry.form.cleaned_data["seen"] or 0
    try:
        actions.change_estimate(row, entry.wishes(), seen=seen, by=request.user, at=timezone.now())
    except ChangedMeanwhileError as refusal:
        theirs = estimate_of(facts["case"], row.version)
        entry.see(theirs.revision)
        sheet = estimate_sheet(theirs, language=language(), made_at=timezone.now())
        facts |= {"refusal": str(refusal), "theirs": sheet.body}
        return render(request, "estimates/form.html", facts, status=409)
    messages.success(request, _("Saved. This is what the owner would get."))
    for words, hours in entry.understood().items():
        messages.info(request, _("“%(words)s” is %(hours)s.") % {"words": words, "hours": hours})
    return redirect(row)


@needs("see_prices")
def estimate_detail(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """A draft: exactly what would be issued. An issued version: exactly what was."""
    case = case_for(request.user, number, to="view")
    row = estimate_of(case, version)
    lines = estimate_lines(case, timezone.localdate())
    facts: dict[str, Any] = {
        "case": case,
        "estimate": row,
        "line": next(one for one in lines if one.estimate.pk == row.pk),
        "is_newest": lines[0].estimate.pk == row.pk,
    }
    if row.paper is not None:
        facts |= _issued_facts(row)
    else:
        facts |= _draft_facts(request, row)
    return render(request, "estimates/detail.html", facts)


def _issued_facts(row: Estimate) -> dict[str, Any]:
    assert row.paper is not None  # noqa: S101 - asked by the caller
    now = timezone.now()
    return {
        "content": row.paper.data["content"],
        "language": row.paper.language,
        "why_not": why_not_standing(row, now),
        "links": [(link, link.is_open(now)) for link in row.links.select_related("made_by")],
        "consents": row.consents.select_related("option", "case"),
    }


def _draft_facts(request: SignedInRequest, row: Estimate) -> dict[str, Any]:
    language = _language(request, row.case)
    sheet = estimate_sheet(row, language=language, made_at=timezone.now())
    return {
        "content": sheet.body,
        "language": language,
        "fingerprint": sheet.fingerprint(),
        "gaps": gaps(row, timezone.localdate()),
    }


def _language(request: SignedInRequest, case: Case) -> str:
    wanted = request.POST.get("language") or request.GET.get("language") or case.owner.language
    return spoken(wanted)


@needs("see_prices")
def estimate_preview(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """The PDF as it would be issued; it has no number and is kept nowhere."""
    case = case_for(request.user, number, to="view")
    row = estimate_of(case, version)
    sheet = estimate_sheet(row, language=_language(request, case), made_at=timezone.now())
    return pdf_answer(print_pdf(sheet)[0], f"{case.number}-estimate-v{version}-preview.pdf")


def pdf_answer(data: bytes, name: str) -> HttpResponse:
    """A PDF that the browser shows and keeps in no cache."""
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@needs("estimate")
@require_POST
def estimate_issue(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """Issue exactly what the page showed."""
    case = case_for(request.user, number, to="estimate")
    row = estimate_of(case, version)
    paper = actions.issue_estimate(
        row,
        language=_language(request, case),
        fingerprint=request.POST.get("fingerprint", ""),
        by=request.user,
        at=timezone.now(),
    )
    messages.success(request, _("%(title)s is issued.") % {"title": paper.title})
    return redirect(row)


@needs("estimate")
@require_POST
def estimate_withdraw(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """Take an issued offer back."""
    case = case_for(request.user, number, to="estimate")
    row = estimate_of(case, version)
    actions.withdraw_estimate(row, by=request.user, at=timezone.now())
    messages.success(request, _("The offer is withdrawn; its links open nothing any more."))
    return redirect(row)
