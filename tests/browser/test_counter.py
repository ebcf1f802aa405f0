"""How long it takes at the counter: screens to scroll, and taps and fields until the receipt."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from repairs.cases.models import Case
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.press.models import Paper
from tests import factories
from tests.browser import steps
from tests.browser.conftest import PATIENCE_MS
from tests.browser.walk import PHONE, Walk

pytestmark = pytest.mark.browser

MOST_UNTIL_RECEIPT, MOST_TO_NAME = 25, 12
MOST_SCREENS = 3
PHOTOS = 12
RECEIPT_SAYS = {
    "Kind": "wheel fiddle",
    "Maker": "Étienne Roussillat (unknown)",
    "Place and date": "1650–1720",
    "Accessories": "étui; manivelle",
    "Owner": "Anselme Courtavel, 2, place du Puits",
    "Reason": "repair",
    "State in three lines": "Fente de la table. / La roue tourne. / Cordes détendues.",
    "Received with it": "étui; manivelle",
    "The owner’s words": "Elle grogne une fois par tour.",
    "Declared value": "6,800.00 EUR",
    "Insured during the stay": "6,800.00 EUR",
    "Wheel may be turned": "yes",
    "May be strung to pitch": "not decided: ask first",
    "May be played": "not decided: ask first (Anselme Courtavel)",
    "Old strings and cotton": "need not be kept",
}


class Hand:
    """Counts what a hand does: a tap, or a field entered (typed, or chosen from a list)."""

    def __init__(self, walk: Walk) -> None:
        self.walk = walk
        self.count = 0
        self.screens = 0.0

    def tap(self, words: str) -> None:
        self.count += 1
        self.walk.press(words)

    def tap_on(self, selector: str) -> None:
        self.count += 1
        self.walk.page.locator(selector).click()

    def fill(self, **fields: str) -> None:
        self.count += len(fields)
        self.walk.fill(**fields)

    def choose(self, **fields: str) -> None:
        self.count += len(fields)
        self.walk.choose(**fields)

    def send(self, files: list[Path]) -> None:
        """Several photos at once are one choice of the phone."""
        self.count += 1
        self.walk.page.locator("input[type=file]").set_input_files(files)

    def page(self, name: str) -> None:
        """Arrive on a page, and add how many screens of the phone it is long."""
        self.walk.arrive(name)
        height, screen = self.walk.page.evaluate("[document.body.offsetHeight, innerHeight]")
        self.screens += height / screen


def pictures(folder: Path) -> list[Path]:
    folder.mkdir()
    files = []
    for number in range(1, PHOTOS + 1):
        file = folder / f"IMG_{number:02}.jpg"
        file.write_bytes(factories.jpeg(640, 480, seed=number))
        files.append(file)
    return files


def take_in(hand: Hand) -> None:
    hand.tap("Take an instrument in")
    hand.page("choose")
    hand.tap("A new owner")
    hand.page("newcomer")
    hand.fill(
        name=steps.OWNER,
        phone="+33 6 00 00 00 00",
        email="anselme@example.org",
        address="2, place du Puits",
    )
    hand.choose(kind="vielle_lute")
    hand.fill(maker=steps.MAKER, date_text="1650–1720", declared_value="6800")
    hand.tap("Continue")
    hand.page("intake")
    hand.fill(
        owner_words="Elle grogne une fois par tour.",
        state_at_intake="Fente de la table.\nLa roue tourne.\nCordes détendues.",
        received_items="étui\nmanivelle",
        place="étagère 2",
    )
    hand.tap_on("details.room:has([name=may_turn]) > summary")
    hand.tap_on("label:has([name=may_turn][value=yes])")
    hand.tap("Open the case")
    hand.walk.arrive("docket", path=r"/cases/[^/]+/$")


@pytest.mark.share(2)
def test_first_receipt_and_twelve_named_photos_take_few_taps(house, worker, open_window, tmp_path):
    helene = factories.person("helene", "principal", "en")
    walk = open_window(helene, size=PHONE)
    walk.go("/", "start")
    hand = Hand(walk)

    take_in(hand)
    assert hand.screens <= MOST_SCREENS

    hand.tap("Add photos")
    walk.arrive("photos-add", path="/photos/add/$")
    hand.send(pictures(tmp_path / "photos"))
    ready = walk.page.locator(".upload-row[data-state=ready]")
    expect(ready).to_have_count(PHOTOS, timeout=PATIENCE_MS)

    until_receipt, hand.count = hand.count, 0
    name_the_views(hand)
    assert hand.count <= MOST_TO_NAME

    hand.count = until_receipt
    hand.tap("Intake receipt")
    walk.arrive("receipt", path="/receipt/$")
    says_what_it_must(walk)
    hand.tap("Issue this receipt")
    walk.arrive("receipt-issued", path="/papers/")
    assert hand.count <= MOST_UNTIL_RECEIPT
    walk.without_complaint()
    kept_as_it_was_done()


def name_the_views(hand: Hand) -> None:
    """Out of order, one tap a photo; the next photo comes by itself."""
    page = hand.walk.page
    views = [view.slug for view in Case.objects.get().instrument.pattern.views][:PHOTOS]
    for number, view in enumerate(reversed(views), start=1):
        button = page.locator(f"button[name=view_{number}][value={view}]")
        expect(button).to_be_visible()
        hand.tap_on(f"button[name=view_{number}][value={view}]")
    expect(page.locator("button[name^=view_]")).to_have_count(0)
    hand.walk.arrive("photos-named")


def says_what_it_must(walk: Walk) -> None:
    facts = walk.page.locator("dl.facts")
    labels, told = facts.locator("dt").all_inner_texts(), facts.locator("dd").all_inner_texts()
    said = {name: words.replace("\u00a0", " ") for name, words in zip(labels, told, strict=True)}
    short = {name: words for name, words in RECEIPT_SAYS.items() if words not in said.get(name, "")}
    assert short == {}


def kept_as_it_was_done() -> None:
    case = Case.objects.get()
    views = [view.slug for view in case.instrument.pattern.views][:PHOTOS]
    assert list(case.photos.values_list("view", flat=True)) == views[::-1]
    assert Paper.objects.get().kind == INTAKE_RECEIPT
