"""A browser that opens a page, fills its form and sends it, as a person of the house does."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Any
from urllib.parse import urljoin

from django.conf import settings
from django.test import Client

from repairs.measures.page_forms import Form, Page

CHOSEN = {"checkbox", "radio", "button", "submit", "file"}  # go out only when they are asked for
SESSION, GUARD = settings.SESSION_COOKIE_NAME, settings.CSRF_COOKIE_NAME


@dataclass(frozen=True)
class Act:
    """A form as it is about to be sent: enough for another process to send the very same."""

    mark: str
    path: str
    words: dict[str, list[str]]
    cookies: dict[str, str]

    def text(self) -> str:
        """As one line."""
        return json.dumps(asdict(self))


def act_of(line: str) -> Act:
    """The act that was told in a line."""
    return Act(**json.loads(line))


def browser(session: str = "") -> Client:
    """One that is asked for every token, as real ones are, and signed in where there is a visit."""
    made = Client(
        enforce_csrf_checks=True,
        raise_request_exception=False,
        SERVER_NAME=settings.ALLOWED_HOSTS[0],
    )
    if session:
        made.cookies[SESSION] = session
    return made


def filled(who: Any, mark: str, page: str, knows: str, **words: Any) -> Act:
    """Open the page, and fill the form that knows that field. Raises LookupError without one."""
    answer = who.get(page)
    form = next((one for one in _forms(answer) if knows in {f.name for f in one.fields}), None)
    if form is None:
        raise LookupError(f"{page} answered {answer.status_code} without a form for {knows}")
    said: dict[str, list[str]] = {}
    for one in form.fields:
        if one.kind not in CHOSEN:
            said.setdefault(one.name, []).append(one.value)
    typed = {name: [str(value)] for name, value in words.items()}
    cookies = {name: morsel.value for name, morsel in who.cookies.items()}
    return Act(mark, urljoin(page, form.action), said | typed, cookies)


def _forms(answer: Any) -> list[Form]:
    if answer.status_code != 200:
        return []
    return [form for form in Page(answer.content.decode()).forms if form.method == "post"]


def sent(act: Act, who: Any) -> tuple[int, str]:
    """Send it from a browser of its own: the status, and where it led."""
    for name, value in act.cookies.items():
        who.cookies[name] = value
    answer = who.post(act.path, act.words)
    return answer.status_code, answer.headers.get("Location", "")
