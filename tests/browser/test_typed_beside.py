"""With JavaScript too, no key of a page loses what was typed elsewhere on it."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from repairs.treatment.models import Intervention, StepNote
from tests import factories
from tests.browser.walk import PHONE

pytestmark = pytest.mark.browser


@pytest.fixture
def work(house, case, finding, armand, threads_database) -> Intervention:
    agreed = factories.agreed_work(case, "open_seam", finding, by=armand)
    return factories.begun_work(agreed, by=armand)


def test_a_step_s_own_words_outlive_the_clock_and_enter_notes_them(work, armand, open_window):
    walk = open_window(armand, size=PHONE)
    page = walk.page
    walk.go(work.get_absolute_url(), "work")
    way = page.locator(".at-hand .tap-other:has([value=otherwise])")
    way.locator("summary").click()
    way.locator("input").fill("glued twice")

    walk.press("Start", "clock")
    walk.arrive("work-clock", path="/work/1/$")
    expect(way.locator("input")).to_have_value("glued twice")
    expect(way.locator("input")).to_be_visible()
    walk.press("Pause", "clock")
    walk.arrive("work-paused", path="/work/1/$")
    expect(way.locator("input")).to_have_value("glued twice")
    page.get_by_role("button", name="français").click()
    page.wait_for_load_state()
    expect(way.locator("input")).to_have_value("glued twice")
    way.locator("input").press("Enter")

    expect(page.locator("[data-noted] [data-said]").first).to_contain_text("glued twice")
    expect(page.locator("[data-kept]")).to_contain_text("✓")
    page.reload()
    noted = StepNote.objects.get(intervention=work)
    assert (noted.state, noted.words) == ("otherwise", "glued twice")
    expect(page.locator("main > form > [role=status]")).to_have_count(0)
    walk.without_complaint()


def test_an_empty_way_is_asked_for_and_stops_nothing_else(work, armand, open_window):
    walk = open_window(armand, size=PHONE)
    page = walk.page
    walk.go(work.get_absolute_url(), "work")
    way = page.locator(".at-hand .tap-other:has([value=otherwise])")
    way.locator("summary").click()

    way.locator("button").click()
    expect(way.locator("input")).to_be_focused()
    assert not StepNote.objects.exists()
    walk.press("Start", "clock")

    walk.arrive("work-clock", path="/work/1/$")
    assert work.spells.get().ended_at is None
