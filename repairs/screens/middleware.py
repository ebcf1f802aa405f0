"""Language of the person, and a plain page for a refusal that no view answered."""

from __future__ import annotations

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.middleware.gzip import GZipMiddleware
from django.shortcuts import render

from repairs.language.refusal import WorkshopError
from repairs.screens.send_again import database_away, disk_full
from repairs.storage.away import is_of_database_away
from repairs.storage.space import is_of_full_disk

TEXTS = {"text/html", "application/json", "image/svg+xml", "text/plain"}

Answer = Callable[[HttpRequest], HttpResponse]


class RefusalMiddleware:
    """Turn a WorkshopError that escaped a view into a page that says it, without a traceback."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if "\0" in request.path_info:  # PostgreSQL cannot even be asked for such a name
            raise Http404
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, refusal: Exception) -> HttpResponse | None:
        """The sentence of a refusal as a page, where no view showed it."""
        if is_of_full_disk(refusal):
            return disk_full(request)
        if is_of_database_away(refusal):
            return database_away(request)
        if not isinstance(refusal, WorkshopError):
            return None
        return render(request, "refused.html", {"refusal": str(refusal)}, status=refusal.status)


class PackingMiddleware(GZipMiddleware):
    """Pack pages and data on their way; pictures and papers are packed already.

    A token of a form is masked anew in every page, so that its length tells nothing
    (BREACH, CVE-2013-3587); Django adds a random length on top.
    """

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        """The answer packed, where it is text that we made."""
        kind = response.headers.get("Content-Type", "").partition(";")[0]
        if response.streaming or kind not in TEXTS:
            return response
        return super().process_response(request, response)


class DraftMiddleware:
    """Tell the device, on the page after a form was saved, that its draft may go."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        key = request.POST.get("draft_key", "") if request.method == "POST" else ""
        if key and answer.status_code == 302:
            answer.set_cookie("draft_sent", key[:120], max_age=60, samesite="Lax", httponly=True)
        elif "draft_sent" in request.COOKIES and _is_whole_page(request, answer):
            answer.delete_cookie("draft_sent")
        return answer


def _is_whole_page(request: HttpRequest, answer: HttpResponse) -> bool:
    """Whether a person sees this as a page; pictures and polled parts are none."""
    is_html = answer.headers.get("Content-Type", "").startswith("text/html")
    return answer.status_code == 200 and is_html and "HX-Request" not in request.headers
