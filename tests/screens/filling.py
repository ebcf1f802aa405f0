"""A form as a browser sends it: found on its page, with all that stands in its fields."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from itertools import chain
from typing import Any

from django.test import Client as Browser

from tests.forms_of import Forms as WholeForms

ORIGIN = "http://testserver"


@dataclass
class Form:
    """What one form of a page holds, and where it is sent."""

    action: str
    fields: dict[str, list[str]] = field(default_factory=dict)


class Forms(HTMLParser):
    """All forms of a page that are sent by POST."""

    def __init__(self, page: str, address: str) -> None:
        super().__init__()
        self.address = address
        self.found: list[Form] = []
        self.open: Form | None = None
        self.choice, self.text = "", ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form" and said.get("method", "").lower() == "post":
            self.open = Form(said.get("action") or self.address)
            self.found.append(self.open)
        if self.open is None or "disabled" in said:
            return
        if tag == "input":
            self._input(said)
        elif tag in ("select", "textarea"):
            self.choice, self.text = said.get("name", ""), ""
            self.open.fields.setdefault(self.choice, [""])
        elif tag == "option" and self.choice and "selected" in said:
            self.open.fields[self.choice] = [said.get("value", "")]

    def _input(self, said: dict[str, str]) -> None:
        assert self.open is not None
        kind = said.get("type", "text")
        unticked = kind in ("checkbox", "radio") and "checked" not in said
        if "name" in said and not unticked and kind not in ("file", "submit", "button"):
            self.open.fields.setdefault(said["name"], []).append(said.get("value", ""))

    def handle_data(self, data: str) -> None:
        self.text += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.open = None
        elif tag == "textarea" and self.open is not None and self.choice:
            self.open.fields[self.choice] = [self.text.removeprefix("\n")]
        if tag in ("select", "textarea"):
            self.choice = ""


def form_of(browser: Browser, page: str, action: str = "") -> Form:
    """What the page sends to that address, by a form of its own or by a key of the whole page's;
    without an address, to the page itself."""
    answer = browser.get(page)
    assert answer.status_code == 200, (page, answer.status_code)
    forms = Forms(answer.text, page).found
    wanted = action or page
    own = (form for form in forms if form.action == wanted)
    keyed = (
        Form(wanted, form.sent({}))
        for form in WholeForms(answer.text)
        if any(key.get("formaction") == wanted for key in form.keys)
    )
    return next(chain(own, keyed))


def send(browser: Browser, form: Form, **changed: Any) -> Any:
    """Send it with what is typed besides."""
    return browser.post(form.action, {**form.fields, **changed}, headers={"referer": ORIGIN})


def other_page(form: Form, browser: Browser, page: str) -> Form:
    """The same form of the page opened anew."""
    return form_of(browser, page, form.action)


def tokens_in(page: str) -> list[str]:
    return re.findall(r'name="once" value="([^"]+)"', page)
