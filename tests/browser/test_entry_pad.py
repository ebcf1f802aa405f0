"""A sheet at the bench: one key at a time on a phone, the whole table on a desk, blank on paper."""

from __future__ import annotations

import io

import pypdf
import pytest
from playwright.sync_api import expect

from repairs.readings.models import Reading
from tests.browser.walk import DESK, PHONE
from tests.readings import samples

pytestmark = pytest.mark.browser

LEAST_PX = 63.5
# The head of the dial stands in sight above the last row, and no row passes over it.
UNIT_IN_SIGHT = """() => {
  const head = document.querySelector(".entry th [data-unit-of=scale]").closest("th");
  const box = head.getBoundingClientRect();
  const top = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  const last = document.getElementById("cell-reading-24").getBoundingClientRect();
  return top?.closest("th") === head && last.top >= box.bottom - 1 && last.bottom < innerHeight;
}"""
KEYS_IN_SIGHT = (
    "[...document.querySelectorAll('.entry tbody tr')].filter(r => r.offsetHeight).length"
)


def tap(page, *keys: str) -> None:
    for key in keys:
        page.locator(".pad-key", has_text=key).first.tap()


def test_on_a_phone_the_keys_come_one_by_one_under_big_figure_keys(
    house, case, armand, open_window
):
    armand.language = "fr"
    armand.save()
    case.instrument.key_count = 3
    case.instrument.save()
    walk = open_window(armand, size=PHONE, language="fr")
    page = walk.page
    page.goto(samples.address(case, "correction"))

    assert page.evaluate(KEYS_IN_SIGHT) == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    for box in page.locator(".pad-key").all():
        size = box.bounding_box()
        assert size and size["height"] >= LEAST_PX
    page.locator("#cell-first-1").tap()
    tap(page, "4", ",", "5", "±")
    expect(page.locator("#cell-first-1")).to_have_value("-4,5")
    tap(page, ",", "⌫")  # a second comma is none
    expect(page.locator("#cell-first-1")).to_have_value("-4,")
    tap(page, "2")
    page.locator(".pad-key.next").tap()
    page.locator(".pad-key.next").tap()
    expect(page.locator("#cell-first-2")).to_be_visible()
    expect(page.locator("#cell-first-1")).to_be_hidden()
    tap(page, "7")
    page.locator(".pad-key.back").tap()
    page.locator(".pad-key.back").tap()
    expect(page.locator("#cell-first-1")).to_have_value("-4,2")
    page.locator("#cell-u_cents").fill("0,5")
    page.locator(".save-bar button").tap()
    page.wait_for_url("**/readings/1/")

    rows = Reading.objects.get().raw["rows"]
    assert [(row["key"], row["first"]) for row in rows] == [("1", "-4,2"), ("2", "7"), ("3", "")]


def test_a_refused_value_is_shown_on_its_own_key_and_stays_typed(house, case, armand, open_window):
    walk = open_window(armand, size=PHONE)
    page = walk.page
    page.goto(samples.address(case, "correction"))
    page.evaluate("document.getElementById('cell-first-1').value = '2'")
    page.evaluate("document.getElementById('cell-first-7').value = '900'")
    page.locator(".save-bar button").tap()

    expect(page.locator("#cell-first-7")).to_be_visible()
    expect(page.locator("#cell-first-7")).to_have_value("900")
    expect(page.locator(".problems")).to_contain_text("row 7")


def test_by_keyboard_enter_walks_the_fields_and_the_table_can_be_asked_for(
    house, case, armand, open_window
):
    walk = open_window(armand, size=PHONE)
    page = walk.page
    page.goto(samples.address(case, "action"))
    page.locator("#cell-at_1-1").focus()
    page.keyboard.type("19.4")
    page.keyboard.press("Enter")

    expect(page.locator("#cell-at_2-1")).to_be_focused()
    expect(page.locator("#cell-at_1-1")).to_be_hidden()  # many fields come one by one
    page.locator(".pad-turn").tap()
    assert page.evaluate(KEYS_IN_SIGHT) == (case.instrument.key_count or 23)


def test_on_a_desk_the_whole_table_is_in_sight(house, case, armand, open_window):
    page = open_window(armand, size=DESK).page
    page.goto(samples.address(case, "action"))

    expect(page.locator(".pad")).to_be_hidden()
    wide = "document.querySelector('.scroll:has(> .entry)')"
    assert page.evaluate(f"{wide}.scrollWidth - {wide}.clientWidth") <= 1


