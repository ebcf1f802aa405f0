"""Looking over: which parts were seen, the judgement of the whole, and the end of the look."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.findings import actions
from repairs.findings.look_models import Examination, PartLook
from repairs.people.models import User
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def browser(client: Browser, armand: User) -> Browser:
    client.force_login(armand)
    return client


def look_at(browser: Browser, case: Case, **said: tuple[str, str]) -> Any:
    """Fill in the table of parts; a part that is not named stays as the page showed it."""
    data: dict[str, str] = {}
    known = {look.part_id: look for look in case.looks.all()}
    for part in case.instrument.parts.all():
        look = known.get(part.pk)
        state, why = said.get(part.key, (look.state, look.why) if look else ("", ""))
        data |= {f"state_{part.pk}": state, f"why_{part.pk}": why}
    return browser.post(reverse("findings:parts", args=[case.number]), data)


def states(case: Case) -> dict[str, tuple[str, str]]:
    return {look.part.key: (look.state, look.why) for look in case.looks.select_related("part")}


def test_the_table_keeps_what_was_seen_and_what_was_not(browser: Browser, case: Case):
    answer = look_at(
        browser, case, wheel=("looked", ""), soundboard=("not_examined", "covered with felt")
    )

    assert answer.status_code == 302
    assert states(case) == {
        "wheel": ("looked", ""),
        "soundboard": ("not_examined", "covered with felt"),
    }
    page = browser.get(reverse("findings:parts", args=[case.number])).content.decode()
    assert "covered with felt" in page


def test_a_part_may_be_forgotten_again(browser: Browser, case: Case):
    look_at(browser, case, wheel=("looked", ""))

    look_at(browser, case, wheel=("", ""))

    assert states(case) == {}


def test_a_part_that_could_not_be_examined_says_why(browser: Browser, case: Case):
    answer = look_at(browser, case, wheel=("not_examined", "  "), bridge=("looked", ""))

    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Say why “" in page and "” could not be examined." in page
    assert not PartLook.objects.exists()


def test_a_part_with_a_finding_is_not_forgotten(browser: Browser, case: Case, finding):
    look_at(browser, case, soundboard=("", ""))

    assert states(case) == {"soundboard": ("looked", "")}


def test_a_new_finding_on_a_part_not_examined_changes_that(browser: Browser, case, armand: User):
    look_at(browser, case, soundboard=("not_examined", "in its case"))

    factories.finding(case, by=armand)

    assert states(case) == {"soundboard": ("looked", "")}


def test_an_unknown_state_is_refused(browser: Browser, case: Case):
    assert look_at(browser, case, wheel=("guessed", "")).status_code == 200
    assert not PartLook.objects.exists()


def finish(browser: Browser, case: Case) -> Any:
    return browser.post(reverse("findings:finish", args=[case.number]))


def test_the_look_is_not_finished_with_nothing_examined(browser: Browser, case: Case):
    look_at(browser, case, wheel=("not_examined", "in its case"))

    answer = finish(browser, case)

    page = answer.content.decode()
    assert answer.status_code == 409
    assert f"No part of the instrument of case {case.number} has been looked at yet" in page
    case.refresh_from_db()
    assert case.step == "taken_in"


def test_the_look_is_finished_with_one_part_looked_at(browser: Browser, case: Case):
    look_at(browser, case, wheel=("looked", ""))

    answer = browser.post(reverse("findings:finish", args=[case.number]), follow=True)

    case.refresh_from_db()
    assert case.step == "looked_over"
    assert "The case is looked over." in answer.content.decode()
    assert finish(browser, case).status_code == 409


def test_a_finding_is_enough_to_finish(browser: Browser, case: Case, finding):
    look_at(browser, case, soundboard=("not_examined", "only through the sound hole"))

    assert finish(browser, case).status_code == 302


def test_a_withdrawn_finding_alone_is_not(browser: Browser, case: Case, finding, armand: User):
    actions.set_withdrawn(finding, True, by=armand, at=timezone.now())
    look_at(browser, case, soundboard=("", ""))

    assert finish(browser, case).status_code == 409


def test_an_apprentice_records_but_does_not_finish(client: Browser, case: Case, lise: User):
    client.force_login(lise)

    assert look_at(client, case, wheel=("looked", "")).status_code == 302
    answer = finish(client, case)

    assert answer.status_code == 403
    assert "Your role (" in answer.content.decode()
    case.refresh_from_db()
    assert case.step == "taken_in"


def judge(browser: Browser, case: Case, armand: User, **fields: Any) -> Any:
    data = {"examiner": armand.pk, "examined_on": "2026-11-21", "seen": "0"} | fields
    return browser.post(reverse("findings:look_over", args=[case.number]), data)


def test_the_judgement_is_kept(browser: Browser, case: Case, armand: User):
    answer = judge(
        browser,
        case,
        armand,
        overall_grade="2",
        urgency="3",
        room_t_c="18,5",
        room_rh_pct="46.0",
        hazards=["lead", "mould"],
        advice="أبقِها مرتخية 🎻",
        next_check_on="2027-05-02",
    )

    row = Examination.objects.get()
    assert answer.status_code == 302
    assert (str(row.room_t_c), str(row.room_rh_pct)) == ("18.5", "46.0")
    assert row.hazards == ["lead", "mould"]
    assert row.advice == "أبقِها مرتخية 🎻"
    assert row.next_check_on == dt.date(2027, 5, 2)
    assert (row.revision, row.changed_by) == (1, armand)


def test_the_first_page_proposes_the_person_the_day_and_the_room(browser, case, armand, today):
    page = browser.get(reverse("findings:look_over", args=[case.number])).content.decode()

    assert f'value="{today.isoformat()}"' in page
    assert f'value="{armand.pk}" selected' in page
    assert 'value="18.5"' in page


REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "before the intake": (
        {"examined_on": "2026-11-19"},
        "This lies before the intake. Check the year.",
    ),
    "another century": (
        {"examined_on": "1926-11-21"},
        "This lies before the intake. Check the year.",
    ),
    "no day": ({"examined_on": ""}, "This field is required."),
    "no such day": ({"examined_on": "2026-02-30"}, "Enter a valid date."),
    "check before": (
        {"next_check_on": "2026-11-20"},
        "The next check must lie after the examination.",
    ),
    "check on the day": (
        {"next_check_on": "2026-11-21"},
        "The next check must lie after the examination.",
    ),
    "too wet": ({"room_rh_pct": "101"}, "More than 100 % RH is not possible here"),
    "too cold": ({"room_t_c": "-40"}, "Less than -10 °C is not possible here."),
    "grade": ({"overall_grade": "9"}, "9 is not one of the available choices."),
    "hazard": ({"hazards": ["ghosts"]}, "ghosts is not one of the available choices."),
    "examiner": ({"examiner": "0"}, "Select a valid choice."),
}


@pytest.mark.parametrize("what", REFUSED)
def test_a_judgement_that_cannot_be_is_refused(browser: Browser, case: Case, armand: User, what):
    fields, sentence = REFUSED[what]

    answer = judge(browser, case, armand, **({"advice": "what I typed"} | fields))

    page = answer.content.decode()
    assert answer.status_code == 200
    assert sentence in page
    assert "what I typed" in page
    assert not Examination.objects.exists()


def test_a_judgement_that_judges_nothing_is_refused(browser, case: Case, armand: User):
    answer = judge(browser, case, armand, handling="Carry it flat.")

    page = answer.content.decode()
    assert "Nothing is judged yet: say at least the overall state, or what was tried." in page
    assert "Carry it flat." in page
    assert not Examination.objects.exists()


def test_an_examination_does_not_lie_in_the_future(browser, case: Case, armand: User, today):
    tomorrow = today + dt.timedelta(days=1)

    answer = judge(browser, case, armand, examined_on=tomorrow.isoformat())

    assert "An examination cannot lie in the future." in answer.content.decode()
    assert not Examination.objects.exists()


@pytest.mark.parametrize(
    ("who", "status"), [("tom", 403), ("odile", 403), ("lise", 200), ("helene", 200)]
)
def test_who_may_look_over(client: Browser, case: Case, request, who, status):
    client.force_login(request.getfixturevalue(who))

    for name in ("parts", "look_over"):
        assert client.get(reverse(f"findings:{name}", args=[case.number])).status_code == status


def rest(client: Browser, case: Case, side: str, **typed: str) -> Any:
    return client.post(reverse("findings:parts", args=[case.number]), {"rest": side, **typed})


def sides(case: Case) -> dict[str, set[str]]:
    """Keys of the parts by what was said of them."""
    found: dict[str, set[str]] = {}
    for key, state in case.looks.values_list("part__key", "state"):
        found.setdefault(state, set()).add(key)
    return found


def test_one_key_certifies_the_outside_and_leaves_the_inside_open(browser, case: Case):
    hidden = case.instrument.parts.get(key="tailpiece")

    answer = rest(
        browser,
        case,
        "outside",
        **{f"state_{hidden.pk}": "not_examined", f"why_{hidden.pk}": "covered"},
    )

    said = sides(case)
    assert answer["Location"] == reverse("findings:parts", args=[case.number])
    assert said["not_examined"] == {"tailpiece"}
    assert {"soundboard", "wheel", "pegs"} <= said["looked"]
    assert not {"soundpost", "back_bars", "linings"} & said["looked"]


def test_the_inside_is_certified_by_a_key_of_its_own(browser, case: Case):
    rest(browser, case, "outside")

    answer = rest(browser, case, "inside", **kept_fields(case))

    assert answer["Location"] == f"{case.get_absolute_url()}#findings"
    assert set(sides(case)) == {"looked"}
    assert case.looks.count() == case.instrument.parts.count()


def test_an_inside_that_was_not_examined_says_why_once(browser, case: Case):
    refused = rest(browser, case, "inside_unseen").content.decode()
    rest(browser, case, "inside_unseen", inside_why="not opened, no mirror")

    assert "Say why the inside was not examined." in refused
    assert "soundpost" in sides(case)["not_examined"]
    assert set(case.looks.values_list("why", flat=True)) == {"not opened, no mirror"}


def test_what_a_key_certifies_is_named_by_group_before_it_is_pressed(browser, case, finding):
    page = browser.get(reverse("findings:parts", args=[case.number])).content.decode()

    outside, inside = page.split('id="rest-inside"')
    assert "ribs" in outside and "soundholes, rosette, back" in " ".join(outside.split())
    assert "head block, tail block" in " ".join(inside.split())
    assert "1 part looked at already" in outside
    assert "were examined: nothing more to say" in inside


def test_an_unknown_side_certifies_nothing(browser, case: Case):
    rest(browser, case, "everywhere")

    assert sides(case) == {}


def kept_fields(case: Case) -> dict[str, str]:
    """The table of parts as the page showed it."""
    looks = case.looks.all()
    states = {f"state_{look.part_id}": look.state for look in looks}
    return states | {f"why_{look.part_id}": look.why for look in looks}
