"""The style of a paper: its files as one text, tokens set in, without the rules it has no use for.

A report has some two thousand elements, and the page maker holds each against every rule; a
variable it looks up anew for each of them. Both are settled here, once.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from django.contrib.staticfiles import finders

from repairs.press.refusals import PaperNotPrintableError

# The same tokens serve the screens. Later files may narrow what earlier ones say.
SHEETS = (
    "tokens",
    "paper",
    "paper-plates",
    "paper-report",
    "paper-annex",
    "paper-work",
    "paper-owner",
    "paper-estimate",
    "paper-money",
    "paper-label",
)
COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
TOKEN = re.compile(r"(--[\w-]+):\s*([^;]+);")
USE = re.compile(r"var\((--[\w-]+)\)")
CLASS_OF_RULE = re.compile(r"\.([A-Za-z][\w-]*)")
CLASSES_OF_PAGE = re.compile(r'class="([^"]*)"')


@dataclass(frozen=True)
class Rule:
    """One rule as it is written; each selector with the classes without which it means nothing."""

    selectors: tuple[tuple[str, frozenset[str]], ...]
    body: str

    def for_page(self, classes: frozenset[str]) -> str:
        """The rule with the selectors that may fit a page with those classes; empty for none."""
        fitting = [text for text, wanted in self.selectors if wanted <= classes]
        return f"{','.join(fitting)}{{{self.body}}}" if fitting else ""


def style_of(html: str) -> str:
    """What of the papers' style that page can use. Raises PaperNotPrintableError without it."""
    classes = frozenset(" ".join(CLASSES_OF_PAGE.findall(html)).split())
    fitting = [rule.for_page(classes) for rule in rules()]
    if USE.search(html):  # in a style of its own
        fitting.insert(0, tokens())
    return "\n".join(filter(None, fitting))


@cache
def tokens() -> str:
    """The tokens by themselves, for a page that names them in a style of its own."""
    named = TOKEN.findall(COMMENT.sub("", "\n".join(_texts())))
    return f":root{{{';'.join(f'{name}:{value}' for name, value in named)}}}"


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule of the papers' style, read once a process."""
    text = COMMENT.sub("", "\n".join(_texts()))
    named = dict(TOKEN.findall(text))
    while USE.search(text):
        text = USE.sub(lambda use: named[use[1]], text)
    return tuple(_parsed(text))


def _texts() -> Iterable[str]:
    for name in SHEETS:
        found = finders.find(f"repairs/css/{name}.css")
        if not isinstance(found, str):
            raise PaperNotPrintableError(why=f"{name}.css")
        yield Path(found).read_text(encoding="utf-8")


def _parsed(text: str) -> Iterable[Rule]:
    """The rules of the outermost level; what stands inside one (a margin box) stays in it."""
    depth, start, opened = 0, 0, 0
    for place, letter in enumerate(text):
        if letter == "{":
            opened = opened if depth else place
            depth += 1
        elif letter == "}":
            depth -= 1
            if depth == 0:
                head, body = text[start:opened].strip(), text[opened + 1 : place].strip()
                start = place + 1
                if head != ":root":
                    yield Rule(tuple(_selectors(head)), body)


def _selectors(head: str) -> Iterable[tuple[str, frozenset[str]]]:
    if head.startswith("@"):
        yield head, frozenset()
        return
    for selector in head.split(","):
        yield selector.strip(), frozenset(CLASS_OF_RULE.findall(selector))
