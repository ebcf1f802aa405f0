"""A whole case from intake to return: agreed by the owner's own link, worked, proved, handed back
and billed. On a phone in both languages, by keyboard alone, and on a screen at 200 %."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from repairs.audit.actions import chain_faults
from repairs.cases.models import Case
from repairs.invoices.models import Invoice
from repairs.people.house_models import House
from repairs.press.models import Paper
from tests import factories
from tests.browser import steps
from tests.browser.conftest import PATIENCE_MS
from tests.browser.keys import Keys
from tests.browser.walk import DESK, PHONE, ZOOMED, Walk

pytestmark = pytest.mark.browser

CRACK = {"gap_mm": "0,10", "width_mm": "180", "from_rh_pct": "38", "to_rh_pct": "52"}
KINDS = {
    "intake_receipt",
    "estimate",
    "treatment_report",
    "removed_parts",
    "care_sheet",
    "return_receipt",
    "invoice",
}


KEYBOARD: dict[str, Any] = {"size": DESK, "hands": Keys, "reduced_motion": "reduce"}
WINDOWS: dict[str, dict[str, Any]] = {
    "phone-en": {"size": PHONE},
    "phone-fr": {"size": PHONE},
    "keyboard-en": KEYBOARD,
    "zoomed-fr": {"size": ZOOMED, "device_scale_factor": 2},
}


@pytest.mark.share(6, 2)  # in turn with test_main_path.py: one long walk in each run
@pytest.mark.parametrize("window", WINDOWS)
def test_a_person_plays_a_case_from_intake_to_return(house, worker, open_window, tmp_path, window):
    language, how = window[-2:], WINDOWS[window]
    House.objects.update(**SELLER)
    factories.person("helene", "principal", language)
    walk = open_window(language=language, **how)

    steps.sign_in(walk, "helene")
    steps.enter_owner(walk)
    steps.enter_instrument(walk)
    case = steps.take_in(walk, "repair")
    steps.issue_receipt(walk)
    steps.note_finding(walk, case)
    steps.look_at_parts(walk)
    send_photo(walk, case, tmp_path, phase="before")
    walk.go(f"/cases/{case}/", "docket-to-judge")
    steps.judge(walk)
    link = offer(walk, case)
    decide(open_window(language=language, **how), link)
    take_readings(walk, case, "before")
    work(walk, case)
    send_photo(walk, case, tmp_path, phase="during")
    send_photo(walk, case, tmp_path, phase="after")
    sign_off_is_refused(walk, case)
    take_readings(walk, case, "after")
    sign_off(walk, case)
    for kind in ("treatment_report", "removed_parts", "care_sheet"):
        issue_paper(walk, case, kind)
    hand_back(walk, case)
    bill(walk, case)

    walk.complaints = [one for one in walk.complaints if "409" not in one]  # the refused sign-off
    walk.without_complaint()
    kept_as_it_was_done(case)


SELLER = {
    "address": "1, rue du Puits",
    "postcode": "99001",
    "city": "Montbrac",
    "country": "FR",
    "email": "atelier@example.org",
    "legal_form": "EI",
    "company_number": "00012345500016",
    "vat_id": "FR31000123455",
    "iban": "FR7699999000010000000004286",
}


def send_photo(walk: Walk, case: str, folder: Path, *, phase: str) -> None:
    file = folder / f"{phase}.jpg"
    file.write_bytes(factories.jpeg(900, 700, seed=sum(phase.encode())))
    walk.go(f"/cases/{case}/photos/add/?view=front", f"photos-{phase}")
    fold = walk.say("When they were taken, and of which view")
    walk.hit(walk.page.locator("form[data-upload] summary", has_text=fold))
    walk.choose(phase=phase, view="front")
    walk.attach("input[type=file]", file)
    expect(walk.page.locator(".upload-row[data-state=ready]")).to_have_count(1)


def offer(walk: Walk, case: str) -> str:
    """Write the estimate, issue it, and make the link that the owner gets."""
    walk.go(f"/cases/{case}/", "docket-before-estimate")
    walk.press("Write an estimate", within=walk.section("estimates"))
    walk.arrive("estimate-form", path=r"/estimates/1/")
    if "/edit/" not in walk.page.url:
        walk.press("Change")
        walk.arrive("estimate-edit", path="/edit/$")
    page = walk.page
    walk.pick("[name='o1l1-what']", "crack_reglue")
    walk.write("[name='o1l1-minutes_low']", "60")
    walk.write("[name='o1l1-minutes_high']", "120")
    walk.hit(page.locator("fieldset.line-form").first.locator("summary"))
    walk.tick(page.locator("[name='o1l1-findings']").first)
    walk.pick("[name='o1l2-what']", "outside")
    walk.write("[name='o1l2-words']", "Transport")
    walk.write("[name='o1l2-amount']", "25,50")
    walk.press("Save and look at it")
    walk.arrive("estimate", path=r"/estimates/1/$")
    walk.press("Issue exactly this")
    walk.arrive("estimate-issued", path=r"/estimates/1/$")
    walk.press("Make a link to send")
    walk.arrive("link", path="/link/shown/$")
    address = str(page.locator("input[readonly]").input_value())
    return re.sub(r"^https?://[^/]+", "", address)  # the server of a test has a port of its own


def decide(owner: Walk, link: str) -> None:
    """The owner opens the link as often as they like, and decides once."""
    owner.go(link, "owner-decides")
    owner.page.reload()
    owner.tick(owner.page.locator("input[name=choice]").first)
    owner.fill(name=steps.OWNER)
    owner.tick("#id_may_decide")
    owner.fill(signed_name=steps.OWNER)
    owner.hit("main form button.key")
    owner.arrive("owner-thanked", path="/consent/noted/$")
    owner.without_complaint()
    answer = owner.page.goto(link)
    assert answer is not None and answer.status == 410


def take_readings(walk: Walk, case: str, phase: str) -> None:
    wanted = {"crack_joint": CRACK if phase == "before" else CRACK | {"gap_mm": "0,03"}}
    if phase == "before":
        wanted["cleats"] = {"crack_mm": "146", "size_mm": "10"}
    for gauge, values in wanted.items():
        walk.go(f"/cases/{case}/readings/take/{gauge}/", f"{gauge}-{phase}")
        for name, value in values.items():
            walk.write(f"[name='{name}']", value)
        walk.choose(phase=phase)
        walk.press("Keep the reading")
        walk.arrive(f"{gauge}-{phase}-kept", path=r"/readings/\d+/$")


def work(walk: Walk, case: str) -> None:
    """Begin, tick every step, note glue, bag what comes off, and stop the clock."""
    walk.go(f"/cases/{case}/", "docket-agreed")
    begin = re.compile(walk.say("Begin"))
    walk.hit(walk.section("work").get_by_role("link", name=begin).first)
    walk.arrive("begin", path="/begin/$")
    walk.fill(room_t_c="19,5", room_rh_pct="50")
    walk.press("Begin, and start my clock")
    walk.arrive("work", path=r"/work/1/$")
    walk.told("The work is begun and your clock runs.")
    walk.press("All others were done as written")
    walk.arrive("work-steps", path="#steps$")
    materials = walk.section("materials")
    walk.hit(materials.locator("summary"))
    said = {"name": "colle de peau", "lot": "lot 12", "glue_t_c": "58"}
    walk.fill(**{f"material-{name}": words for name, words in said.items()})
    walk.press("Note it", within=materials)
    walk.arrive("work-material", path="#materials$")
    removed = walk.section("removed")
    walk.hit(removed.locator("summary"))
    walk.fill(**{"removed-description": "taquet ancien, décollé"})
    walk.press("Give it a bag")
    walk.arrive("work-bag", path="#removed$")
    walk.press("Pause", "clock")
    walk.arrive("work-paused", path=r"/work/1/$")
    walk.press("Resume", "clock")
    walk.arrive("work-resumed", path=r"/work/1/$")
    walk.press("Stop: it is done", "clock")
    walk.arrive("proof-open", path="/proof/$")


def sign_off_is_refused(walk: Walk, case: str) -> None:
    """A reading is missing: no reason helps, and the page names it."""
    walk.go(f"/cases/{case}/work/1/proof/", "proof-missing")
    walk.press("Sign this work off")
    walk.arrive("proof-refused", path="/proof/$")
    expect(walk.page.locator(".problems")).to_contain_text(walk.say("Not signed off yet."))


def sign_off(walk: Walk, case: str) -> None:
    walk.go(f"/cases/{case}/work/1/proof/", "proof")
    walk.press("Sign this work off")
    walk.arrive("docket-proved", path=rf"/cases/{case}/#proof$")
    walk.told("Work %(number)s is signed off.", number=1)


def issue_paper(walk: Walk, case: str, kind: str) -> None:
    """Preview, wait for it, issue exactly that."""
    walk.go(f"/cases/{case}/make/{kind}/", f"make-{kind}")
    walk.pick("#language", walk.language)
    walk.press("Make a preview")
    ready = walk.page.get_by_role("link", name=walk.say("Open the preview (PDF)"))
    expect(ready).to_be_visible(timeout=PATIENCE_MS)
    walk.arrive(f"preview-{kind}")
    walk.press("Issue exactly this")
    expect(walk.page).to_have_url(re.compile("/papers/[0-9a-f-]+/$"), timeout=PATIENCE_MS)
    walk.arrive(f"issued-{kind}")


def hand_back(walk: Walk, case: str) -> None:
    walk.go(f"/cases/{case}/", "docket-to-return")
    walk.press("Hand it back", within=walk.section("papers"))
    walk.arrive("return", path="/return/$")
    walk.fill(state_at_return="Fente fermée.\nRoue propre.\nCordes détendues.")
    walk.press("Save, then see the receipt")
    walk.arrive("return-receipt", path="/make/return_receipt/$")
    issue_paper(walk, case, "return_receipt")
    walk.go(f"/cases/{case}/", "docket-at-its-end")


def bill(walk: Walk, case: str) -> None:
    """The case waits to be invoiced; its lines are there; the invoice is issued as shown."""
    walk.go("/papers/money/", "money")
    walk.press("Draft the invoice")
    walk.arrive("invoice-draft", path=r"/drafts/\d+/$")
    described = walk.page.locator("[name$=-description]")
    expect(described.nth(1)).to_have_value("Transport")
    draft = walk.here
    walk.go(f"{draft}issue/", "invoice-shown")
    walk.hit("main form button.key")
    expect(walk.page).to_have_url(re.compile("/invoices/FA-"), timeout=PATIENCE_MS)
    walk.arrive("invoice")


def kept_as_it_was_done(number: str) -> None:
    case = Case.objects.get(number=number)
    assert [move.step for move in case.moves.all()] == case.path
    assert case.custody.get(until=None).holder == "owner"
    assert case.interventions.get().sign_off.by.username == "helene"
    papers = set(Paper.objects.values_list("kind", flat=True))
    assert papers == KINDS
    assert Invoice.objects.get().case == case
    assert list(chain_faults()) == []
