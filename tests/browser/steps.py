"""The steps of the main job, as they are done on the screens; with or without JavaScript."""

from __future__ import annotations

import re
from pathlib import Path

from playwright.sync_api import expect

from tests import factories
from tests.browser.walk import Walk

PASSWORD = "un-mot-long-1771"
OWNER = "Anselme Courtavel"
MAKER = "Étienne Roussillat"
BROKEN = b"\xff\xd8\xff\xe0 this is no picture " * 50


def sign_in(walk: Walk, username: str) -> None:
    walk.go("/", "sign-in")
    walk.fill(username=username, password=PASSWORD)
    walk.press("Sign in")
    walk.arrive("bench", path=r":\d+/$")


def enter_owner(walk: Walk) -> None:
    """Nobody of that name is known: the owner is entered beside the instrument, on one screen."""
    walk.press("Take an instrument in")
    walk.arrive("choose", path="/take-in/$")
    walk.write("#q", OWNER)
    walk.press("Find")
    walk.arrive("choose-nobody", path=r"\?q=")
    walk.press("A new owner")
    walk.arrive("newcomer", path="/take-in/new/")
    expect(walk.page.locator("#id_name")).to_have_value(OWNER)
    walk.fill(email="anselme@example.org", phone="+33 6 00 00 00 00", address="2, place du Puits")


def enter_instrument(walk: Walk) -> None:
    """A wheel fiddle on a lute back, dated by a range."""
    walk.choose(kind="vielle_lute")
    walk.fill(maker=MAKER, date_text="1650–1720", declared_value="6800")
    walk.press("Continue")


def take_in(walk: Walk, reason: str = "survey") -> str:
    """Fill in the intake; return the number of the case."""
    walk.arrive("intake", path=r"/take-in/[^/]+/$")
    walk.choose(reason=reason)
    walk.fill(
        owner_words="Elle grogne une fois par tour.",
        state_at_intake="Fente de la table.\nLa roue tourne.\nCordes détendues.",
        received_items="étui\nmanivelle",
        place="étagère 2",
    )
    unfold(walk, "What may be done with it")
    expect(walk.page.locator("#id_leave_decided_by")).to_have_value(OWNER)
    walk.tick("[name=may_turn][value=yes]")
    unfold(walk, "Days, air of the room")
    walk.fill(room_t_c="18,5", room_rh_pct="46")
    walk.press("Open the case")
    walk.arrive("docket", path=r"/cases/[^/]+/$")
    expect(walk.page.locator("blockquote.said")).to_have_text("Elle grogne une fois par tour.")
    return walk.here.rstrip("/").rsplit("/", 1)[-1]


def unfold(walk: Walk, title: str) -> None:
    """Open a folded group of a form."""
    room = walk.page.locator("details.room > summary", has_text=walk.say(title))
    walk.hit(room)


def issue_receipt(walk: Walk) -> None:
    walk.press("Intake receipt", within=walk.section("papers"))
    walk.arrive("receipt", path="/receipt/$")
    facts = walk.page.locator("dl.facts")
    expect(facts).to_contain_text(OWNER)
    expect(facts).to_contain_text("Fente de la table.")
    walk.press("Issue this receipt")
    walk.arrive("receipt-issued", path="/papers/")


def note_finding(walk: Walk, case: str) -> None:
    """First a form with gaps, which says so beside its fields, then the whole."""
    walk.go(f"/cases/{case}/", "docket-before-finding")
    walk.press("Note a finding", within=walk.section("findings"))
    walk.arrive("finding-form", path="/findings/add/$")
    walk.pick("#id_part", first_part(walk))
    walk.choose(term="crack")
    walk.fill(location="à côté du clavier", extent_value="146,5")
    walk.tick("[name=severity][value='3']")
    walk.press("Save")
    walk.arrive("finding-form-with-problem", path="/findings/add/$")
    expect(walk.page.locator("#id_extent_unit_problem")).to_have_text(
        re.compile(re.escape(walk.say("Give the unit of the extent.")))
    )
    walk.choose(extent_unit="mm", stability="active", urgency="1", cause="climate")
    walk.press("Save")
    walk.arrive("docket-with-finding", path=rf"/cases/{case}/#findings$")
    walk.told("Finding %(number)s is noted.", number=1)


def first_part(walk: Walk) -> str:
    """The value of the first part of the list, which begins with an entry that names none."""
    return walk.page.locator("#id_part option").nth(1).get_attribute("value") or ""


def look_at_parts(walk: Walk) -> None:
    walk.press("Everything else", within=walk.section("findings"))
    walk.arrive("parts", path="/look/parts/$")
    walk.hit("details:has(.looks) > summary")
    states = walk.page.locator("select[name^=state_]")
    for place in range(states.count() - 1):
        walk.pick(states.nth(place), "looked")
    walk.pick(states.last, "not_examined")
    walk.write(walk.page.locator("input[name^=why_]").last, "sous la table, sans l’ouvrir")
    walk.press("Save")
    walk.arrive("docket-with-parts", path="#findings$")


def judge(walk: Walk) -> None:
    walk.press("General judgement", within=walk.section("findings"))
    walk.arrive("judgement", path="/look/$")
    walk.choose(overall_grade="3", urgency="1")
    walk.fill(
        place="établi nord",
        methods="lumière du jour, loupe",
        overall_state="Saine mais fendue.",
        playable_state="Non essayée.",
        advice="La laisser détendue.",
    )
    walk.press("Save")
    walk.arrive("docket-judged", path="#findings$")
    walk.press("It is looked over")
    walk.arrive("docket-looked-over", path=r"/cases/[^/]+/$")
    walk.told("The case is looked over.")


def photo_files(folder: Path, *, whole: int) -> list[Path]:
    """So many whole photos, and a broken one in their midst."""
    folder.mkdir(exist_ok=True)
    files = []
    for number in range(1, whole + 1):
        file = folder / f"IMG_{number}.jpg"
        file.write_bytes(factories.jpeg(1200, 900, seed=number))
        files.append(file)
    broken = folder / "IMG_torn.jpg"
    broken.write_bytes(BROKEN)
    return [*files[:2], broken, *files[2:]]


def check_paper(walk: Walk, pdf: Path) -> None:
    """Hand the file in where anyone may: ours, unchanged, and the newest version."""
    walk.go("/verify/", "verify")
    walk.attach("#id_file", pdf)
    walk.press("Check")
    walk.arrive("verified", path="/verify/")
    answer = walk.page.locator("section[role=status]")
    expect(answer).to_contain_text(walk.say("Ours, and unchanged"))
    expect(answer).to_contain_text(walk.say("yes, this is the newest version"))
