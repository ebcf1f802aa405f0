"""The whole main job, played as a person plays it: on a phone in French, at a desk in English."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from repairs.cases.models import Case
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.instruments.models import Instrument
from repairs.papers.condition.report import CONDITION_REPORT
from repairs.photos.models import Photo, Tag
from repairs.press.models import Paper
from tests import factories
from tests.browser import steps
from tests.browser.conftest import PATIENCE_MS
from tests.browser.walk import DESK, PHONE, Walk

pytestmark = pytest.mark.browser


@pytest.mark.share(6)  # in turn with test_whole_case.py: one long walk in each run
@pytest.mark.parametrize(
    ("size", "language"), [(PHONE, "fr"), (DESK, "en")], ids=["phone-fr", "desk-en"]
)
@pytest.mark.real_press
def test_a_person_plays_the_whole_main_job(house, worker, open_window, tmp_path, size, language):
    factories.person("helene", "principal", language)
    walk = open_window(size=size, language=language)

    steps.sign_in(walk, "helene")
    steps.enter_owner(walk)
    steps.enter_instrument(walk)
    case = steps.take_in(walk)
    steps.issue_receipt(walk)
    tell_more_of_it(walk)
    send_photos(walk, case, tmp_path / "photos")
    name_the_view(walk, case)
    steps.note_finding(walk, case)
    draw_tags(walk, case)
    steps.look_at_parts(walk)
    steps.judge(walk)
    pdf = issue_report(walk, tmp_path)
    visitor = open_window(size=size, language=language)
    steps.check_paper(visitor, pdf)
    look_round(walk)

    walk.without_complaint()
    visitor.without_complaint()
    kept_as_it_was_done(case)


def tell_more_of_it(walk: Walk) -> None:
    """What the counter did not ask: a size, typed with a comma, on the instrument's own page."""
    instrument = Instrument.objects.get()
    assert instrument.accessory_lines == ["étui", "manivelle"]
    walk.go(f"{instrument.get_absolute_url()}edit/", "instrument-form")
    walk.fill(size_body_length="402,5")
    walk.press("Save")
    walk.arrive("instrument-told", path=r"/instruments/[^/]+/$")


def send_photos(walk: Walk, case: str, folder: Path) -> None:
    """Five files at once: each has its line and bar, the broken one is named, the others kept."""
    walk.go(f"/cases/{case}/", "docket-before-photos")
    walk.press("Add photos", within=walk.section("photos"))
    walk.arrive("photos-add", path="/photos/add/$")
    walk.page.locator("input[type=file]").set_input_files(steps.photo_files(folder, whole=4))
    rows = walk.page.locator(".upload-row")
    expect(rows).to_have_count(5)
    expect(walk.page.locator(".upload-row[data-state=ready]")).to_have_count(4)
    refused = walk.page.locator(".upload-row[data-state=refused]")
    expect(refused.locator(".upload-name")).to_have_text("IMG_torn.jpg")
    expect(refused.locator(".upload-state")).to_contain_text("IMG_torn.jpg")
    summary = walk.page.locator(".upload-summary")
    said = walk.say("%(ready)s of %(count)s photos ready", ready=4, count=5)
    expect(summary).to_contain_text(said)
    walk.arrive("photos-sent")


def name_the_view(walk: Walk, case: str) -> None:
    walk.go(f"/cases/{case}/", "docket-with-photos")
    walk.section("photos").locator(".photos a").first.click()
    walk.arrive("photo", path=r"/photos/\d+/$")
    walk.choose(view="front")
    walk.fill(caption="La face, tête en haut")
    walk.press("Save")
    walk.arrive("photo-described", path=r"/photos/\d+/$")
    walk.told("Saved.")


def draw_tags(walk: Walk, case: str) -> None:
    """A line by hand, a point by keyboard alone; both are bound to the finding."""
    walk.go(f"/cases/{case}/", "docket-before-tags")
    walk.section("photos").locator(".photos a").first.click()
    walk.arrive("photo-to-tag", path=r"/photos/\d+/$")
    draw_line(walk)
    draw_point(walk)
    expect(walk.page.locator(".tagger-row")).to_have_count(2)
    expect(walk.page.locator(".tagger-overlay .tagger-tag")).to_have_count(2)
    walk.arrive("photo-tagged")
    walk.page.locator(".board a").first.click()
    walk.arrive("docket-with-tags", path=rf"/cases/{case}/#photos$")


