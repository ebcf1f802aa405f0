"""The main job with JavaScript switched off: only drawing on photos is missing, and says so."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests import factories
from tests.browser import steps
from tests.browser.walk import PHONE, Walk

pytestmark = pytest.mark.browser

PATIENCE_S = 120


@pytest.mark.share(4, 1)
def test_everything_but_drawing_works_without_script(house, worker, open_window, tmp_path):
    factories.person("helene", "principal", "fr")
    walk = open_window(size=PHONE, language="fr", java_script_enabled=False)

    steps.sign_in(walk, "helene")
    steps.enter_owner(walk)
    steps.enter_instrument(walk)
    case = steps.take_in(walk)
    steps.issue_receipt(walk)
    send_photos(walk, case, tmp_path / "photos")
    look_at_photo(walk)
    steps.note_finding(walk, case)
    steps.look_at_parts(walk)
    steps.judge(walk)
    pdf = issue_report(walk, tmp_path)
    visitor = open_window(size=PHONE, language="fr", java_script_enabled=False)
    steps.check_paper(visitor, pdf)

    walk.without_complaint()
    visitor.without_complaint()


def send_photos(walk: Walk, case: str, folder: Path) -> None:
    """One form for all files; the page that answers shows what became of each."""
    walk.go(f"/cases/{case}/", "docket-before-photos")
    walk.press("Add photos", within=walk.section("photos"))
    walk.arrive("photos-add", path="/photos/add/$")
    walk.page.locator("input[type=file]").set_input_files(steps.photo_files(folder, whole=2))
    walk.press("Send the photos")
    walk.arrive("photos-sent", path="/photos/add/$")
    walk.told("The photos are being checked; this page shows each one.")
    gallery = walk.page.locator("ul.photos")
    reload_until(walk, lambda: gallery.locator("a img").count() == 2)
    reload_until(walk, lambda: gallery.locator("strong").count() == 1)
    expect(gallery.locator("li", has=walk.page.locator("strong"))).to_contain_text("IMG_torn.jpg")
    walk.arrive("photos-checked")


def reload_until(walk: Walk, is_so) -> None:
    end = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < end, f"never so on {walk.page.url}"
        walk.page.wait_for_timeout(300)
        walk.page.reload()


def look_at_photo(walk: Walk) -> None:
    walk.page.locator("ul.photos a").last.click()
    walk.arrive("photo", path=r"/photos/\d+/$")
    expect(walk.page.locator(".tagger-photo")).to_be_visible()
    said = walk.say("Drawing on photos needs JavaScript; everything else works without it.")
    expect(walk.page.locator("noscript p")).to_have_text(said)


def issue_report(walk: Walk, folder: Path) -> Path:
    """The page asks again by itself until the work is done: once for the preview, once for all."""
    walk.section("papers").locator("a[href$='/make/condition_report/']").first.click()
    walk.arrive("report", path="/make/condition_report/$")
    walk.press("Make a preview")
    ready = walk.page.get_by_role("link", name=walk.say("Open the preview (PDF)"))
    expect(ready).to_be_visible(timeout=PATIENCE_S * 1000)
    walk.arrive("report-ready", path="draft=")
    walk.press("Issue exactly this")
    expect(walk.page).to_have_url(re.compile("/papers/[0-9a-f-]+/$"), timeout=PATIENCE_S * 1000)
    walk.arrive("paper")
    with walk.page.expect_download() as download:
        walk.press("Download")
    file = folder / "report.pdf"
    download.value.save_as(file)
    return file
