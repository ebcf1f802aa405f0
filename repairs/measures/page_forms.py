"""The links and forms of a page, read as a browser reads them."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

TYPED = {"input", "select", "textarea", "button"}
UNSENT = {"reset", "image"}


@dataclass(frozen=True)
class Field:
    """A field of a form: its name, kind (the type of an input, or its element) and value."""

    name: str
    kind: str
    value: str


@dataclass
class Form:
    """A form: where it leads, by which method, and what it sends as it stands."""

    action: str
    method: str
    fields: list[Field] = field(default_factory=list)


class Page(HTMLParser):
    """Links and forms of one page; fields that name their form by ``form=`` come to it."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.links: list[str] = []
        self.forms: list[Form] = []
        self._named: dict[str, Form] = {}
        self._away: list[tuple[str, Field]] = []
        self._now: Form | None = None
        self._select = self._area = ""
        self._whose = ""
        self._words: list[str] = []
        self.feed(text)
        for name, one in self._away:
            if name in self._named:
                self._named[name].fields.append(one)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A link, a form, or a field of one."""
        said = {name: value or "" for name, value in attrs}
        if tag == "a" and said.get("href"):
            self.links.append(said["href"])
        elif tag == "form":
            self._now = Form(said.get("action", ""), said.get("method", "get").lower())
            self.forms.append(self._now)
            if said.get("id"):
                self._named[said["id"]] = self._now
        elif tag == "option" and self._select:
            if "selected" in said or not self._words:
                self._words[:] = [said.get("value", "")]
        elif tag in TYPED and said.get("name") and said.get("type") not in UNSENT:
            self._field(tag, said)

    def _field(self, tag: str, said: dict[str, str]) -> None:
        self._whose = said.get("form", "")
        if tag in ("select", "textarea"):
            self._select = said["name"] if tag == "select" else ""
            self._area = said["name"] if tag == "textarea" else ""
            self._words = []
        else:
            kind = said.get("type", "text" if tag == "input" else "button")
            self._keep(Field(said["name"], kind, said.get("value", "")))

    def handle_data(self, data: str) -> None:
        """What stands in a long field."""
        if self._area:
            self._words.append(data)

    def handle_endtag(self, tag: str) -> None:
        """The end of a form, of a list or of a long field."""
        if tag == "form":
            self._now = None
        elif tag == "select" and self._select:
            self._keep(Field(self._select, "select", self._words[0] if self._words else ""))
            self._select = ""
        elif tag == "textarea" and self._area:
            self._keep(Field(self._area, "textarea", "".join(self._words)))
            self._area = ""

    def _keep(self, one: Field) -> None:
        if self._whose:
            self._away.append((self._whose, one))
        elif self._now is not None:
            self._now.fields.append(one)
