"""A page that says why a form was not taken, and holds what was typed, to be sent once more."""

from __future__ import annotations

from enum import Enum
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.http.multipartparser import MultiPartParserError
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.template.loader import get_template
from django.utils.datastructures import MultiValueDict
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.screens.once import FIELD, NOT_WORDS, SAME


class Again(Enum):
    """Why it was not taken. Title, sentence, word of the button, status of the answer."""

    NO_TOKEN = (
        _("Not sent yet"),
        _(
            "This page was opened before the app was last changed, so that it cannot be told "
            "whether its form was sent already. What you typed is kept below: look first whether "
            "it is there, and send it if it is not."
        ),
        _("Send it now"),
        409,
    )
    OTHER_WORDS = (
        _("Sent already, with other words"),
        _(
            "The form of this page was sent once before, and that was kept. What you typed this "
            "time says something else. If it is meant besides, send it as a new one; if you meant "
            "to correct what was kept, open that instead."
        ),
        _("Send it as a new one"),
        409,
    )
    RUNNING = (
        _("It is being kept"),
        _(
            "This form was sent already and is still being worked on. It will be done once, "
            "however often it is sent. Ask again in a moment."
        ),
        _("Ask again"),
        409,
    )
    REFUSED = (
        _("Not kept yet"),
        _("This form was sent twice; the first one was refused. What you typed is kept below."),
        _("Send it now"),
        409,
    )
    DISK_FULL = (
        _("The disk is full"),
        _(
            "There is no room left on the server’s disk: nothing of this was saved. Whoever looks "
            "after the server must make room. What you typed is kept below: leave this page open "
            "and send it then."
        ),
        _("Send it again"),
        507,
    )
    DATABASE_AWAY = (
        _("The casebook cannot be reached"),
        _(
            "The database does not answer just now, or is held by something else: nothing of this "
            "can be said to be saved. What you typed is kept below: leave this page open, wait a "
            "minute and send it again; it will be done once. If it goes on, tell whoever looks "
            "after the server."
        ),
        _("Send it again"),
        503,
    )

    @property
    def title(self) -> Promise:
        """The headline."""
        return self.value[0]

    @property
    def sentence(self) -> Promise:
        """What is the matter and how to mend it."""
        return self.value[1]

    @property
    def button(self) -> Promise:
        """What sending once more is called."""
        return self.value[2]

    @property
    def status(self) -> int:
        """Of the answer."""
        return self.value[3]


def send_again(request: HttpRequest, why: Again) -> HttpResponse:
    """The page; its form carries all that was typed, but passwords and files."""
    return render(request, "screens/send_again.html", _facts(request, why), status=why.status)


def _facts(request: HttpRequest, why: Again) -> dict[str, Any]:
    typed, files = _sent(request)
    shown = [
        (name, value)
        for name, values in typed.lists()
        for value in values
        if name not in NOT_WORDS and "password" not in name
    ]
    return {
        "why": why,
        "shown": shown,
        # Whoever waits asks for the same form; every other one is a form of its own.
        SAME: typed.get(FIELD, "") if why in (Again.RUNNING, Again.DATABASE_AWAY) else "",
        "files": [file.name for name in files for file in files.getlist(name)],
        "back": request.headers.get("Referer") or "/",
        "lacks_password": any("password" in name for name in typed),
    }


def disk_full(request: HttpRequest) -> HttpResponse:
    """The same for a full disk; a script is told in its own way, and tries again later."""
    if request.accepts("text/html"):
        return send_again(request, Again.DISK_FULL)
    told = {"error": str(_("There is no room left on the server’s disk: nothing was saved."))}
    return JsonResponse(told, status=Again.DISK_FULL.status)


def database_away(request: HttpRequest) -> HttpResponse:
    """The same where the database cannot be asked: a page that knows neither person nor house."""
    if not request.accepts("text/html"):
        told = {"error": str(_("The database does not answer just now. Try again in a minute."))}
        return JsonResponse(told, status=Again.DATABASE_AWAY.status)
    facts = {**_facts(request, Again.DATABASE_AWAY), "csrf_token": get_token(request)}
    facts["is_post"] = request.method == "POST"
    page = get_template("away.html").render(facts)  # without a request: nothing asks the database
    return HttpResponse(page, status=Again.DATABASE_AWAY.status)


def _sent(request: HttpRequest) -> tuple[QueryDict, MultiValueDict[str, UploadedFile]]:
    """What was typed and chosen, unless it could not even be read."""
    try:
        return request.POST, request.FILES
    except (OSError, MultiPartParserError):
        return QueryDict(), MultiValueDict()
