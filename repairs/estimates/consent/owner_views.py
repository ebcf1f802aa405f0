"""What the owner sees through the link: one version, one decision, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from io import BytesIO
from typing import Any

from django.conf import settings
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from repairs.estimates.consent.decide import decide
from repairs.estimates.consent.forms import SignedForm, shown_content
from repairs.estimates.consent.links import link_of, note_opened, note_taken
from repairs.estimates.consent.record import consent_sheet
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.refusals import LinkSpentError
from repairs.language.refusal import WorkshopError
from repairs.language.text import LANGUAGES
from repairs.people.models import Client
from repairs.screens.addresses import address_of
from repairs.screens.once_middleware import remember
from repairs.screens.throttle import Brake, too_early, when
from repairs.storage.reading import read_kept, there
from repairs.storage.refusals import FileLostError

# Of links that open nothing, by address; of decisions sent, by link.
GUESSES = Brake("consent.address", free=30, first_s=10, most_s=900, forget_s=3600)
DECISIONS = Brake("consent.link", free=30, first_s=10, most_s=900, forget_s=24 * 3600)
DECIDED = "consent_decided"
View = Callable[..., HttpResponseBase]


def for_the_owner(view: View) -> View:
    """Brake guessing, say one sentence for every link that opens nothing, and leave no trace.

    The policy on referrers is that of the house, “same-origin”: no other site learns the address.
    Under “no-referrer” browsers would send the form with no origin at all, and it would be refused
    as one of another site.
    """

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """The page, unless the address tried too often or the link is spent."""
        address = address_of(request)
        if wait_s := GUESSES.wait_s(address):
            answer: HttpResponseBase = _refused(request, too_early(wait_s), 429)
            answer["Retry-After"] = str(wait_s)
        else:
            try:
                answer = view(request, *args, **kwargs)
            except LinkSpentError as spent:
                GUESSES.count(address)
                answer = _refused(request, str(spent), spent.status)
            except FileLostError as lost:
                answer = _refused(request, str(lost), lost.status)
        answer["Cache-Control"] = "private, no-store"
        answer["X-Robots-Tag"] = "noindex, nofollow"
        answer["Referrer-Policy"] = "same-origin"
        return answer

    return guarded


def _refused(request: HttpRequest, refusal: str, status: int) -> HttpResponse:
    return render(request, "estimates/consent/no_link.html", {"refusal": refusal}, status=status)


def _language(request: HttpRequest, owner: Client) -> str:
    """The owner's, unless the one who looks has chosen another."""
    if request.user.is_authenticated:
        return translation.get_language() or owner.language
    chosen = request.COOKIES.get(settings.LANGUAGE_COOKIE_NAME, "")
    return chosen if chosen in LANGUAGES else owner.language


@require_http_methods(["GET", "HEAD", "POST"])
@for_the_owner
def decide_page(request: HttpRequest, token: str) -> HttpResponse:
    """Looking repeats until the link expires; only a decision that is noted uses it up."""
    link = link_of(token, at=timezone.now())
    if request.method == "GET":
        note_opened(link, at=timezone.now())
    elif wait_s := DECISIONS.count(link.token_hash):
        refusal = _("This form was sent too often.") + " " + when(wait_s)
        return _refused(request, refusal, 429)
    estimate = link.estimate
    with translation.override(_language(request, estimate.case.owner)):
        form = SignedForm(request.POST or None, estimate=estimate)
        if request.method == "POST" and form.is_valid() and _noted(request, link, form):
            return redirect("estimates:thanks")
        facts = {
            "estimate": estimate,
            "form": form,
            "content": form.content,
            "language": estimate.paper.language if estimate.paper else "",
            "link": link,
            "token": token,
        }
        return render(request, "estimates/consent/decide.html", facts)


def _noted(request: HttpRequest, link: ConsentLink, form: SignedForm) -> bool:
    """Whether the decision could be noted; if not, the form says why."""
    said = form.said(Consent.How.LINK)
    try:
        consent = decide(link.estimate, said, link=link, by=None, at=timezone.now())
    except LinkSpentError:
        raise
    except WorkshopError as refusal:
        form.add_error(None, str(refusal))
        return False
    remember(request, DECIDED, consent.pk)
    return True


@require_safe
@for_the_owner
def thanks(request: HttpRequest) -> HttpResponse:
    """What was just agreed or declined, for the window in which it was done."""
    rows = Consent.objects.select_related(
        "case__owner", "case__instrument", "estimate", "option", "noted_by", "link"
    )
    decided = request.session.get(DECIDED)
    consent = rows.filter(pk=decided).first() if decided else None
    if consent is None:
        raise LinkSpentError
    with translation.override(_language(request, consent.case.owner)):
        sheet = consent_sheet(consent, made_at=timezone.now())
        facts = {"consent": consent, "body": sheet.body, "language": sheet.language}
        return render(request, "estimates/consent/thanks.html", facts)


@require_safe
@for_the_owner
def decide_file(request: HttpRequest, token: str) -> FileResponse:
    """The issued paper itself, byte for byte."""
    link = link_of(token, at=timezone.now())
    paper = link.estimate.paper
    if paper is None:
        raise LinkSpentError
    name = f"{paper.code}.pdf"
    data = BytesIO(read_kept(paper.file_name, paper.sha256))
    note_taken(link, "paper", at=timezone.now())
    return FileResponse(data, content_type="application/pdf", filename=name)


@require_safe
@for_the_owner
def decide_picture(request: HttpRequest, token: str, which: int) -> FileResponse:
    """One of the photos of the issued paper, by its place on it; no other of the case."""
    link = link_of(token, at=timezone.now())
    pictures = shown_content(link.estimate).get("pictures", ())
    if not 1 <= which <= len(pictures):
        raise Http404
    path = there(pictures[which - 1]["picture"])
    note_taken(link, str(which), at=timezone.now())
    return FileResponse(path.open("rb"), content_type="image/jpeg")
