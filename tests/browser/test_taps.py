"""Steps are tapped with wet hands and bad wifi: nothing is lost, nothing is noted twice."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, Route, expect

from repairs.treatment.models import Intervention, StepNote
from tests import factories
from tests.browser.walk import PHONE, Walk

pytestmark = pytest.mark.browser

BETWEEN_MS = 700  # a second touch sooner than this is a slip of a wet thumb


@pytest.fixture
def work(house, case, finding, armand, threads_database) -> Intervention:
    agreed = factories.agreed_work(case, "open_seam", finding, by=armand)
    return factories.begun_work(agreed, by=armand)


def keys_of(work: Intervention) -> list[str]:
    return [step.key for step in work.version.procedure.steps]


def opened(open_window, person, work: Intervention, **how) -> Walk:
    walk = open_window(person, size=PHONE, **how)
    walk.go(work.get_absolute_url(), "work")
    return walk


def in_hand(page: Page) -> str:
    return page.locator(".at-hand [data-step]").get_attribute("data-step") or ""


def tap_done(page: Page, times: int = 1) -> None:
    for _time in range(times):
        page.locator(".at-hand button[value=done]").click()
        page.wait_for_timeout(BETWEEN_MS)


def tap_way(page: Page, state: str, words: str) -> None:
    way = page.locator(f".at-hand .tap-other:has([value={state}])")
    way.locator("summary").click()
    way.locator("input").fill(words)
    way.locator(f"button[value={state}]").click()
    page.wait_for_timeout(BETWEEN_MS)


def kept(walk: Walk, count: int) -> None:
    said = walk.say("Kept on this phone, %(count)s to be sent.", count=count)
    expect(walk.page.locator("[data-kept]")).to_contain_text(said)


def through(walk: Walk) -> None:
    expect(walk.page.locator("[data-kept]")).to_have_text(walk.say("✓ Everything is noted."))


def notes(work: Intervention) -> list[tuple[str, str, str]]:
    rows = StepNote.objects.filter(intervention=work).order_by("pk")
    return [(row.step, row.state, row.words) for row in rows]


@pytest.mark.share(3)
def test_taps_without_a_network_are_kept_and_sent_in_their_order(work, armand, open_window):
    walk = opened(open_window, armand, work)
    page, keys = walk.page, keys_of(work)

    tap_done(page)
    through(walk)
    page.context.set_offline(True)
    tap_done(page, 2)
    tap_way(page, "otherwise", "glued twice")
    tap_done(page)
    page.locator("[data-tap=undo] button").click()
    page.wait_for_timeout(BETWEEN_MS)
    kept(walk, 5)
    assert in_hand(page) == keys[4]
    assert len(notes(work)) == 1
    page.context.set_offline(False)
    through(walk)

    assert notes(work) == [
        (keys[0], "done", ""),
        (keys[1], "done", ""),
        (keys[2], "done", ""),
        (keys[3], "otherwise", "glued twice"),
        (keys[4], "done", ""),
        (keys[4], "open", ""),
    ]


@pytest.mark.share(3, 1)
def test_a_tap_whose_answer_was_lost_is_noted_once(work, armand, open_window):
    walk = opened(open_window, armand, work)
    page = walk.page
    lost = losing(page, 2)

    tap_done(page, 2)
    through(walk)

    assert lost == [200, 200]
    assert [state for _step, state, _words in notes(work)] == ["done", "done"]
    assert [step for step, _state, _words in notes(work)] == keys_of(work)[:2]


def losing(page: Page, count: int) -> list[int]:
    """Let the server hear so many taps and lose its answers on the way; the statuses, as lost."""
    lost: list[int] = []

    def lose(route: Route) -> None:
        if len(lost) == count:
            route.continue_()
            return
        lost.append(route.fetch().status)
        route.abort()

    page.route(re.compile("/steps/$"), lose)
    return lost


@pytest.mark.share(3, 2)
def test_taps_outlive_a_closed_page(work, armand, open_window):
    walk = opened(open_window, armand, work)
    page, context = walk.page, walk.page.context
    context.set_offline(True)
    tap_done(page, 3)
    kept(walk, 3)
    page.close()
    context.set_offline(False)
    assert notes(work) == []

    again = Walk(context.new_page(), "en")
    again.go(work.get_absolute_url(), "work-again")
    through(again)

    assert [step for step, _state, _words in notes(work)] == keys_of(work)[:3]
    assert in_hand(again.page) == keys_of(work)[3]


@pytest.mark.share(3)
def test_two_people_at_one_work_see_each_other_s_words(work, armand, lise, open_window):
    first, second = (opened(open_window, person, work) for person in (armand, lise))
    keys = keys_of(work)

    first.page.context.set_offline(True)
    tap_done(first.page, 2)
    tap_done(second.page)
    tap_way(second.page, "left_out", "it was dry")
    through(second)
    first.page.context.set_offline(False)
    through(first)

    said = first.page.locator(f"[data-step={keys[1]}] .line [data-said]")
    expect(said).to_contain_text("it was dry")
    expect(said).to_contain_text("Lise")
    assert in_hand(first.page) == keys[2]
    rows = StepNote.objects.filter(intervention=work)
    assert sorted((row.step, row.state, row.by.username) for row in rows) == sorted(
        [
            (keys[0], "done", "armand"),
            (keys[0], "done", "lise"),
            (keys[1], "done", "armand"),
            (keys[1], "left_out", "lise"),
        ]
    )
    assert len({row.tap for row in rows}) == 4


@pytest.mark.share(3, 1)
def test_a_wet_thumb_that_touches_twice_notes_one_step(work, armand, open_window):
    walk = opened(open_window, armand, work)

    walk.page.locator(".at-hand button[value=done]").dblclick()
    through(walk)

    assert len(notes(work)) == 1
    assert in_hand(walk.page) == keys_of(work)[1]
    walk.without_complaint()


@pytest.mark.share(3, 2)
def test_taps_on_signed_work_are_told_and_not_lost_in_silence(
    house, case, armand, threads_database, open_window
):
    plain = factories.begun_work(factories.agreed_work(case, "free", by=armand), by=armand)
    walk = opened(open_window, armand, plain)
    walk.page.context.set_offline(True)
    tap_done(walk.page)
    factories.signed_off(factories.ticked(plain, by=armand), by=armand)
    walk.page.context.set_offline(False)

    refused = walk.page.locator("[data-refused] li")
    expect(refused).to_contain_text("was signed off on")
    refused.get_by_role("button", name=walk.say("Let it go")).click()
    expect(refused).to_have_count(0)


@pytest.mark.share(3)
def test_without_a_script_each_tap_comes_back_to_the_next_step(work, armand, open_window):
    walk = opened(open_window, armand, work, java_script_enabled=False)
    page, keys = walk.page, keys_of(work)

    tap_done(page, 2)
    assert in_hand(page) == keys[2]
    page.locator("[data-tap=undo] button").click()
    expect(page.locator(".at-hand [data-step]")).to_have_attribute("data-step", keys[1])
    tap_way(page, "left_out", "it was dry")

    assert [(step, state) for step, state, _words in notes(work)] == [
        (keys[0], "done"),
        (keys[1], "done"),
        (keys[1], "open"),
        (keys[1], "left_out"),
    ]
    walk.without_complaint()


@pytest.mark.share(3, 1)
def test_the_list_and_one_step_at_a_time_are_one_page(work, armand, open_window):
    walk = opened(open_window, armand, work)
    page = walk.page

    walk.press("As a list", "steps")
    expect(page.locator("[data-coming] .tap-done:visible")).to_have_count(len(keys_of(work)))
    page.locator(f"[data-step={keys_of(work)[4]}] button[value=done]").click()
    through(walk)
    walk.press("One at a time", "steps")

    expect(page.locator("[data-coming] .tap-done:visible")).to_have_count(0)
    assert notes(work) == [(keys_of(work)[4], "done", "")]
    walk.without_complaint()
