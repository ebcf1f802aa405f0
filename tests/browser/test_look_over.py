"""Looking over on the picture: few taps, nothing lost, the part by the map."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from repairs.cases.models import Case
from repairs.findings.look_models import PartLook
from repairs.photos.models import Photo
from tests import factories
from tests.browser.judge import faults
from tests.browser.keys import Keys
from tests.browser.walk import PHONE, Walk

pytestmark = pytest.mark.browser

PART_ASKED = "Now tap the part on the drawing."
MOST_TAPS = 40  # of which the six findings, the photos and all that was examined are made
COUNT = """
addEventListener("pointerup", event => {
    if (!event.isPrimary) return;
    sessionStorage.setItem("taps", Number(sessionStorage.getItem("taps") ?? 0) + 1);
}, true);
"""


@pytest.fixture
def photos(case: Case, armand) -> list[Photo]:
    """Front, back and head."""
    return [
        factories.photo(case, by=armand, data=factories.jpeg(400, 520, seed=seed), view=view)
        for seed, view in enumerate(("front", "back", "head"), 1)
    ]


def tap_photo(page: Page, across: float, down: float) -> None:
    stage = page.locator(".tagger-stage")
    stage.scroll_into_view_if_needed()
    box = stage.bounding_box()
    assert box is not None
    page.touchscreen.tap(box["x"] + across * box["width"], box["y"] + down * box["height"])


def tap_map(page: Page, across: float, down: float) -> None:
    """A place of the drawing, in shares of it; where it is drawn larger, once more."""
    drawn = page.locator("[data-map] svg")
    drawn.scroll_into_view_if_needed()
    box = drawn.bounding_box()
    assert box is not None
    drawn.tap(position={"x": across * box["width"], "y": down * box["height"]})


def tap(page: Page, selector: str, at: int = 0) -> None:
    page.locator(selector).nth(at).tap()


def find(page: Page, place: tuple[float, float], part: tuple[float, float], severity: int) -> None:
    """One finding: its place, its part on the drawing, the first damage offered, how grave."""
    kept = page.locator("[data-kept]").inner_text()
    tap_photo(page, *place)
    tap_map(page, *part)
    expect(page.locator("[data-parts] input:checked")).to_have_count(1)
    tap(page, "[data-terms] label")
    tap(page, "button[name=severity]", severity - 1)
    expect(page.locator("[data-kept]")).not_to_have_text(kept)


def taps(page: Page) -> int:
    return int(page.evaluate("sessionStorage.getItem('taps')"))


@pytest.mark.share(2)
def test_six_findings_and_all_the_rest_take_at_most_forty_taps(
    house, case, photos, armand, open_window
):
    armand.language = "fr"
    armand.save()
    walk: Walk = open_window(armand, size=PHONE, language="fr")
    page = walk.page
    page.add_init_script(COUNT)
    walk.go(case.get_absolute_url(), "docket")
    tap(page, ".rosin a")
    walk.arrive("front", path=r"/photos/1/$")

    find(page, (0.4, 0.7), (0.2, 0.7), 3)
    find(page, (0.6, 0.4), (0.2, 0.75), 1)
    find(page, (0.5, 0.9), (0.5, 0.06), 2)
    turn_to(walk, "back", 2)
    find(page, (0.4, 0.5), (0.3, 0.7), 2)
    find(page, (0.6, 0.6), (0.6, 0.7), 1)
    turn_to(walk, "head", 3)
    find(page, (0.5, 0.3), (0.5, 0.5), 4)
    walk.arrive("six-found")
    certify_the_rest(walk)

    walk.without_complaint()
    assert taps(page) <= MOST_TAPS
    kept_as_it_was_tapped(case)


def turn_to(walk: Walk, name: str, number: int) -> None:
    tap(walk.page, "a[rel=next]")
    walk.arrive(name, path=rf"/photos/{number}/$")


def certify_the_rest(walk: Walk) -> None:
    """Outside and inside, each by a key that names what it certifies."""
    tap(walk.page, ".look-keys a.key")
    walk.arrive("everything-else", path="/look/parts/$")
    assert faults(walk.page) == ""
    tap(walk.page, "button[value=outside]")
    expect(walk.page.locator("button[value=outside]")).to_have_count(0)
    tap(walk.page, "button[value=inside]")
    walk.arrive("docket-looked-over", path="#findings$")


def kept_as_it_was_tapped(case: Case) -> None:
    found = case.findings.present()
    assert [one.number for one in found] == [1, 2, 3, 4, 5, 6]
    assert [one.severity for one in found] == [3, 1, 2, 2, 1, 4]
    assert [one.tag_links.get().tag.photo.number for one in found] == [1, 1, 1, 2, 2, 3]
    assert (found[0].part.key, found[0].term) == ("soundboard", "crack")
    assert {found[3].part.key, found[4].part.key} == {"back"}
    looked = case.looks.filter(state=PartLook.State.LOOKED)
    assert looked.count() == case.instrument.parts.count()


@pytest.mark.share(2, 1)
def test_a_laid_map_proposes_the_part_for_the_place_on_the_photo(
    house, case, photos, armand, open_window
):
    walk: Walk = open_window(armand, size=PHONE)
    page = walk.page
    walk.go(photos[0].get_absolute_url(), "front")
    tap(page, "[data-lay]")
    for _place in range(4):
        asked = page.locator(".anchor.asked")
        x, y = float(asked.get_attribute("cx") or 0), float(asked.get_attribute("cy") or 0)
        name = asked.get_attribute("data-anchor")
        tap_photo(page, *on_photo(x, y))
        expect(page.locator(f".anchor.asked[data-anchor='{name}']")).to_have_count(0)
    expect(page.locator("[data-look]")).to_contain_text(walk.say("Take it off the photo"))
    walk.arrive("map-laid")

    tap_photo(page, *on_photo(60, 740))
    chosen = page.locator("[data-parts] label:has(input:checked)")
    expect(chosen).to_have_text(re.compile("soundboard"))
    expect(page.locator(".tagger-part-ink")).not_to_have_count(0)
    walk.arrive("part-proposed")
    assert faults(page) == ""
    tap(page, "[data-terms] label")
    tap(page, "button[name=severity]", 1)
    say_more(walk)

    tap(page, "[data-undo]")
    expect(page.locator("[data-kept]")).to_have_text("Finding 1 is withdrawn.")
    kept = case.findings.get()
    assert (kept.part.key, kept.stability, kept.note) == ("soundboard", "active", "Glue ran in.")
    assert str(kept.extent_value) == "83.50"
    assert kept.withdrawn_at is not None and kept.tag_links.get().tag.withdrawn_at is not None
    walk.without_complaint()


def say_more(walk: Walk) -> None:
    """What is added to the finding just kept; each answer is saved as it is given."""
    page = walk.page
    expect(page.locator("[data-more]")).to_be_visible()
    for said in (
        lambda: page.locator("[data-more] [name=stability][value=active]").check(),
        lambda: page.locator("#more_note").fill("Glue ran in."),
        lambda: page.locator("#more_extent").fill("83,5"),
    ):
        with page.expect_response(re.compile("/more/$")):
            said()
            page.locator("[data-edit]").focus()
    expect(page.locator("[data-more-told]")).to_have_text("Saved.")
    walk.arrive("more-said")
    assert faults(page) == ""


def on_photo(x: float, y: float) -> tuple[float, float]:
    """Where a place of the map of the front (369 × 1000) would lie on the photo of the front."""
    return 0.25 + x / 369 * 0.5, 0.05 + y / 1000 * 0.9


@pytest.mark.share(2, 1)
def test_a_finding_seen_without_network_is_kept_on_the_phone_and_goes_later(
    house, case, photos, armand, open_window
):
    walk: Walk = open_window(armand, size=PHONE)
    page = walk.page
    page.on("dialog", lambda dialog: dialog.accept())  # yes, leave although it is not sent
    walk.go(photos[0].get_absolute_url(), "front")
    page.context.set_offline(True)
    tap_photo(page, 0.4, 0.7)
    tap_map(page, 0.2, 0.7)
    tap(page, "[data-terms] label")
    tap(page, "button[name=severity]", 2)
    unsent = page.locator("[data-unsent] .problem")
    expect(unsent).to_contain_text(walk.say("The network is away."))
    expect(page.locator("[data-number]")).to_have_text("2")

    page.goto("about:blank")
    page.context.set_offline(False)
    walk.go(photos[0].get_absolute_url(), "front-again")

    expect(page.locator("[data-unsent] li")).to_have_count(0)
    expect(page.locator("[data-kept]")).to_have_text("1 finding is kept")
    assert case.findings.get().severity == 3
    assert photos[0].tags.count() == 1


@pytest.mark.share(2, 1)
def test_a_finding_is_noted_by_keyboard_alone(house, case, photos, armand, open_window):
    """Place by the arrows on the photo, part and damage from their lists, severity by its key."""
    keys = open_window(armand, hands=Keys, reduced_motion="reduce")
    page = keys.page
    keys.go(photos[0].get_absolute_url(), "front")
    keys.reach(".tagger-stage")
    for _step in range(4):
        page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Enter")
    expect(page.locator("[data-hint]")).to_have_text(keys.say(PART_ASKED))

    back = str(case.instrument.parts.get(key="back").pk)
    open_list(keys, "parts")
    keys.pick("[data-part-list] select", back)
    expect(page.locator("[data-parts] input:checked")).to_have_attribute("value", back)
    open_list(keys, "terms")
    keys.pick("[data-term-list] select", "crack")
    keys.hit(page.locator("button[name=severity]").nth(2))

    expect(page.locator("[data-kept]")).to_have_text("1 finding is kept")
    keys.without_complaint()
    kept = case.findings.get()
    assert (kept.part.key, kept.term, kept.severity) == ("back", "crack", 3)
    ((across, down),) = kept.tag_links.get().tag.points
    assert across == pytest.approx(0.5) and down > 0.55


def open_list(keys: Keys, name: str) -> None:
    """The last of the picks leads to the list of all."""
    last = keys.page.locator(f"[data-{name}] input").last
    keys.tick(last)
    expect(keys.page.locator(f"[data-{name.removesuffix('s')}-list] select")).to_be_focused()
