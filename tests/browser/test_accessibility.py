"""Every main screen before axe-core, and what axe cannot see: the way of Tab and of the thumb."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from repairs.cases import actions as case_actions
from repairs.cases import compile as case_compile
from repairs.cases.models import Case
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.findings.models import Finding
from repairs.jobs.worker import Worker
from repairs.papers.actions import ask_for_preview
from repairs.photos.models import Photo
from repairs.press.actions import issue, propose_seal
from repairs.press.models import Paper
from tests import factories
from tests.browser import steps
from tests.browser.judge import drawn_contrasts, faults
from tests.browser.keys import FOCUS_UNSEEN
from tests.browser.walk import DESK, PHONE, Walk
from tests.outside import axe

pytestmark = pytest.mark.browser

LEAST_PX = 48
LONG_PLACE = "third shelf from the window, behind the dried spruce, in the red case with straps"
LONG_NOTE = "that the owner finds the missing crank handle, which she thinks lies in her attic " * 2


@dataclass(frozen=True)
class Scene:
    """A case in which something stands on every screen."""

    case: Case
    photo: Photo
    finding: Finding
    paper: Paper
    report: str

    def addresses(self) -> dict[str, str]:
        docket, owner = f"/cases/{self.case.number}/", self.case.owner_id
        return {
            "bench": "/",
            "start": "/start/",
            "choose": "/take-in/",
            "newcomer": "/take-in/new/",
            "newcomer-of-known-owner": f"/take-in/new/?owner={owner}",
            "owner-form": "/people/add/",
            "instrument-form": f"/people/{owner}/instrument/?kind=vielle_french",
            "intake": f"/take-in/{self.case.instrument.number}/",
            "docket": docket,
            "photo-add": f"{docket}photos/add/",
            "photo-to-name": f"{docket}photos/add/?after=0",
            "photo": self.photo.get_absolute_url(),
            "finding": f"{docket}findings/{self.finding.number}/",
            "parts-looked-at": f"{docket}look/parts/",
            "judgement": f"{docket}look/",
            "report": self.report,
            "receipt": f"{docket}receipt/",
            "return": f"{docket}return/",
            "care-sheet": f"{docket}make/care_sheet/",
            "paper": f"/papers/{self.paper.uuid}/",
            "papers": "/papers/",
            "search": "/search/?q=crack",
            "instrument": self.case.instrument.get_absolute_url(),
            "instrument-parts": f"/instruments/{self.case.instrument.number}/parts/",
            "owner": f"/people/{owner}/",
            "wood": "/wood/",
            "wood-form": "/wood/add/",
            **{f"wood-{deed}": f"/wood/W-0001/{deed}/" for deed in ("test", "take", "offcut")},
            "wood-piece": "/wood/W-0001/",
            "house": "/house/",
        }


@pytest.fixture
def scene(house, photo, finding, helene, armand, threads_database) -> Scene:
    case = photo.case
    now = timezone.now()
    factories.photo(case, by=armand, data=factories.jpeg(seed=5), view="")
    factories.tag(photo, finding, by=armand)
    factories.tag(photo, None, by=armand, shape="point", points=[[0.7, 0.5]])
    factories.examination(case, by=armand)
    piece = factories.piece(by=armand, material="rosewood_brazilian", place=LONG_PLACE[:80])
    factories.wood_test(piece, by=armand)
    factories.withdrawal(piece, by=armand, purpose=LONG_NOTE[:200].strip())
    case_actions.put_in_place(case, LONG_PLACE[:80], by=armand, at=now)
    case_actions.wait(case, "owner", LONG_NOTE[:200].strip(), by=armand, at=now)
    kind = INTAKE_RECEIPT
    seal = propose_seal(kind, case.log_key, by=helene, at=now)
    sheet = case_compile.intake_receipt(case, language="en", made_at=now, seal=seal)
    draft, job = ask_for_preview(case, "condition_report", "en", by=helene, at=now)
    Worker().run_all()
    report = f"/cases/{case.number}/make/condition_report/?draft={draft.uuid}&job={job.uuid}"
    return Scene(case, photo, finding, issue(sheet, by=helene), report)


@pytest.fixture
def anonymous(open_window) -> Walk:
    return open_window(size=PHONE)


def screens(walk: Walk, scene: Scene, quarter: int) -> Iterator[str]:
    """Stand on every fourth screen, one after another."""
    for name, address in list(scene.addresses().items())[quarter::4]:
        walk.page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
        walk.go(address, name)
        if name == "photo":
            walk.page.locator(".tagger-pick").first.click()
        yield name
    if quarter == 1:
        form_with_problems(walk, scene)
        yield "finding-with-problems"


def form_with_problems(walk: Walk, scene: Scene) -> None:
    walk.go(f"/cases/{scene.case.number}/findings/add/", "finding-form")
    walk.page.locator("main form").evaluate("form => { form.noValidate = true; }")
    walk.press("Save")
    walk.arrive("finding-form-with-problems", path="/findings/add/$")
    expect(walk.page.locator(".problems li")).not_to_have_count(0)


def both_sizes(page: Page) -> Iterator[int]:
    for width, height in (PHONE, DESK):
        page.set_viewport_size({"width": width, "height": height})
        page.evaluate("scrollTo(0, 0)")  # nothing half under the bar that stays on top
        yield width


@pytest.mark.share(4)
@pytest.mark.parametrize("quarter", range(4))
def test_every_screen_of_the_house_is_good_to_read_and_wide_enough_for_a_thumb(
    scene, helene, open_window, quarter
):
    walk = open_window(helene, size=PHONE)
    found, small = {}, {}

    for name in screens(walk, scene, quarter):
        small[name] = walk.page.evaluate(TOO_SMALL, LEAST_PX)
        for width in both_sizes(walk.page):
            found[name, width] = faults(walk.page)
            assert walk.too_wide() == [], (name, width)

    assert {place: what for place, what in found.items() if what} == {}
    assert {name: what for name, what in small.items() if what} == {}


def test_axe_finds_nothing_where_anyone_may_go(house, scene, anonymous):
    found = {}

    for address in ("/sign-in/", "/verify/", f"/verify/{scene.paper.code}/"):
        anonymous.go(address, address.split("/")[1])
        for width in both_sizes(anonymous.page):
            found[address, width] = faults(anonymous.page)

    assert {place: what for place, what in found.items() if what} == {}


@pytest.mark.share(2, 1)
def test_axe_finds_nothing_in_the_dark(scene, helene, open_window):
    walk = open_window(helene, color_scheme="dark")
    found = {}

    for name in ("bench", "docket", "photo", "paper", "report", "photo-add"):
        walk.go(scene.addresses()[name], f"dark-{name}")
        found[name] = faults(walk.page)
    form_with_problems(walk, scene)
    found["problems"] = faults(walk.page)

    assert {place: what for place, what in found.items() if what} == {}


def test_axe_finds_nothing_while_photos_are_sent(
    house, case, armand, worker, open_window, tmp_path
):
    walk = open_window(armand, size=PHONE)
    walk.go(f"/cases/{case.number}/photos/add/", "photos-add")
    files = steps.photo_files(tmp_path / "photos", whole=2)
    walk.page.locator("input[type=file]").set_input_files(files)
    for state, count in (("ready", 2), ("refused", 1)):
        expect(walk.page.locator(f".upload-row[data-state={state}]")).to_have_count(count)

    assert faults(walk.page) == ""


def test_axe_finds_the_known_bad_button_on_the_docket(house, case, armand, open_window):
    walk = open_window(armand)
    walk.go(case.get_absolute_url(), "docket")

    selector = axe.known_bad(walk.page)

    (line,) = faults(walk.page).splitlines()
    assert line.startswith(axe.CONTRAST)
    assert selector in line


def test_axe_is_asked_for_small_targets_and_for_names_that_are_not_the_words_shown(chromium):
    page = chromium.new_page()
    page.set_content(SMALL_AND_MISNAMED)

    found = {line.split(" ")[0] for line in faults(page).splitlines()}

    assert found == set(axe.ASKED_FOR)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_numbers_of_tags_can_be_read_on_their_badges(scene, helene, open_window, scheme):
    walk = open_window(helene, color_scheme=scheme)

    walk.go(scene.addresses()["docket"], "docket")
    on_thumbs = drawn_contrasts(walk.page, ".marks text", "circle")
    walk.go(scene.addresses()["photo"], "photo")
    walk.page.locator(".tagger-pick").first.click()
    on_photo = drawn_contrasts(walk.page, ".tagger-badge-text", ".tagger-badge-form")

    assert (len(on_thumbs), len(on_photo)) == (2, 4)
    assert min(on_thumbs + on_photo) >= 4.5


def test_the_skip_link_is_first_and_leads_to_the_content(house, case, armand, open_window):
    page = open_window(armand).page
    page.goto(case.get_absolute_url())

    page.keyboard.press("Tab")
    skip = page.locator(".skip")
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport(ratio=1)
    page.keyboard.press("Enter")

    expect(page.locator("main")).to_be_focused()
    page.keyboard.press("Tab")
    assert page.locator("main *:focus").count() == 1


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_focus_can_be_seen_at_every_stop_of_the_docket(
    house, case, finding, armand, open_window, size
):
    page = open_window(armand, size=size).page
    page.goto(case.get_absolute_url())
    unseen = []

    for _stop in range(15):
        page.keyboard.press("Tab")
        unseen += page.evaluate(FOCUS_UNSEEN)

    assert unseen == []


def test_the_slash_leads_to_the_search_but_stays_a_letter_in_a_field(
    house, case, armand, open_window
):
    page = open_window(armand).page
    page.goto(case.get_absolute_url())

    page.keyboard.press("/")
    expect(page.locator("#seek")).to_be_focused()
    expect(page.locator("#seek")).to_have_value("")
    page.goto(f"/cases/{case.number}/findings/add/")
    page.locator("#id_location").press("/")

    expect(page.locator("#id_location")).to_have_value("/")


SMALL_AND_MISNAMED = """
<html lang="en"><title>A page</title><main><h1>A page</h1>
<button style="width: 14px; height: 14px; padding: 0" aria-label="One"></button>
<button style="width: 14px; height: 14px; padding: 0" aria-label="Two"></button>
<p><button aria-label="Send the letter" style="font-size: 20px">Keep the reading</button></p>
</main></html>
"""
# A tick or a round button counts with the label that takes the tap for it.
TOO_SMALL = """
least => {
    const wanted = "button, .button, input, select, textarea, summary, nav a";
    const target = node => /checkbox|radio/.test(node.type) ? node.labels[0] : node;
    return [...document.querySelectorAll(wanted)]
        .filter(node => node.checkVisibility({ visibilityProperty: true }))
        .filter(node => target(node).getBoundingClientRect().height < least - 0.5)
        .map(node => `${node.tagName} ${node.name ?? ""} ${node.textContent.slice(0, 30)}`);
}
"""
