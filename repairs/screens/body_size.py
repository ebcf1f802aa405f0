"""How much a request may bring: looked at before a byte of its body is read.

What a stranger sends is small, but for the file that the page that checks papers takes; of what is
larger only the length is read. Who signed in may send what a form of photos weighs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import Resolver404, resolve
from django.utils.translation import gettext as _

from repairs.screens.addresses import address_of
from repairs.screens.middleware import Answer
from repairs.screens.throttle import Brake, too_early

STRANGERS_MOST = 1024 * 1024  # a decision with a drawn signature has some 100 KB
View = Callable[..., HttpResponseBase]


@dataclass(frozen=True)
class Taken:
    """What a view takes from strangers: so many bytes, so often from one address."""

    most_bytes: int
    brake: Brake


def takes_of_strangers(most_bytes: int, brake: Brake) -> Callable[[View], View]:
    """Mark a view that takes more than a form from whoever comes."""

    def mark(view: View) -> View:
        """The view with its mark."""

        @wraps(view)
        def marked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            """The page."""
            return view(request, *args, **kwargs)

        marked.of_strangers = Taken(most_bytes, brake)  # type: ignore[attr-defined]
        return marked

    return mark


class BodySizeMiddleware:
    """Right behind the one that knows who signed in; nothing before it reads the body."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        refused = _refused(request)
        return refused or self.get_response(request)


def _refused(request: HttpRequest) -> HttpResponse | None:
    length = _length(request)
    if length is None:
        said = _("The length of what was sent is not told. Send it from a browser.")
        return _unread(request, said, 411)
    # A stranger's small form is not even asked who sends it.
    if length <= STRANGERS_MOST:
        return None
    if request.user.is_authenticated:
        return _too_large(request, length, settings.BODY_MAX_BYTES)
    taken = _taken(request)
    if taken is None:
        return _too_large(request, length, STRANGERS_MOST)
    if length > taken.most_bytes:
        return _too_large(request, length, taken.most_bytes)
    if wait_s := taken.brake.count(address_of(request)):
        return _unread(request, too_early(wait_s), 429)
    return None


def _length(request: HttpRequest) -> int | None:
    told = request.META.get("CONTENT_LENGTH") or ""
    if not told:
        return None if request.META.get("HTTP_TRANSFER_ENCODING") else 0
    return int(told) if told.isdecimal() else None


def _taken(request: HttpRequest) -> Taken | None:
    try:
        return getattr(resolve(request.path_info).func, "of_strangers", None)
    except Resolver404:
        return None


def _too_large(request: HttpRequest, length: int, most: int) -> HttpResponse | None:
    if length <= most:
        return None
    mega = 1024 * 1024
    said = _("This has %(size)s MB; no more than %(most)s MB are taken here. Nothing was saved.")
    words = said % {"size": -(-length // mega), "most": most // mega}
    return _unread(request, words, 413)


def _unread(request: HttpRequest, said: str, status: int) -> HttpResponse:
    """A page by itself, without the house and its rows; and the rest of the body is not awaited."""
    leave = getattr(request.META.get("gunicorn.socket"), "leave_unread", None)
    if leave is not None:
        leave()
    return render(request, "screens/unread.html", {"said": said}, status=status)
