"""people.middleware: moved here."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils import translation

from repairs.screens.middleware import Answer


class PersonMiddleware:
    """A signed-in person reads in the language of their profile, on every device."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        chosen = getattr(request.user, "language", "")
        if chosen:
            translation.activate(chosen)
            request.LANGUAGE_CODE = chosen
        return self.get_response(request)
