"""Ask every form for its one-time token, and lead a second post to where the first one led."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib import messages
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from repairs.screens import once
from repairs.screens.middleware import Answer
from repairs.screens.once_models import SentForm
from repairs.screens.refusals import SentElsewhereError
from repairs.screens.send_again import Again, send_again

FORMS = frozenset({"application/x-www-form-urlencoded", "multipart/form-data"})
VISIT = "once_visit"
MOST_PLACE = 2000
log = logging.getLogger(__name__)


class OnceMiddleware:
    """After the guard against foreign sites, and around every view that takes a form."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.once = None  # type: ignore[attr-defined]
        try:
            answer = self.get_response(request)
            if mine := request.once:  # type: ignore[attr-defined]
                _settle(request, mine, answer)
        finally:
            once.hold(None)
        return answer

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        """Claim the form for this request; whoever sent it before gets the answer of then."""
        if request.method != "POST" or request.content_type not in FORMS:
            return None  # what a script sends as data bears names of its own
        if hasattr(view, "harmless_again"):
            return None
        token = request.POST.get(once.FIELD, "")
        if not token:
            return None if _needs_none(request) else send_again(request, Again.NO_TOKEN)
        words = once.words_of(request, token)
        got = once.claim(token, _place(request), words)
        if isinstance(got, SentForm):
            return _landed(request, got, words)
        request.once = got  # type: ignore[attr-defined]
        once.hold(got)
        return None

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        """Another post was faster, and this one is undone: its answer is the answer."""
        if not isinstance(fault, SentElsewhereError):
            return None
        mine: once.Claim = request.once  # type: ignore[attr-defined]
        request.once = None  # type: ignore[attr-defined]
        row = SentForm.objects.filter(pk=mine.pk).first()
        return _landed(request, row, row.words_hash if row else "")


def remember(request: HttpRequest, name: str, value: Any) -> None:
    """Put it into the visit, and into that of whoever sends the same form again."""
    request.session[name] = value
    kept = getattr(request, VISIT, {})
    setattr(request, VISIT, {**kept, name: value})


def _needs_none(request: HttpRequest) -> bool:
    """A script of ours, whose taps bear names of their own: no form can send that header.

    And Django's own test client, which is asked for no token against foreign sites either.
    """
    is_test = bool(getattr(request, "_dont_enforce_csrf_checks", False))
    return is_test or "X-Csrftoken" in request.headers


def _place(request: HttpRequest) -> str:
    return f"{request.user.pk or ''} {request.get_full_path()}"


def _settle(request: HttpRequest, mine: once.Claim, answer: HttpResponse) -> None:
    """A redirect is where the form led; a form that is shown again was not used up."""
    visit = getattr(request, VISIT, {})
    try:
        if answer.status_code >= 500:
            once.settle_fault(mine, _page_before(request))
        elif answer.status_code in (301, 302, 303) and not _is_the_door(answer):
            once.settle(mine, answer["Location"][:MOST_PLACE], visit)
        else:
            once.settle(mine, "", visit)
    except DatabaseError:
        # What was kept is marked in its own transaction; only where it led to is not known.
        log.exception("where a form led could not be noted")


def _is_the_door(answer: HttpResponse) -> bool:
    """Whether it asks to sign in first: nothing was done."""
    return urlsplit(answer["Location"]).path == resolve_url(settings.LOGIN_URL)


def _landed(request: HttpRequest, known: SentForm | None, words: str) -> HttpResponse:
    row = once.wait_for(known) if known else None
    if row is None:  # the first post was refused: this page may be sent as it stands
        return send_again(request, Again.REFUSED)
    if not once.has_ended(row):
        return send_again(request, Again.RUNNING)
    if row.words_hash != words:
        return send_again(request, Again.OTHER_WORDS)
    for name, value in row.visit.items():
        request.session[name] = value
    if request.user.is_authenticated:
        messages.info(request, _("This form was sent twice. It was kept once."))
    return HttpResponseRedirect(row.location or _page_before(request))


def _page_before(request: HttpRequest) -> str:
    """The page of the form, if the browser tells it and it is one of this house."""
    told = request.headers.get("Referer", "")
    if url_has_allowed_host_and_scheme(told, {request.get_host()}, request.is_secure()):
        return told
    return "/"
