"""An estimate from the first line to the owner's signature, on a phone and on a desk."""

from __future__ import annotations

import json
import re
from decimal import Decimal
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.models import Estimate
from repairs.estimates.wishes import LineWish, OptionWish
from tests import factories
from tests.browser.judge import faults as axe_faults
from tests.browser.test_accessibility import LEAST_PX, TOO_SMALL
from tests.browser.walk import DESK, PHONE, Walk

pytestmark = pytest.mark.browser

PHONE_VIEW = {"width": PHONE[0], "height": PHONE[1]}
SIZES = pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])


@pytest.fixture
def offer(house, case, armand, threads_database) -> Estimate:
    """Three ways, the last with something that cannot be undone."""
    crack = factories.finding(case, by=armand)
    seam = factories.finding(case, by=armand, part="back", severity=2)
    work: Any = factories.work_line
    first = work("cleats", findings=[crack], words="at the heel")
    strings = LineWish(kind="material", words="six gut strings, cotton, rosin", amount=Decimal(48))
    options = (
        OptionWish(kind="safe", promise="The crack is held.", lines=[first], left_out="Strings."),
        OptionWish(
            kind="playable",
            title="with the bridge that it has",
            promise="It plays again, without growling.",
            risk="The old tuning of the tangents is lost.",
            lines=[first, work("seam", findings=[crack, seam]), strings],
            ceiling=Decimal(900),
        ),
        OptionWish(kind="full", lines=[first, work("turning", findings=[seam]), strings]),
    )
    return factories.estimate(case, *options, by=armand, deposit_pct=30, survey_fee=Decimal(40))


def faults(page: Page) -> str:
    """What axe finds, and what is too small for a thumb."""
    small = page.evaluate(TOO_SMALL, LEAST_PX) if page.viewport_size == PHONE_VIEW else []
    return axe_faults(page) + "".join(f"too small: {one}\n" for one in small)


def sign(page: Page) -> None:
    """Draw as a hand draws: down, across, up."""
    field = page.locator("[data-sign] canvas")
    field.scroll_into_view_if_needed()
    box = field.bounding_box()
    assert box is not None
    x, y, width, height = box["x"], box["y"], box["width"], box["height"]
    for start, *rest in ([(0.1, 0.7), (0.3, 0.2), (0.5, 0.8)], [(0.6, 0.5), (0.9, 0.4)]):
        page.mouse.move(x + start[0] * width, y + start[1] * height)
        page.mouse.down()
        for place in rest:
            page.mouse.move(x + place[0] * width, y + place[1] * height, steps=8)
        page.mouse.up()


@pytest.mark.share(2)
@SIZES
def test_an_estimate_is_written_issued_and_signed(house, case, helene, open_window, size):
    factories.finding(case, by=helene)
    factories.procedure("cleats")
    factories.looked_over(case, by=helene)
    walk = open_window(helene, size=size)

    walk.go(f"/cases/{case.number}/estimates/", "estimates-empty")
    walk.press("Write an estimate")
    walk.arrive("estimate-form", path=r"/estimates/1/edit/$")
    write(walk)
    walk.press("Save and look at it")
    walk.arrive("estimate-draft", path=r"/estimates/1/$")
    assert faults(walk.page) == ""
    walk.press("Issue exactly this")
    walk.arrive("estimate-issued", path=r"/estimates/1/$")
    walk.press("Here, signed")
    walk.arrive("premises", path="/premises/$")
    assert faults(walk.page) == ""
    walk.page.locator("[name=choice][value='1']").check()
    walk.fill(name=case.owner.name)
    sign(walk.page)
    walk.arrive("premises-signed")
    walk.press("Sign and note the decision")
    walk.arrive("decision", path=r"/consents/1/$")
    walk.told("Decision %(number)s is noted.", number=1)
    expect(walk.page.locator("svg.signature-drawn path")).to_have_count(1)

    walk.without_complaint()
    (consent,) = Consent.objects.all()
    assert [len(stroke) > 2 for stroke in consent.signature] == [True, True]
    assert consent.signature[0][0] == pytest.approx([0.1, 0.7], abs=0.02)


