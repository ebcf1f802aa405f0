"""Every page of the demo in a real browser: what it weighs, how soon it stands, how long it is.

Every address that links lead the principal to, and the page that an owner opens by a link, is
opened on a phone in both languages: its length in phone screens, and whether anything jumps. One
page of each kind is opened cold besides, without a cache, on a network of 1.6 Mbit/s and 150 ms:
its weight is what came over the wire, packed, all but the photos. Three of them are timed, with the
CPU slowed to a quarter. LCP and CLS are those that the browser itself reports (W3C, Largest
Contentful Paint; Layout Instability).
"""

from __future__ import annotations

import shutil
from collections.abc import Iterable
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory

from repairs.measures.harness import Figure, MeasureError, Plan, Say, free_cores
from repairs.measures.screens_house import served
from repairs.measures.screens_visits import Cold, Page, Visits, visited

MOST_KB, MOST_LCP_S, MOST_CLS, MOST_SCREENS, MOST_OF_A_CASE = 150, 1.5, 0.02, 4, 2
CASE = "bench:case"
TIMED = {"bench:home": "bench", CASE: "case", "findings:photo": "photo"}
FEW = 3  # pages of a quick run
FREE_CORES = 1.0  # that a browser wants for itself before seconds say something


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Play the demo, serve it, and open every page that its links lead to."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if find_spec("playwright") is None or browser is None:
        raise MeasureError(
            "This needs the system's Chromium and the test tools: "
            "“python3 manage.py test --version” installs those, then measure again."
        )
    with TemporaryDirectory(prefix="measure-screens-") as name:
        say("playing the demo")
        with served(Path(name)) as house:
            free = free_cores()
            visits = visited(house, browser, TIMED, FEW if plan.rounds == 1 else None, say)
    return figures(visits, is_calm=free >= FREE_CORES)


def figures(visits: Visits, *, is_calm: bool) -> dict[str, Figure]:
    """What was measured, each beside its goal; seconds are judged on a calm machine only."""
    cases = [page for page in visits.pages if page.kind == CASE]
    long = sorted({page.path for page in visits.pages if page.screens > MOST_SCREENS})
    heaviest = max(visits.cold, key=lambda one: one.kb)
    every: list[Page | Cold] = [*visits.pages, *visits.cold]
    restless = max(every, key=lambda one: one.cls)
    return {
        "pages": Figure(len({page.path for page in visits.pages}), "addresses"),
        "kinds": Figure(len(visits.cold), "kinds of page"),
        "heaviest": Figure(heaviest.kb, "KB", f"<= {MOST_KB}", f"without photos, {heaviest.path}"),
        **_timed(visits.cold, is_calm=is_calm),
        "shift": Figure(restless.cls, "of CLS", f"<= {MOST_CLS}", restless.path),
        "longest": _longest(visits.pages, MOST_SCREENS),
        **({"longest_case": _longest(cases, MOST_OF_A_CASE)} if cases else {}),
        "too_long": Figure(len(long), "addresses", "<= 0", ", ".join(long)),
    }


def _timed(cold: Iterable[Cold], *, is_calm: bool) -> dict[str, Figure]:
    said = {
        f"{TIMED[one.kind]}_lcp": Figure(one.lcp_s, "s", f"<= {MOST_LCP_S}", one.path)
        for one in cold
        if one.kind in TIMED
    }
    if is_calm:
        return said
    busy = "the machine was busy: not judged"
    return {name: replace(one, judged=False, note=busy) for name, one in said.items()}


def _longest(pages: Iterable[Page], most: float) -> Figure:
    page = max(pages, key=lambda one: one.screens)
    words = f"{page.path}, {page.language}"
    return Figure(page.screens, "phone screens", f"<= {most}", words)
