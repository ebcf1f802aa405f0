"""What nobody would send a house, sent: walks of its pages, and requests of no sense on them.

Every page that a role finds by its links is asked with queries of no sense, every form on it is
sent with some of its words replaced, and now and then a raw body instead. Each request is undone in
the database afterwards; what a database checks only at the end of a deed is checked before.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from copy import copy
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from random import Random
from traceback import extract_tb
from typing import Any
from urllib.parse import quote, urldefrag, urlencode, urljoin, urlsplit

from repairs.measures import nasty
from repairs.measures.page_forms import Field, Form, Page

SORTS = ("gauge", "kind", "what", "name", "key")  # parts of an address that make another page
OF_A_KIND = 3  # pages of one address that are walked: a case of each kind of state
MOST_PAGES = 900  # a walk without end would be a fault of its own
NUMBERED = re.compile(r"[0-9a-f-]*\d[0-9a-f-]*")
BROKEN = 500
STAYS = {"csrfmiddlewaretoken", "once"}
NOT_WALKED = (".pdf", ".xml", ".zip", ".csv", ".txt", ".jpg", ".png", ".svg")


@dataclass
class Walk:
    """What one role reaches: pages with their forms."""

    role: str
    browser: Any
    pages: list[tuple[str, Page]] = field(default_factory=list)
    forms: dict[tuple[str, ...], list[tuple[str, Form]]] = field(default_factory=dict)

    def keep(self, kind: str, path: str, page: Page) -> None:
        """Keep the page, and its forms by where they lead and what they ask."""
        self.pages.append((path, page))
        for form in page.forms:
            if form.method == "post":
                leads = (
                    "" if not form.action else re.sub(r"[0-9a-f-]*\d[0-9a-f-]*", "#", form.action)
                )
                like = (leads or kind, *sorted({one.name for one in form.fields})[:20])
                self.forms.setdefault(like, []).append((path, form))


@dataclass
class Tried:
    """Counts, and the faults by what they have in common."""

    gets: int = 0
    posts: int = 0
    answers: Counter[int] = field(default_factory=Counter)
    broken: dict[str, str] = field(default_factory=dict)
    times: Counter[str] = field(default_factory=Counter)
    last: str = ""


@contextmanager
def watched(tried: Tried) -> Iterator[None]:
    """Note the exception behind each answer of 500."""
    from django.core.signals import got_request_exception  # noqa: PLC0415 - after the set-up

    def note(**_about: object) -> None:
        kind, fault, trace = sys.exc_info()
        ours = [one for one in extract_tb(trace) if "/repairs/" in one.filename]
        where = f"{ours[-1].filename.rpartition('/repairs/')[2]}:{ours[-1].lineno}" if ours else ""
        tried.last = f"{kind.__name__ if kind else ''} in {where}: {str(fault)[:160]}"

    got_request_exception.connect(note, weak=False, dispatch_uid="fuzz")
    try:
        yield
    finally:
        got_request_exception.disconnect(dispatch_uid="fuzz")


def walked(role: str, browser: Any, of_a_kind: int = OF_A_KIND) -> Walk:
    """Follow every link from the first page; so many pages of each address."""
    walk, seen, kinds = Walk(role, browser), {"/"}, Counter[str]()
    waiting = ["/", "/verify/"]
    while waiting and len(walk.pages) < MOST_PAGES:
        path = waiting.pop(0)
        answer = browser.get(path, follow=True)
        if answer.streaming or "html" not in answer.headers.get("Content-Type", ""):
            _read_out(answer)
            continue
        page = Page(answer.content.decode())
        walk.keep(kind_of(path), path, page)
        for link in page.links:
            there = urldefrag(urljoin(path, link))[0]
            plain = urlsplit(there).path
            if there in seen or not plain.startswith("/") or plain.startswith("/static/"):
                continue
            seen.add(there)
            kind = kind_of(plain)
            kinds[kind] += 1
            is_file = PurePosixPath(plain).suffix in NOT_WALKED
            if kind and kinds[kind] <= of_a_kind and not is_file and "://" not in link:
                waiting.append(there)
    return walk


def kind_of(path: str) -> str:
    """The name of the view behind an address; of a sheet its gauge as well."""
    from django.urls import Resolver404, resolve  # noqa: PLC0415 - after the set-up

    try:
        found = resolve(urlsplit(path).path)
    except Resolver404:
        return ""
    return " ".join([found.view_name, *(str(found.kwargs[k]) for k in SORTS if k in found.kwargs)])


def one(walk: Walk, chance: Random, tried: Tried) -> None:
    """One request of some kind, undone afterwards."""
    from django.db import connection, transaction  # noqa: PLC0415 - after the set-up

    tried.last = ""
    cookies = copy(walk.browser.cookies)
    with transaction.atomic():
        path, said, answer = _drawn(walk, chance, tried)
        _read_out(answer)
        if answer.status_code < BROKEN:
            # What a database checks only at the end of a deed.
            connection.check_constraints()
        transaction.set_rollback(True)
    walk.browser.cookies = cookies  # whoever signed out is still there
    tried.answers[answer.status_code] += 1
    if answer.status_code >= BROKEN:
        # One fault is told once, wherever it comes up.
        what = tried.last or f"{answer.status_code} without an exception, {path}"
        place = what.partition(": ")[0]
        tried.broken.setdefault(place, f"{what}; {path} as {walk.role}: {said[:300]}")
        tried.times[place] += 1


def _drawn(walk: Walk, chance: Random, tried: Tried) -> tuple[str, str, Any]:
    """Where something was sent, what it was, and the answer."""
    path, page = chance.choice(walk.pages)
    likes = list(walk.forms)
    draw = chance.random()
    if likes and draw < 0.75:
        path, form = chance.choice(walk.forms[chance.choice(likes)])
        tried.posts += 1
        return path, *_sent(walk.browser, path, form, chance)
    if draw < 0.87:
        tried.posts += 1
        return path, *_raw(walk.browser, path, chance)
    tried.gets += 1
    return path, *_asked(walk.browser, path, page, chance)


def _read_out(answer: Any) -> None:
    """A file is read to its end, where it is closed."""
    if answer.streaming:
        for _piece in answer.streaming_content:
            pass


def _sent(browser: Any, path: str, form: Form, chance: Random) -> tuple[str, Any]:
    """The form, with one to all of its words replaced."""
    from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: PLC0415 - after set-up

    can = [n for n, one in enumerate(form.fields) if one.name not in STAYS]
    how_many = chance.choice((0, 1, 1, 1, 2, 3, len(can)))
    changed = set(chance.sample(can, min(how_many, len(can))))
    data: dict[str, list[Any]] = {}
    for place, one in enumerate(form.fields):
        if not _goes_out(one, chance):
            continue
        value: Any = nasty.like(one.kind, chance) if place in changed else one.value
        if one.kind == "file":
            name, content = chance.choice(nasty.FILES)
            value = SimpleUploadedFile(name, content)
        data.setdefault(one.name, []).append(value)
    said = {name: [str(v)[:60] for v in values] for name, values in data.items()}
    return f"POST {said}", browser.post(urljoin(path, form.action), data)


def _goes_out(one: Field, chance: Random) -> bool:
    """Of ticks and buttons some, of all else everything but for a few."""
    share = {"checkbox": 0.4, "radio": 0.4, "button": 0.3, "submit": 0.3}.get(one.kind, 0.97)
    return one.name in STAYS or chance.random() < share


def _raw(browser: Any, path: str, chance: Random) -> tuple[str, Any]:
    kind, body = chance.choice(nasty.BODIES)
    answer = browser.generic("POST", path, body, content_type=kind)
    return f"POST {kind} {body[:60]!r}", answer


def _asked(browser: Any, path: str, page: Page, chance: Random) -> tuple[str, Any]:
    """The page with a query of no sense, or an address bent."""
    plain = urlsplit(path).path
    if chance.random() < 0.4:
        parts = plain.strip("/").split("/")
        parts[chance.randrange(len(parts))] = nasty.word(chance)[:2_000] or "0"
        bent = "/" + "/".join(quote(part) for part in parts) + "/"
        return f"GET {bent[:200]}", browser.get(bent)
    names = [f.name for form in page.forms for f in form.fields] + ["q", "page", "as", "of", "next"]
    chosen = chance.sample(names, min(len(names), chance.randint(1, 3)))
    query = urlencode({name: nasty.word(chance) for name in chosen})
    return f"GET ?{query[:200]}", browser.get(f"{plain}?{query}")
