"""The forms of a page as a browser without JavaScript sees them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

CHOSEN = {"hidden", "submit", "button", "reset", "image", "file", "checkbox", "radio", "password"}


@dataclass
class Field:
    """One control with its name, as it stands in the page."""

    name: str
    kind: str
    value: str = ""
    is_on: bool = True
    part: int = 0

    @property
    def is_typed(self) -> bool:
        """Whether somebody writes into it."""
        return self.kind not in CHOSEN


@dataclass
class Form:
    """One form: where it goes, what it sends, and the keys that send it."""

    id: str
    action: str
    method: str
    fields: list[Field] = field(default_factory=list)
    keys: list[dict[str, str]] = field(default_factory=list)
    carries: bool = False

    @property
    def writes(self) -> bool:
        return self.method == "post"

    @property
    def typed(self) -> list[Field]:
        return [one for one in self.fields if one.is_typed]

    def sent(self, key: dict[str, str]) -> dict[str, Any]:
        """What that key sends."""
        said: dict[str, Any] = {}
        for one in self.fields:
            if one.name and one.is_on:
                said.setdefault(one.name, []).append(one.value)
        if key.get("name"):
            said.setdefault(key["name"], []).append(key.get("value", ""))
        return said


class Forms(HTMLParser):
    """All forms of a page, with what ``form=`` ties to them from elsewhere."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self._open: Form | None = None
        self._area: Field | None = None
        self._select: Field | None = None
        self._blocks: list[int] = []
        self._part, self._parts_n = 0, 0
        self._strays: list[tuple[str, Field | dict[str, str]]] = []
        self.feed(page)
        by_id = {form.id: form for form in self.forms if form.id}
        for name, one in self._strays:
            if name in by_id:
                target = by_id[name]
                target.keys.append(one) if isinstance(one, dict) else target.fields.append(one)

    def __iter__(self) -> Iterator[Form]:
        return iter(self.forms)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            method = said.get("method", "get").lower()
            self._open = Form(said.get("id", ""), said.get("action", ""), method)
            self._open.carries = "data-carries" in said
            self.forms.append(self._open)
        elif tag == "div":
            self._blocks.append(self._part)
            if "data-part" in said:
                self._parts_n += 1
                self._part = self._parts_n
        elif tag == "button" and said.get("type", "submit") == "submit":
            self._put(said | {"part": str(self._part)}, said.get("form", ""))
        elif tag == "option" and self._select is not None:
            if "selected" in said or not self._select.is_on:
                self._select.value, self._select.is_on = said.get("value", ""), True
        elif tag in ("input", "textarea", "select"):
            self._control(tag, said)

    def _control(self, tag: str, said: dict[str, str]) -> None:
        kind = said.get("type", "text") if tag == "input" else tag
        if tag == "select":
            kind = "radio"  # chosen, not typed
        ticked = kind not in ("checkbox", "radio") or tag == "select" or "checked" in said
        one = Field(said.get("name", ""), kind, said.get("value", ""), ticked, self._part)
        if tag == "textarea":
            self._area = one
        if tag == "select":
            one.is_on = False
            self._select = one
        if one.kind not in ("submit", "button", "reset", "image"):
            self._put(one, said.get("form", ""))

    def _put(self, one: Field | dict[str, str], tied: str) -> None:
        if tied:
            self._strays.append((tied, one))
        elif self._open is not None:
            keys, fields = self._open.keys, self._open.fields
            keys.append(one) if isinstance(one, dict) else fields.append(one)

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            self._area.value += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self._area is not None:
            self._area.value = self._area.value.removeprefix("\n")
            self._area = None
        if tag == "select":
            self._select = None
        if tag == "form":
            self._open = None
        if tag == "div":
            self._part = self._blocks.pop()