def write(walk: Walk) -> None:
    page = walk.page
    page.locator("#id_o1l1-what").select_option("cleats")
    page.get_by_role("button", name=walk.say("One more line")).first.click()
    walk.arrive("estimate-form-longer", path=r"/edit/$")
    assert faults(page) == ""
    expect(page.locator("#id_o1l1-what")).to_have_value("cleats")
    expect(page.locator("#id_o1l3-what")).to_be_visible()
    page.locator(".line-form").first.locator("summary").click()
    page.locator("[name=o1l1-findings]").first.check()
    page.locator("#id_o1l2-what").select_option("material")
    walk.press("Save and look at it")
    walk.arrive("estimate-form-with-problems", path=r"/edit/$")
    assert faults(page) == ""
    expect(page.locator(".problems li")).to_have_count(2)
    page.locator("#id_o1l2-words").fill("glue")
    page.locator("#id_o1l2-amount").fill("8,40")


@pytest.mark.share(2)
@SIZES
def test_the_owner_decides_through_the_link(offer, armand, open_window, size):
    house = open_window(armand, size=size)
    house.go(f"/cases/{offer.case.number}/estimates/1/", "estimate-three")
    assert faults(house.page) == ""
    house.press("Make a link to send")
    house.arrive("link-made", path="/link/shown/$")
    assert faults(house.page) == ""
    address = house.page.locator("#address").input_value()
    place = re.sub(r"^https?://[^/]+", "", address)
    owner = open_window(size=size)

    owner.go(place, "owner-link")
    assert faults(owner.page) == ""
    owner.page.locator("[name=choice][value='3']").check()
    owner.page.locator("[name=irreversible_agreed]").check()
    owner.fill(name=offer.case.owner.name)
    sign(owner.page)
    owner.press("Sign again")
    expect(owner.page.locator("[name=signature]")).to_have_value("")
    sign(owner.page)
    owner.press("Sign and send the decision")
    owner.arrive("owner-thanks", path="/consent/noted/$")
    assert faults(owner.page) == ""

    owner.without_complaint()
    consent = Consent.objects.get()
    assert (consent.how, consent.irreversible_agreed) == ("link", True)
    owner.page.goto(place)
    owner.arrive("owner-spent")
    assert faults(owner.page) == ""
    expect(owner.page.locator("main")).to_contain_text(owner.say("This link does not open"))


def test_the_owner_decides_without_script(offer, armand, open_window):
    """The name typed once more signs; a fault leaves what was typed where it was."""
    link, token = factories.link(offer, by=armand)
    owner = open_window(size=PHONE, java_script_enabled=False)

    owner.go(f"/consent/{token}/", "owner-plain")
    owner.page.locator("[name=choice][value='1']").check()
    owner.fill(name=offer.case.owner.name)
    owner.press("Sign and send the decision")
    owner.arrive("owner-plain-unsigned", path="/consent/")
    expect(owner.page.locator(".problems")).to_contain_text("not signed")
    owner.fill(signed_name=offer.case.owner.name)
    owner.press("Sign and send the decision")
    owner.arrive("owner-plain-thanks", path="/consent/noted/$")

    owner.without_complaint()
    assert ConsentLink.objects.get(pk=link.pk).used_at is not None


def test_a_signature_comes_back_with_a_page_that_has_a_fault(offer, armand, open_window):
    walk = open_window(armand, size=PHONE)
    walk.go(f"/cases/{offer.case.number}/estimates/1/premises/", "premises-three")
    walk.page.locator("[name=choice][value='3']").check()
    walk.fill(name=offer.case.owner.name)
    sign(walk.page)
    drawn = walk.page.locator("[name=signature]").input_value()
    walk.press("Sign and note the decision")
    walk.arrive("premises-refused", path="/premises/$")

    expect(walk.page.locator(".problems")).to_contain_text("by itself")
    assert json.loads(walk.page.locator("[name=signature]").input_value()) == json.loads(drawn)


@pytest.mark.share(2)
@SIZES
def test_what_was_said_by_telephone_is_noted(offer, armand, open_window, size):
    walk = open_window(armand, size=size)

    walk.go(f"/cases/{offer.case.number}/estimates/1/spoken/", "spoken")

    assert faults(walk.page) == ""
