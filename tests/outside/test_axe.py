"""The accessibility checker itself: what it must see, on pages whose faults are known."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, sync_playwright

from tests.outside import axe, browser

CLEAN = """<!doctype html><html lang="fr"><head><meta charset="utf-8"><title>Casier</title>{head}
</head><body><main><h1>Casier</h1>{main}</main></body></html>"""
STRICT_POLICY = """<meta http-equiv="Content-Security-Policy"
content="default-src 'none'; script-src 'none'; style-src 'unsafe-inline'">"""
# The layout that makes axe lose elements: a tall box of positioned layers over the flow.
MAP = """<div class="leaflet-container" style="position: relative; height: 200px; width: 300px;
overflow: hidden"><div style="position: absolute; inset: -300px; z-index: 400;
background: linear-gradient(red, blue)"></div></div>"""
OVER_A_PICTURE = """<p style="color: #777; background: linear-gradient(#888, #eee)">
Roue voilée</p>"""

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with sync_playwright() as playwright:
        chromium = browser.launch(playwright)
        yield chromium.new_page()
        chromium.close()


def show(page: Page, main: str = "", head: str = "") -> None:
    page.set_content(CLEAN.format(main=main, head=head))


def test_a_clean_page_has_no_finding_until_the_known_bad_button_is_added(page):
    show(page)
    assert axe.violations(page) == []

    selector = axe.known_bad(page)

    (finding,) = axe.violations(page)
    assert (finding["id"], finding["undecided"]) == ("color-contrast", False)
    assert finding["nodes"][0]["target"] == [selector]
    assert selector in axe.described([finding])


def test_an_image_without_words_is_found(page):
    show(page, '<img src="data:,">')

    assert [finding["id"] for finding in axe.violations(page)] == ["image-alt"]


def test_contrast_that_cannot_be_worked_out_is_a_finding(page):
    show(page, OVER_A_PICTURE)

    (finding,) = axe.violations(page)

    assert (finding["id"], finding["undecided"]) == ("color-contrast", True)


def test_the_known_bad_button_is_found_beside_a_map_which_is_put_back(page):
    show(page, MAP)
    axe.known_bad(page)

    (finding,) = axe.violations(page)

    assert (finding["id"], finding["undecided"]) == ("color-contrast", False)
    assert page.locator(axe.MAPS).count() == 1


def test_a_strict_content_policy_does_not_stop_the_check(page):
    show(page, '<img src="data:,">', head=STRICT_POLICY)

    assert [finding["id"] for finding in axe.violations(page)] == ["image-alt"]


def test_only_the_context_is_looked_at(page):
    show(page, '<img src="data:,"><p id="here">Roue voilée</p>')

    assert axe.violations(page, context="#here") == []


def test_a_missing_browser_is_named_with_its_package(monkeypatch):
    monkeypatch.setenv("PATH", "")

    with pytest.raises(RuntimeError, match="Debian package chromium"):
        browser.launch(None)  # type: ignore[arg-type]