def draw_line(walk: Walk) -> None:
    page = walk.page
    page.locator(".tagger-more > summary").click()
    page.locator("[data-tool=line]").click()
    stage = page.locator(".tagger-stage")
    stage.scroll_into_view_if_needed()
    box = stage.bounding_box()
    assert box is not None
    press = page.touchscreen.tap if page.viewport_size == as_size(PHONE) else page.mouse.click
    for across, down in ((0.25, 0.3), (0.6, 0.5)):
        press(box["x"] + across * box["width"], box["y"] + down * box["height"])
        page.wait_for_timeout(600)  # two taps sooner would end the line
    page.locator(".tagger-finish").click()
    row = page.locator(".tagger-row").first
    row.locator("select").select_option(index=1)
    expect(row.locator(".tagger-pick")).to_have_accessible_name(re.compile(r"\b1, "))


def draw_point(walk: Walk) -> None:
    """No pointer at all: Tab to the tools, letters and arrows on the photo, Tab to the list."""
    page = walk.page
    page.locator(".skip").focus()
    tab_to(walk, ".tagger-tool")
    page.keyboard.press(walk.say("P", "shortcut of the tool Point").lower())
    for _step in range(3):
        page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Enter")
    expect(page.locator(".tagger-row")).to_have_count(2)
    tab_to(walk, ".tagger-row-chosen select")
    page.keyboard.press("ArrowDown")
    expect(page.locator(".tagger-row-chosen select")).not_to_have_value("")


def tab_to(walk: Walk, selector: str) -> None:
    for _stop in range(60):
        walk.page.keyboard.press("Tab")
        if walk.page.evaluate("wanted => document.activeElement.matches(wanted)", selector):
            return
    raise AssertionError(f"Tab never reaches {selector}")


def as_size(size: tuple[int, int]) -> dict[str, int]:
    return {"width": size[0], "height": size[1]}


def issue_report(walk: Walk, folder: Path) -> Path:
    """Preview, wait for it on the page, issue exactly that, and download the paper."""
    walk.section("papers").locator("a[href$='/make/condition_report/']").first.click()
    walk.arrive("report", path="/make/condition_report/$")
    walk.page.locator("#language").select_option(walk.language)
    walk.press("Make a preview")
    walk.arrive("report-in-work", path="draft=")
    ready = walk.page.get_by_role("link", name=walk.say("Open the preview (PDF)"))
    expect(ready).to_be_visible(timeout=PATIENCE_MS)
    walk.arrive("report-ready")
    walk.press("Issue exactly this")
    expect(walk.page).to_have_url(re.compile("/papers/[0-9a-f-]+/$"), timeout=PATIENCE_MS)
    walk.arrive("paper")
    with walk.page.expect_download() as download:
        walk.press("Download")
    file = folder / "report.pdf"
    download.value.save_as(file)
    return file


def look_round(walk: Walk) -> None:
    """The rooms that the job itself did not lead through."""
    for address, name in (
        ("/", "bench-with-case"),
        ("/instruments/", "instruments"),
        (Instrument.objects.get().get_absolute_url(), "instrument"),
        (f"/instruments/{Instrument.objects.get().number}/parts/", "instrument-parts"),
        ("/papers/", "papers"),
        ("/people/", "clients"),
        ("/house/", "house"),
        ("/house/people/add/", "person-form"),
        (f"/search/?q={steps.OWNER.split()[1]}", "search"),
        (f"{Case.objects.get().get_absolute_url()}findings/1/", "finding-to-change"),
        (f"{Case.objects.get().get_absolute_url()}edit/", "intake-to-change"),
    ):
        walk.go(address, name)


def kept_as_it_was_done(number: str) -> None:
    case = Case.objects.get(number=number)
    sizes = dict(case.instrument.dimensions.values_list("key", "value_mm"))
    assert (case.instrument.year_first, case.instrument.year_last) == (1650, 1720)
    assert str(sizes["body_length"]).startswith("402.5")
    assert case.step == Case.Step.REPORTED
    states = list(case.photos.values_list("state", flat=True))
    assert sorted(states) == [*[Photo.State.READY] * 4, Photo.State.REFUSED]
    assert case.photos.get(number=1).view == "front"
    bound = Tag.objects.filter(finding_link__finding__number=1)
    assert sorted(bound.values_list("shape", flat=True)) == ["line", "point"]
    kinds = [CONDITION_REPORT.key, INTAKE_RECEIPT]
    assert sorted(Paper.objects.values_list("kind", flat=True)) == sorted(kinds)
