"""The table of contents of a long paper: its main headings, each with the page it stands on.

A template says where it goes by including ``press/_contents.html``. Whether there is one follows
from how long the paper turns out, which is known only once it is laid out: so its length is guessed
first, and the paper is laid out again where the guess was wrong.
"""

from __future__ import annotations

import re

FROM_PAGES = 8
PLACE = re.compile(r'<nav class="contents">.*?</nav>\s*', re.S)
LIST = "<!--contents-->"
HEADING = re.compile(r"<h2>(.*?)</h2>", re.S)
# What a page holds of each, were it full of nothing else, and what stays white at ends of pages;
# measured on eight reports of 4 to 11 pages. A wrong guess costs a second layout, nothing else.
FILLS_A_PAGE = {"<img ": 25.0, "<tr>": 60.0}
LETTERS_A_PAGE, WHITE_PAGES = 5500.0, 2.0


def has_place(html: str) -> bool:
    """Whether the paper would have a table of contents if it were long."""
    return PLACE.search(html) is not None


def seems_long(html: str) -> bool:
    """A guess whether the paper has so many pages that one wants a table of contents."""
    body = html.partition("<body")[2]
    pages = sum(body.count(what) / count for what, count in FILLS_A_PAGE.items())
    pages += len(re.sub(r"<[^>]+>", "", body)) / LETTERS_A_PAGE
    return pages + WHITE_PAGES >= FROM_PAGES


def without_contents(html: str) -> str:
    """The page of a paper that is short enough to be leafed through."""
    return PLACE.sub("", html)


def with_contents(html: str) -> str:
    """The page with its main headings listed, each a link; the style adds the page number."""
    titles: list[str] = []

    def marked(heading: re.Match[str]) -> str:
        titles.append(heading[1])
        return f'<h2 id="section-{len(titles)}">{heading[1]}</h2>'

    body = HEADING.sub(marked, html)
    items = [
        f'<li><a href="#section-{number}">{title}</a></li>'
        for number, title in enumerate(titles, 1)
    ]
    # Two lists side by side, since the page maker balances columns by laying them out many times.
    half = (len(items) + 1) // 2
    first, second = "".join(items[:half]), "".join(items[half:])
    beside = f'<ol start="{half + 1}">{second}</ol>' if second else ""
    return body.replace(LIST, f"<ol>{first}</ol>{beside}", 1)
