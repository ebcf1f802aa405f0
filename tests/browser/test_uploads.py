"""Weak networks and second windows: what was sent stays sent, what was typed stays typed."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page, Route, expect

from repairs.findings import actions as finding_actions
from repairs.findings.models import Finding
from tests.browser.conftest import PATIENCE_MS
from tests.browser.walk import PHONE, Walk

pytestmark = pytest.mark.browser

PIECE = 1024 * 1024
SEND = re.compile(r"/photos/send/[0-9a-f-]+/\?offset=(\d+)")


@pytest.fixture
def heavy(tmp_path: Path) -> Path:
    """A photo of several pieces: noise does not compress."""
    out = io.BytesIO()
    Image.effect_noise((2600, 2000), 90).save(out, "JPEG", quality=85)
    assert 2 * PIECE < out.tell() < 6 * PIECE
    file = tmp_path / "IMG_heavy.jpg"
    file.write_bytes(out.getvalue())
    return file


def offsets_sent(page: Page) -> list[int]:
    """Fills itself with the place of each piece that reached the server."""
    kept: list[int] = []

    def note(response) -> None:
        found = SEND.search(response.url)
        if found and response.status == 200:
            kept.append(int(found[1]))

    page.on("response", note)
    return kept


@pytest.mark.share(2)
def test_a_lost_network_is_waited_out_and_the_upload_goes_on(
    house, case, armand, worker, open_window, heavy
):
    walk = open_window(armand, size=PHONE)
    page = walk.page
    sent = offsets_sent(page)
    cut_after(walk, pieces=1)

    walk.go(f"/cases/{case.number}/photos/add/", "photos-add")
    page.locator("input[type=file]").set_input_files(heavy)
    row = page.locator(".upload-row")
    expect(row).to_have_attribute("data-state", "waiting")
    size = f"{heavy.stat().st_size / 1e6:.1f} MB"
    said = walk.say("waiting for the network, %(kept)s of %(size)s kept", kept="1 MB", size=size)
    expect(row.locator(".upload-state")).to_have_text(said)
    walk.arrive("upload-waiting")
    assert sent == [0]

    page.unroute(SEND)
    page.context.set_offline(False)
    expect(row).to_have_attribute("data-state", "ready", timeout=PATIENCE_MS)

    assert sent[1] == PIECE
    assert sent == sorted(set(sent))
    expect(page.locator("[data-gallery] img")).to_have_count(1)
    walk.arrive("upload-ready")
    assert case.photos.get().original.size_bytes == heavy.stat().st_size


def cut_after(walk: Walk, *, pieces: int) -> None:
    """Let so many pieces through; with the next one the whole network goes."""
    passed: list[Route] = []

    def judge(route: Route) -> None:
        if len(passed) < pieces:
            passed.append(route)
            route.continue_()
        else:
            walk.page.context.set_offline(True)
            route.abort("internetdisconnected")

    walk.page.route(SEND, judge)


@pytest.mark.share(2, 1)
def test_the_same_file_chosen_again_after_a_reload_goes_on_from_what_is_kept(
    house, case, armand, worker, open_window, heavy
):
    walk = open_window(armand)
    page = walk.page
    sent = offsets_sent(page)
    page.on("dialog", lambda dialog: dialog.accept())  # yes, leave although a photo is on its way
    cut_after(walk, pieces=1)
    walk.go(f"/cases/{case.number}/photos/add/", "photos-add")
    page.locator("input[type=file]").set_input_files(heavy)
    expect(page.locator(".upload-row")).to_have_attribute("data-state", "waiting")

    page.goto("about:blank")  # left while the network is gone, or the page itself would go on
    page.unroute(SEND)
    page.context.set_offline(False)
    before = len(sent)
    walk.go(f"/cases/{case.number}/photos/add/", "photos-add-again")
    page.locator("input[type=file]").set_input_files(heavy)

    row = page.locator(".upload-row")
    expect(row).to_have_attribute("data-state", re.compile("received|ready"), timeout=PATIENCE_MS)
    assert sent.count(0) == 1
    assert all(offset >= PIECE for offset in sent[before:])
    expect(row).to_have_attribute("data-state", "ready", timeout=PATIENCE_MS)
    assert case.photos.count() == 1


@pytest.mark.share(2)
def test_a_draft_outlives_a_reload_and_goes_when_the_form_is_saved(
    house, case, armand, open_window
):
    walk = open_window(armand)
    address = f"/cases/{case.number}/findings/add/"
    walk.go(address, "finding-form")
    fill_finding(walk, "beside the keybox")

    walk.page.reload()
    offer = walk.page.locator(".draft-offer")
    expect(offer).to_be_visible()
    walk.arrive("draft-offered")
    expect(walk.page.locator("#id_location")).to_have_value("")
    walk.press("Put it back")
    expect(walk.page.locator("#id_location")).to_have_value("beside the keybox")
    expect(walk.page.locator("[name=severity][value='2']")).to_be_checked()
    walk.press("Save")
    walk.arrive("docket", path="#findings$")

    walk.go(address, "finding-form-anew")
    expect(offer).to_have_count(0)
    assert walk.page.evaluate("Object.keys(localStorage).filter(k => k.startsWith('draft:'))") == []
    assert case.findings.get().location == "beside the keybox"
    walk.without_complaint()


@pytest.mark.share(2, 1)
def test_no_draft_is_offered_beside_what_the_server_has_just_sent_back(
    house, case, armand, open_window
):
    walk = open_window(armand)
    walk.go(f"/cases/{case.number}/findings/add/", "finding-form")
    walk.fill(location="beside the keybox ")
    walk.page.locator("form[data-draft]").evaluate("form => form.setAttribute('novalidate', '')")
    walk.press("Save")

    expect(walk.page.locator(".problems")).to_be_visible()
    expect(walk.page.locator("#id_location")).to_have_value(re.compile("beside the keybox"))
    expect(walk.page.locator(".draft-offer")).to_have_count(0)


def fill_finding(walk: Walk, location: str) -> None:
    walk.page.locator("#id_part").select_option(index=1)
    walk.choose(term="crack")
    walk.fill(location=location)
    walk.page.locator("[name=severity][value='2']").check()


@pytest.mark.share(2)
def test_a_draft_is_not_offered_to_another_person_of_the_same_device(
    house, case, armand, lise, open_window
):
    walk = open_window(armand)
    address = f"/cases/{case.number}/findings/add/"
    walk.go(address, "finding-form")
    fill_finding(walk, "beside the keybox")

    walk.page.context.clear_cookies()
    walk.page.goto("/sign-in/")
    walk.fill(username="lise", password="un-mot-long-1771")
    walk.press("Sign in")
    walk.page.wait_for_url(re.compile("/$"))
    walk.go(address, "finding-form-of-lise")

    expect(walk.page.locator("form[data-draft]")).to_be_visible()
    expect(walk.page.locator(".draft-offer")).to_have_count(0)


@pytest.mark.share(2, 1)
def test_two_windows_at_one_finding_show_the_slower_one_both_versions(
    house, case, finding, armand, helene, open_window
):
    address = f"/cases/{case.number}/findings/{finding.number}/"
    first, second = open_window(armand), open_window(helene)
    first.go(address, "finding-of-armand")
    second.go(address, "finding-of-helene")

    first.fill(location="along the bass edge")
    first.press("Save")
    first.arrive("docket", path="#findings$")
    second.fill(note="Glue has run into it.")
    second.press("Save")

    second.arrive("both-versions", path=f"{address}$")
    theirs = second.page.locator(".caution[role=alert]")
    expect(theirs).to_contain_text("along the bass edge")
    expect(second.page.locator("#id_note")).to_have_value("Glue has run into it.")
    expect(second.page.locator("#id_location")).to_have_value("beside the keybox")
    assert Finding.objects.get().location == "along the bass edge"

    second.fill(location="along the bass edge")
    second.press("Save")
    second.arrive("docket", path="#findings$")
    kept = Finding.objects.get()
    assert (kept.location, kept.note) == ("along the bass edge", "Glue has run into it.")
    first.without_complaint()


@pytest.mark.share(2)
def test_a_tag_drawn_while_the_network_is_away_can_be_sent_again(
    house, case, photo, finding, armand, open_window
):
    walk = open_window(armand, size=PHONE)
    page = walk.page
    walk.go(photo.get_absolute_url(), "photo")
    page.locator(".tagger-more > summary").click()
    page.context.set_offline(True)
    page.locator("[data-tool=point]").click()
    page.locator(".tagger-stage").click(position={"x": 60, "y": 50})

    again = page.get_by_role("button", name=walk.say("Send again"))
    expect(again).to_be_visible()
    expect(page.locator(".tagger-alert")).to_contain_text(walk.say("The network is away."))
    walk.arrive("tag-unsent")
    page.context.set_offline(False)
    again.click()

    expect(again).to_be_hidden()
    expect(page.locator(".tagger-alert")).to_be_empty()
    page.wait_for_load_state("networkidle")
    assert photo.tags.count() == 1


@pytest.mark.share(2, 1)
def test_a_photo_withdrawn_meanwhile_refuses_a_tag_with_a_sentence(
    house, case, photo, finding, armand, helene, open_window
):
    walk = open_window(armand)
    walk.go(photo.get_absolute_url(), "photo")
    finding_actions.set_withdrawn(finding, True, by=helene, at=photo.sent_at)

    walk.page.locator(".tagger-more > summary").click()
    walk.page.locator("[data-tool=point]").click()
    walk.page.locator(".tagger-stage").click(position={"x": 60, "y": 50})
    walk.page.locator(".tagger-row select").select_option(index=1)

    error = walk.page.locator(".tagger-error")
    expect(error).to_be_visible()
    assert len(error.inner_text()) > 10