def test_a_changed_unit_stands_in_the_heads_at_once_and_stays_in_sight(
    house, case, armand, open_window
):
    walk = open_window(armand, size=DESK)
    page = walk.page
    page.goto(samples.address(case, "wheel"))
    head = page.locator(".entry thead th", has_text="Dial").first
    expect(head).to_contain_text("(1/100 mm)")

    page.locator("#cell-scale").select_option("microns")
    expect(head).to_contain_text("(1/1000 mm)")
    page.locator("#cell-scale").select_option("mm")
    for one in page.locator('[data-unit-of="scale"]').all():
        assert one.inner_text().strip(" ()") == "mm"

    page.locator("#cell-reading-1").focus()
    for _row in range(23):
        page.keyboard.press("Enter")
    expect(page.locator("#cell-reading-24")).to_be_focused()
    page.wait_for_function(UNIT_IN_SIGHT)  # the page scrolls smoothly


def test_on_a_phone_each_row_bears_its_unit_and_a_slip_is_asked_about(
    house, case, armand, open_window
):
    walk = open_window(armand, size=PHONE)
    page = walk.page
    page.goto(samples.address(case, "wheel"))
    unit = "getComputedStyle(document.querySelector('.here td:nth-of-type(2)'), '::before').content"
    assert "1/100 mm" in page.evaluate(unit)

    page.locator("#cell-scale").select_option("mm")
    assert '(" "mm' not in page.evaluate(unit)
    assert "mm" in page.evaluate(unit)
    assert "1/100" not in page.evaluate(unit)
    page.locator("#cell-scale").select_option("hundredths")
    page.locator("#cell-mean_diameter_mm").fill("170")
    for place in range(8):  # a thousandth of a millimetre in all, by a dial of hundredths
        page.evaluate(
            "([n, v]) => document.getElementById(n).value = v",
            [f"cell-reading-{3 * place + 1}", f"0.{place + 1}"],
        )
    page.locator(".save-bar button").tap()

    expect(page.locator(".caution[role=alert]")).to_contain_text("Look at the unit")
    assert not Reading.objects.exists()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_sheet_is_printed_with_all_its_rows_and_without_keys(
    house, case, armand, open_window, size
):
    page = open_window(armand, size=size).page
    page.goto(samples.address(case, "correction"))

    for paper, most in (("Letter", 2), ("A4", 2), ("A5", 3)):
        printed = pypdf.PdfReader(io.BytesIO(page.pdf(format=paper))).pages
        leaves = [one.extract_text() for one in printed]
        text = " ".join(leaves)
        assert len(leaves) <= most
        assert all(leaf.strip() for leaf in leaves)  # no white one
        assert "Keep the reading" not in text
        assert "⌫" not in text
        assert {str(key) for key in range(1, 24)} <= set(text.split())


def test_a_wholly_empty_sheet_is_printed_without_what_is_known(house, case, armand, open_window):
    samples.reading(case, by=armand, gauge="correction")
    page = open_window(armand, size=PHONE).page
    page.goto(samples.address(case, "correction"))
    assert page.locator("#cell-length_mm").input_value() == "345"

    page.get_by_role("link", name="A wholly empty sheet, to print").tap()

    page.wait_for_url("**as=empty")
    assert page.locator("#cell-length_mm").input_value() == ""
    text = pypdf.PdfReader(io.BytesIO(page.pdf(format="A4"))).pages[0].extract_text()
    assert "Speaking length" in text
    assert "345" not in text
    assert "as reading" not in text
    assert "draft" not in text


def test_the_guided_set_up_is_walked_by_thumb_at_360_px(house, case, armand, open_window):
    page = open_window(armand, size=PHONE).page
    page.goto(f"/cases/{case.number}/setup/")
    page.get_by_role("button", name="Begin").tap()
    for step in ("air", "axle"):
        here = page.locator(f"#step-{step}")
        expect(here).to_have_class("next")  # the page is there, whole
        for key in here.locator(".bench-key").all():
            size = key.bounding_box()
            assert size and size["height"] >= LEAST_PX
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
        here.get_by_role("button", name="Good by hand and eye").tap()
    expect(page.locator("#step-wheel")).to_have_class("next")

    page.locator("#step-axle summary").focus()
    page.keyboard.press("Enter")
    page.locator("#step-axle").get_by_role("button", name="Something was changed").press("Enter")

    expect(page.locator("#step-axle")).to_have_class("next")
    expect(page.locator("#step-axle")).to_contain_text("read it again")
