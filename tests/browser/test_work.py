"""A luthier works with the phone beside them: begin, tick, bag, stop, and sign off."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from repairs.treatment.models import AgreedWork, Intervention
from tests import factories
from tests.browser.judge import faults
from tests.browser.test_accessibility import LEAST_PX, TOO_SMALL
from tests.browser.walk import DESK, PHONE, Walk

pytestmark = pytest.mark.browser


@pytest.fixture
def agreed(house, case, finding, armand, threads_database) -> AgreedWork:
    return factories.agreed_work(case, "open_seam", finding, by=armand)


@pytest.fixture
def work(agreed, armand) -> Intervention:
    return factories.begun_work(agreed, by=armand)


def judged(walk: Walk) -> list[str]:
    """What is wrong with the page for a screen reader, or too small for a thumb."""
    small = walk.page.evaluate(TOO_SMALL, LEAST_PX)
    return [*filter(None, [faults(walk.page)]), *small]


@pytest.mark.share(2)
def test_a_luthier_works_with_a_phone(agreed, case, armand, open_window):
    walk = open_window(armand, size=PHONE)
    wrong = {}

    walk.go(case.get_absolute_url(), "docket")
    walk.section("work").get_by_role("link", name=re.compile("^Begin ")).click()
    walk.arrive("begin", path="/begin/$")
    wrong["begin"] = judged(walk)
    walk.fill(room_t_c="19,5", room_rh_pct="52")
    walk.press("Begin, and start my clock")
    walk.arrive("work", path="/work/1/$")
    walk.told("The work is begun and your clock runs.")
    wrong["work"] = judged(walk)
    tick(walk)
    bag(walk)
    walk.press("Stop: it is done", "clock")
    walk.arrive("proof", path="/proof/$")
    wrong["proof"] = judged(walk)
    for field in walk.page.locator("[id^=id_reason_]").all():
        field.fill("the camera is broken")
    walk.press("Sign this work off")
    walk.arrive("docket-proved", path="#proof$")
    walk.told("Work %(number)s is signed off.", number=1)

    assert {place: what for place, what in wrong.items() if what} == {}
    walk.without_complaint()
    case.refresh_from_db()
    assert case.step == "proved"


def tick(walk: Walk) -> None:
    """One step otherwise, with its words; all others with one key."""
    page = walk.page
    hand = page.locator(".at-hand")
    words = hand.locator(".tap-words input").first
    expect(words).to_be_hidden()
    hand.locator("summary").first.click()
    words.fill("glued twice")
    hand.locator("button[value=otherwise]").click()
    expect(page.locator("[data-noted] [data-said]").first).to_contain_text("glued twice")
    expect(page.locator("[data-kept]")).to_have_text(walk.say("✓ Everything is noted."))
    walk.press("All others were done as written")
    walk.arrive("work-ticked", path="#steps$")
    expect(page.locator("[data-noted] [data-state=otherwise]")).to_have_count(1)


def bag(walk: Walk) -> None:
    section = walk.section("removed")
    section.locator("summary").click()
    walk.fill(**{"removed-description": "old glue", "removed-position": "under the rib"})
    walk.press("Give it a bag", within=section)
    walk.arrive("work-with-bag", path="#removed$")
    section.get_by_role("link", name="2026-001/1", exact=True).click()
    walk.arrive("bag", path="/bags/1/$")
    walk.page.go_back()


def test_the_clock_s_buttons_stay_in_reach_of_the_thumb(work, armand, open_window):
    walk = open_window(armand, size=PHONE)
    page = walk.page
    page.goto(work.get_absolute_url())
    button = page.locator(".clock-bar button").first

    for place in ("steps", "removed", "held"):
        walk.section(place).scroll_into_view_if_needed()
        expect(button).to_be_in_viewport(ratio=1)
        box = button.bounding_box()
        assert box is not None
        assert box["y"] > PHONE[1] / 2


def test_the_last_line_of_the_page_is_not_covered_by_the_buttons(work, armand, open_window):
    page = open_window(armand, size=PHONE).page
    page.goto(work.get_absolute_url())

    page.keyboard.press("End")
    page.wait_for_timeout(200)

    foot, bar = (page.locator(name).bounding_box() for name in (".foot", ".clock-bar"))
    assert foot is not None and bar is not None
    assert bar["y"] + bar["height"] <= foot["y"] + 1


@pytest.mark.share(2, 1)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_on_the_pages_of_work(work, helene, open_window, scheme):
    walk = open_window(helene, color_scheme=scheme)
    docket = f"/cases/{work.case.number}/"
    found = {}

    for name, address in {
        "work": work.get_absolute_url(),
        "steps as a list": f"{work.get_absolute_url()}?list=1",
        "card": f"{work.get_absolute_url()}card/",
        "proof": f"{work.get_absolute_url()}proof/",
        "new part": f"{work.get_absolute_url()}new/",
        "minutes": f"{work.get_absolute_url()}minutes/",
        "agree": f"{docket}agreed/",
        "procedures": "/house/procedures/",
        "procedure": "/house/procedures/wheel_truing/",
        "procedure form": "/house/procedures/wheel_truing/edit/",
    }.items():
        walk.go(address, name)
        for width, height in (PHONE, DESK):
            walk.page.set_viewport_size({"width": width, "height": height})
            found[name, width] = judged(walk) if width < DESK[0] else [faults(walk.page)]
            assert walk.too_wide() == [], (name, width)

    assert {place: what for place, what in found.items() if any(what)} == {}


def test_what_is_typed_of_the_work_survives_a_closed_page(work, armand, open_window):
    walk = open_window(armand)
    walk.go(work.get_absolute_url(), "work")
    walk.section("told").locator("textarea").fill("till it dries")
    walk.page.wait_for_timeout(800)

    walk.page.reload()

    walk.section("told")
    expect(walk.page.locator(".draft-offer")).to_be_visible()
    walk.without_complaint()
