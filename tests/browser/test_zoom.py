"""Every page of the table of addresses with its letters twice as large: nothing is lost.

Twice: a desk at 200 %, which has half the points left; and a phone whose owner set letters of
double size, where only they grow. Each run takes its share, ``--whole`` takes all.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from tests.browser.conftest import PATIENCE_MS
from tests.browser.test_crawl import PAGES
from tests.browser.walk import PHONE, ZOOMED
from tests.browser.whole_words import lost
from tests.outside import browser as outside
from tests.whole.asking import address
from tests.whole.conftest import world  # noqa: F401 - a fixture

pytestmark = pytest.mark.browser

PARTS = 10
LARGE = "--blink-settings=defaultFontSize=32"  # what the setting of a browser does: twice 16


LETTERS = pytest.mark.parametrize(
    ("chromium", "size"),
    [((), ZOOMED), ((LARGE,), PHONE)],
    ids=["zoom", "letters"],
    indirect=["chromium"],
)


@pytest.fixture(scope="module")
def chromium(request) -> Iterator[Browser]:
    """A browser of its own for each size of letters."""
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        browser = outside.launch(playwright, *request.param)
        yield browser
        browser.close()


@pytest.mark.share(20)
@pytest.mark.parametrize("part", range(PARTS))
@pytest.mark.parametrize(
    ("chromium", "size"),
    [((), ZOOMED), ((LARGE,), PHONE)],
    ids=["zoom", "letters"],
    indirect=["chromium"],
)
def test_nothing_is_lost_when_letters_are_twice_as_large(
    threads_database,
    world,  # noqa: F811
    helene,
    open_window,
    size,
    part,
):
    type(helene).objects.filter(pk=helene.pk).update(language="fr")
    known = world(helene)
    walk = open_window(helene, size=size, language="fr")
    found = {}

    for name in PAGES[part::PARTS]:
        walk.page.goto(address(name, known))
        found[name] = [*walk.too_wide(), *lost(walk.page)]

    assert {name: what for name, what in found.items() if what} == {}


@pytest.mark.parametrize("chromium", [(LARGE,)], ids=["letters"], indirect=True)
def test_words_that_are_lost_are_found(chromium):
    page = chromium.new_page(viewport={"width": PHONE[0], "height": PHONE[1]})
    page.set_content(BAD)

    found = "\n".join(lost(page))

    assert page.evaluate("getComputedStyle(document.body).fontSize") == "32px"
    assert "cut off: P.cut" in found
    assert "P.one One over P.other Other" in found
    assert "squeezed: P.thin" in found
    assert "bars take" in found


BAD = """
<p class="cut" style="width: 4rem; overflow: hidden; white-space: nowrap">More than has room</p>
<p class="thin" style="width: 3rem; overflow-wrap: anywhere">Nothing is changed by waiting</p>
<p class="one">One</p><p class="other" style="margin-top: -2.1em">Other</p>
<div style="position: fixed; inset: 40% 0 0">A bar</div>
"""
