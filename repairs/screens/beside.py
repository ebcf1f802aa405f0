"""What is typed on a page is not lost by another key of it, whichever that is.

A page with several deeds is one form (``<form data-carries>``, its address in ``typed_on``): each
key sends all that was typed, to the address of its own deed. What that deed does not take is kept
in the visit and stands in the page when it is shown again.
"""

from __future__ import annotations

import hashlib
import html
from collections.abc import Callable, Iterable, Mapping
from typing import Any
from urllib.parse import urlsplit

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from repairs.screens.controls import MARK, TICKS, Control, controls_of, fill, steady
from repairs.screens.middleware import Answer

PAGE, WAS = "typed_on", "typed_was"
KEPT = "typed_beside"
FORM = "application/x-www-form-urlencoded"
MOST_PAGES, MOST_LETTERS = 12, 60_000

Typed = Mapping[str, list[str]]


def took(request: HttpRequest, page: str, *names: str) -> None:
    """Say which fields this deed took from that page: their names, or with “-” how they begin.

    They are not shown again as typed. To be said when the deed is done.
    """
    request.taken = names  # type: ignore[attr-defined]
    kept = _kept(request)
    if page in kept:
        _keep(request, page, _without(kept[page], names))


def part_of(request: HttpRequest, prefix: str) -> QueryDict:
    """What was sent of one part of such a page; a script sends the bare names of its fields."""
    sent = request.POST.copy()
    if any(name.startswith(f"{prefix}-") for name in sent):
        return sent
    for name, said in request.POST.lists():
        sent.setlist(f"{prefix}-{name}", said)
    return sent


class BesideMiddleware:
    """The innermost, so that all others take the page as it is in the end."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.taken, request.carried = (), None  # type: ignore[attr-defined]
        answer = self.get_response(request)
        carries = _carries(answer)
        typed: Typed | None = request.carried  # type: ignore[attr-defined]
        # Whoever signed out has no visit any more.
        if typed is not None and not carries and request.user.is_authenticated:
            _come_back(request, answer, typed)
        if carries:
            is_read = request.method == "GET"
            _write(answer, typed or (_kept(request).get(request.path, {}) if is_read else {}))
        return answer

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> None:
        """Read what was typed; not reached by a form that was sent before, of which nothing is."""
        # Whoever takes a body piece by piece reads it itself: no page of ours sends another sort.
        if request.method == "POST" and request.content_type == FORM and PAGE in request.POST:
            request.carried = _typed(request)  # type: ignore[attr-defined]


def _come_back(request: HttpRequest, answer: HttpResponse, typed: Typed) -> None:
    """Keep what the deed did not take, and say so where its page is not the next one."""
    page = request.POST[PAGE]
    rest = _without(typed, request.taken)  # type: ignore[attr-defined]
    _keep(request, page, rest)
    led_to = urlsplit(answer.headers.get("Location", page)).path
    if rest and led_to != page:
        said = _("What you typed in other fields of the page before is kept there, and not sent.")
        messages.info(request, said)


def _carries(answer: HttpResponse) -> bool:
    kind = answer.headers.get("Content-Type", "")
    is_page = kind.startswith("text/html") and not answer.streaming
    return is_page and MARK.encode() in answer.content


def _write(answer: HttpResponse, typed: Typed) -> None:
    """Put what was typed into the page, and say in it how its fields stood before."""
    page = answer.content.decode()
    controls = controls_of(page)
    was = " ".join(f"{name}={_digest(said)}" for name, said in _stood(controls).items())
    told = ""
    if typed:
        page, is_other = fill(page, controls, typed)
        told = render_to_string("screens/_typed_beside.html") if is_other else ""
    place = page.index(">", page.index(MARK)) + 1
    hidden = f'<input type="hidden" name="{WAS}" value="{html.escape(was)}">'
    answer.content = page[:place] + hidden + told + page[place:]


def _stood(controls: Iterable[Control]) -> dict[str, list[str]]:
    """The values of the fields, by their names; a tick that is not set has none."""
    stood: dict[str, list[str]] = {}
    for one in controls:
        mine = stood.setdefault(one.steady, [])
        if one.value or one.kind not in TICKS:
            mine.append(one.value)
    return stood


def _typed(request: HttpRequest) -> dict[str, list[str]]:
    """What was typed since the page was opened: what came back as it stood was not.

    A tick that was taken away is not sent at all.
    """
    pairs = (pair.partition("=") for pair in request.POST.get(WAS, "").split())
    rows = {name: str(said) for name, said in request.POST.items() if name.endswith("-id")}
    sent = {steady(name, rows): said for name, said in request.POST.lists()}
    return {
        name: sent.get(name, [])
        for name, _sign, digest in pairs
        if _digest(sent.get(name, [])) != digest
    }


def _digest(said: Iterable[str]) -> str:
    plain = [one.replace("\r\n", "\n").strip() for one in said]
    return hashlib.sha256(repr(plain).encode(errors="replace")).hexdigest()[:10]


def _without(typed: Typed, taken: Iterable[str]) -> dict[str, list[str]]:
    """The rest, when fields of these names were taken."""
    names = tuple(taken)
    starts = tuple(one for one in names if one.endswith("-"))
    return {
        name: said
        for name, said in typed.items()
        if name not in names and not name.startswith(starts)
    }


def _kept(request: HttpRequest) -> dict[str, Any]:
    return dict(request.session.get(KEPT, {})) if hasattr(request, "session") else {}


def _keep(request: HttpRequest, page: str, typed: Typed) -> None:
    """Keep it in the visit; of many pages the latest, and of a page what a hand can type."""
    kept = _kept(request)
    was = kept.pop(page, None)
    if typed and sum(len(one) for said in typed.values() for one in said) <= MOST_LETTERS:
        kept[page] = dict(typed)
    if kept.get(page) != was:
        request.session[KEPT] = dict(list(kept.items())[-MOST_PAGES:])
