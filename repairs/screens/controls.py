"""Fields of a page of ours, found in its text and filled with what was typed.

Our templates write attributes in double quotes and escape what stands in them; no page of others
is ever read here.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

TAG = re.compile(
    r"<(/?)(form|input|textarea|select|option|details)\b((?:\"[^\"]*\"|[^>\"])*)>", re.IGNORECASE
)
ATTRIBUTE = re.compile(r"([\w:.-]+)(?:=\"([^\"]*)\")?")
NOT_TYPED = {"hidden", "submit", "button", "reset", "image", "file", "password"}
TICKS = {"checkbox", "radio"}
MARK = "data-carries"
ROW = re.compile(r'<input type="hidden" name="([\w-]+-id)" value="(\w+)"')
OF_ROW = re.compile(r"(.+-\d+)-(\w+)")


@dataclass(frozen=True)
class Tag:
    """A tag where it stands in the page."""

    start: int
    end: int
    name: str
    said: Mapping[str, str]


@dataclass
class Control:
    """A field with its value as it stands; ``value`` of a tick is empty when it is not set."""

    tag: Tag
    name: str
    kind: str
    value: str
    steady: str = ""  # its name, by the row that it is about
    end: int = 0  # of a box, behind its text
    options: list[Tag] = field(default_factory=list)
    folds: tuple[Tag, ...] = ()  # the details it lies in


def _tag(found: re.Match[str]) -> Tag:
    said = {name.lower(): html.unescape(value or "") for name, value in ATTRIBUTE.findall(found[3])}
    return Tag(found.start(), found.end(), found[2].lower(), said)


def steady(name: str, rows: Mapping[str, str]) -> str:
    """The name of a field in a table of rows by what its row is about, not by its place.

    ``rows`` are the hidden fields that tell it, such as ``form-3-id``.
    """
    found = OF_ROW.fullmatch(name)
    about = rows.get(f"{found[1]}-id") if found else None
    return f"{found[1].rpartition('-')[0]}-@{about}-{found[2]}" if found and about else name


def controls_of(page: str) -> list[Control]:
    """Every field of the form that carries, in the order of the page."""
    rows = dict(ROW.findall(page))
    controls = list(_Walk(page).controls())
    for one in controls:
        one.steady = steady(one.name, rows)
    return controls


class _Walk:
    """Where in the page it is: in which form, in which folds, in which list."""

    def __init__(self, page: str) -> None:
        self.page = page
        self.is_inside = False  # of any form
        self.is_own = False
        self.name = ""
        self.folds: list[Tag] = []
        self.choice: Control | None = None

    def controls(self) -> Iterator[Control]:
        """Every field of the form that carries."""
        steps = {
            ("form", False): self._form_opens,
            ("form", True): self._form_ends,
            ("details", False): self.folds.append,
            ("details", True): lambda _tag: self.folds.pop(),
            ("option", False): self._option,
            ("select", True): self._list_ends,
        }
        for found in TAG.finditer(self.page):
            tag, ends = _tag(found), bool(found[1])
            if step := steps.get((tag.name, ends)):
                step(tag)
            elif not ends and (one := self._own(tag)) is not None:
                self.choice = one if one.kind == "select" else None
                yield one

    def _form_opens(self, tag: Tag) -> None:
        self.is_inside, self.is_own = True, MARK in tag.said
        if self.is_own:
            self.name = tag.said.get("id", "")

    def _form_ends(self, _tag: Tag) -> None:
        self.is_inside = self.is_own = False

    def _option(self, tag: Tag) -> None:
        """The first of a list is chosen as long as no other says so."""
        if self.choice is None:
            return
        self.choice.options.append(tag)
        if "selected" in tag.said or len(self.choice.options) == 1:
            self.choice.value = tag.said.get("value", "")

    def _list_ends(self, _tag: Tag) -> None:
        self.choice = None

    def _own(self, tag: Tag) -> Control | None:
        tied = tag.said.get("form", "")
        is_own = tied == self.name if tied else self.is_inside and self.is_own
        is_field = tag.name in ("input", "textarea", "select") and bool(tag.said.get("name"))
        return _control(self.page, tag, tuple(self.folds)) if is_own and is_field else None


def _control(page: str, tag: Tag, folds: tuple[Tag, ...]) -> Control | None:
    kind = tag.said.get("type", "text") if tag.name == "input" else tag.name
    if kind in NOT_TYPED:
        return None
    one = Control(tag, tag.said["name"], kind, tag.said.get("value", ""), folds=folds)
    if kind in TICKS:
        one.value = tag.said.get("value", "on") if "checked" in tag.said else ""
    if kind == "textarea":
        one.end = page.index("</textarea>", tag.end)
        one.value = html.unescape(page[tag.end : one.end]).removeprefix("\n")
    return one


def fill(
    page: str, controls: Iterable[Control], typed: Mapping[str, list[str]]
) -> tuple[str, bool]:
    """The page with these values in its fields, and whether any of them stood otherwise."""
    changes: dict[int, tuple[int, str]] = {}
    seen: dict[str, int] = {}
    for one in controls:
        if one.steady not in typed:
            continue
        place = seen[one.steady] = seen.get(one.steady, -1) + 1
        wanted = _wanted(one, typed[one.steady], place)
        if wanted == one.value.replace("\r\n", "\n"):
            continue
        for start, end, text in _changed(one, wanted):
            changes[start] = (end, text)
        for fold in one.folds:
            changes[fold.start] = (fold.end, _opened(page[fold.start : fold.end]))
    for start in sorted(changes, reverse=True):
        end, text = changes[start]
        page = page[:start] + text + page[end:]
    return page, bool(changes)


def _wanted(one: Control, said: list[str], place: int) -> str:
    """The value of this one among the fields of its name."""
    if one.kind in TICKS:
        own = one.tag.said.get("value", "on")
        return own if own in said else ""
    return said[place].replace("\r\n", "\n") if place < len(said) else ""


def _changed(one: Control, wanted: str) -> Iterator[tuple[int, int, str]]:
    tag = one.tag
    if one.kind == "textarea":
        yield tag.end, one.end, "\n" + html.escape(wanted)
    elif one.kind == "select":
        for option in one.options:
            is_it = option.said.get("value", "") == wanted
            yield option.start, option.end, _written(option, "selected", "" if is_it else None)
    elif one.kind in TICKS:
        yield tag.start, tag.end, _written(tag, "checked", "" if wanted else None)
    else:
        yield tag.start, tag.end, _written(tag, "value", wanted)


def _written(tag: Tag, name: str, value: str | None) -> str:
    """The tag with that attribute, or without it."""
    said = {key: text for key, text in tag.said.items() if key != name}
    if value is not None:
        said[name] = value
    attributes = "".join(
        f' {key}="{html.escape(text)}"' if text or key == "value" else f" {key}"
        for key, text in said.items()
    )
    return f"<{tag.name}{attributes}>"


def _opened(text: str) -> str:
    """Of several that share a name a browser opens one: what was typed must be seen."""
    bare = re.sub(r"\s(?:open|name=\"[^\"]*\")(?=[\s>])", "", text)
    return bare.replace("<details", "<details open", 1)
