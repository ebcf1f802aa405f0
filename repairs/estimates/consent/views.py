"""The owner's decision as the house notes it: on the premises, by word of mouth; its record."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.estimates.consent.decide import decide
from repairs.estimates.consent.forms import DecisionForm, SignedForm, SpokenForm
from repairs.estimates.consent.links import link_address, make_link, revoke_links
from repairs.estimates.consent.record import consent_sheet, issue_record
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Estimate
from repairs.estimates.standing import why_not_standing
from repairs.estimates.views import estimate_of, pdf_answer
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, needs
from repairs.people.house_models import House
from repairs.press.render import render as print_pdf

NEW_LINK = "new_consent_link"


@needs("estimate")
def premises(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """The page that the owner signs, on a phone or a tablet of the workshop."""
    case = case_for(request.user, number, to="estimate")
    row = estimate_of(case, version)
    if why := why_not_standing(row, timezone.now()):
        return _back(request, row, why)
    form = SignedForm(request.POST or None, estimate=row)
    if request.method == "POST" and form.is_valid():
        consent = _noted(request, row, form, Consent.How.PREMISES)
        if consent is not None:
            return redirect(consent)
    return render(request, "estimates/consent/premises.html", _facts(case, row, form))


@needs("estimate")
def spoken(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """What was said by telephone or message."""
    case = case_for(request.user, number, to="estimate")
    row = estimate_of(case, version)
    if why := why_not_standing(row, timezone.now()):
        return _back(request, row, why)
    initial = {"said_at": timezone.localtime()}
    form = SpokenForm(request.POST or None, estimate=row, initial=initial)
    if request.method == "POST" and form.is_valid():
        consent = _noted(request, row, form, form.cleaned_data["how"])
        if consent is not None:
            return redirect(consent)
    return render(request, "estimates/consent/spoken.html", _facts(case, row, form))


def _back(request: SignedInRequest, row: Estimate, why: str) -> HttpResponse:
    messages.error(request, _("Nothing can be decided about this: %(why)s") % {"why": why})
    return redirect(row)


def _facts(case: Case, row: Estimate, form: DecisionForm) -> dict[str, Any]:
    language = row.paper.language if row.paper else ""
    return {
        "case": case,
        "estimate": row,
        "form": form,
        "content": form.content,
        "language": language,
    }


def _noted(request: SignedInRequest, row: Estimate, form: DecisionForm, how: str) -> Consent | None:
    """The decision; or none, with the refusal in the form, where it can be mended."""
    try:
        consent = decide(row, form.said(how), by=request.user, at=timezone.now())
    except WorkshopError as refusal:
        form.add_error(None, str(refusal))
        return None
    messages.success(request, _("Decision %(number)s is noted.") % {"number": consent.number})
    return consent


@needs("estimate")
@require_POST
def link_make(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """Make a link, and show it once on the page that follows."""
    case = case_for(request.user, number, to="estimate")
    link, token = make_link(estimate_of(case, version), by=request.user, at=timezone.now())
    request.session[NEW_LINK] = [link.pk, token]
    return redirect("estimates:link_shown", number, version)


@needs("estimate")
def link_shown(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """The one page that shows a new link, once: only its hash is kept."""
    case = case_for(request.user, number, to="estimate")
    row = estimate_of(case, version)
    pk, token = request.session.pop(NEW_LINK, (None, ""))
    shown = row.links.filter(pk=pk, revoked_at=None).first()
    if shown is None:
        messages.info(request, _("A link is shown once. When it is lost, make another."))
        return redirect(row)
    address = link_address(token)
    facts = {"case": case, "estimate": row, "link": shown, "address": address}
    facts |= mail_words(row, address)
    answer = render(request, "estimates/consent/link.html", facts)
    answer["Cache-Control"] = "private, no-store"
    return answer


def mail_words(row: Estimate, address: str) -> dict[str, str]:
    """Subject and text of the e-mail that takes the link to the owner, in their language."""
    case = row.case
    with translation.override(case.owner.language):
        about = {"number": case.number, "instrument": case.instrument, "address": address}
        text = _(
            "Good day,\n\nhere is our estimate %(number)s for: %(instrument)s.\n"
            "Look at it, and tell us your decision, through this link:\n\n"
            "%(address)s\n\n%(house)s"
        )
        return {
            "mail_subject": _("Estimate %(number)s") % about,
            "mail_body": text % (about | {"house": House.present().name}),
        }


@needs("estimate")
@require_POST
def links_revoke(request: SignedInRequest, number: str, version: int) -> HttpResponse:
    """Close every open link to the version."""
    case = case_for(request.user, number, to="estimate")
    row = estimate_of(case, version)
    revoke_links(row, by=request.user, at=timezone.now())
    messages.success(request, _("The links of this version open nothing any more."))
    return redirect(row)


def _consent_of(case: Case, consent: int) -> Consent:
    rows = case.consents.select_related("estimate__paper", "option", "noted_by", "link")
    row = get_object_or_404(rows, number=consent)
    row.case = row.estimate.case = case
    return row


@needs("see_prices")
def consent_detail(request: SignedInRequest, number: str, consent: int) -> HttpResponse:
    """A decision as it was noted, with what was shown."""
    case = case_for(request.user, number, to="view")
    row = _consent_of(case, consent)
    sheet = consent_sheet(row, made_at=timezone.now())
    facts = {
        "case": case,
        "consent": row,
        "body": sheet.body,
        "language": sheet.language,
        "is_newest": not case.consents.filter(number__gt=consent).exists(),
    }
    return render(request, "estimates/consent/consent.html", facts)


@needs("see_prices")
def record_preview(request: SignedInRequest, number: str, consent: int) -> HttpResponse:
    """The record as a PDF, before it is sealed."""
    case = case_for(request.user, number, to="view")
    sheet = consent_sheet(_consent_of(case, consent), made_at=timezone.now())
    return pdf_answer(print_pdf(sheet)[0], f"{case.number}-consent-{consent}-preview.pdf")


@needs("estimate")
@require_POST
def record_issue(request: SignedInRequest, number: str, consent: int) -> HttpResponse:
    """Print and seal the record of a decision."""
    case = case_for(request.user, number, to="estimate")
    paper = issue_record(_consent_of(case, consent), by=request.user, at=timezone.now())
    messages.success(request, _("%(title)s is issued.") % {"title": paper.title})
    return redirect("papers:detail", paper.uuid)
