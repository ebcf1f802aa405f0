"""Two people at the same finding, or at the same judgement: nobody's words are lost."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.findings import actions
from repairs.findings.look_models import Examination
from repairs.findings.models import Finding
from repairs.people.models import User
from repairs.screens.refusals import ChangedMeanwhileError
from tests import factories

pytestmark = pytest.mark.django_db


def browser_of(user: User) -> Browser:
    browser = Browser()
    browser.force_login(user)
    return browser


def seen_in(page: str) -> str:
    found = re.search(r'name="seen" value="(\d+)"', page)
    assert found is not None
    return found[1]


def compared(page: str) -> tuple[str, str]:
    """What the page shows of the other's version, and the form with one's own."""
    start = page.index("As it stands now")
    end = page.index("<form", start)
    return page[start:end], page[end:]


def fields_of(finding: Finding, **changes: Any) -> dict[str, Any]:
    values = finding.values() | changes
    values["part"] = values.pop("part_id")
    return {name: "" if value is None else value for name, value in values.items()}


def test_a_change_is_saved_and_counted(finding: Finding, armand: User):
    browser = browser_of(armand)
    page = browser.get(finding.get_absolute_url()).content.decode()

    answer = browser.post(
        finding.get_absolute_url(), fields_of(finding, note="longer now", seen=seen_in(page))
    )

    finding.refresh_from_db()
    assert answer.status_code == 302
    assert (finding.note, finding.revision, finding.number) == ("longer now", 1, 1)


def test_the_second_of_two_people_sees_both_and_loses_nothing(
    finding: Finding, armand: User, lise: User
):
    address = finding.get_absolute_url()
    first, second = browser_of(armand), browser_of(lise)
    seen = [seen_in(browser.get(address).content.decode()) for browser in (first, second)]
    theirs = fields_of(finding, note="Armand's note", severity=4, cause="impact", seen=seen[0])
    assert first.post(address, theirs).status_code == 302

    answer = second.post(address, fields_of(finding, note="Lise's note", age="old", seen=seen[1]))

    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Armand Sautarel saved this at" in page
    assert "Nothing of yours is lost" in page
    shown, form = compared(page)
    for words in ("Armand&#x27;s note", "extreme", "impact"):
        assert words in shown
    assert "Lise&#x27;s note" in form
    assert Finding.objects.get().note == "Armand's note"

    again = second.post(
        address, fields_of(finding, note="Lise's note", age="old", seen=seen_in(page))
    )

    assert again.status_code == 302
    saved = Finding.objects.get()
    assert (saved.note, saved.age, saved.changed_by) == ("Lise's note", "old", lise)
    assert saved.revision == 2


def test_a_third_person_in_between_is_told_again(finding: Finding, armand, lise, helene):
    address = finding.get_absolute_url()
    browser = browser_of(lise)
    seen = seen_in(browser.get(address).content.decode())
    for user in (armand, helene):
        other = browser_of(user)
        fresh = seen_in(other.get(address).content.decode())
        other.post(address, fields_of(finding, note=user.username, seen=fresh))
        answer = browser.post(address, fields_of(finding, note="mine", seen=seen))
        assert answer.status_code == 409
        seen = seen_in(answer.content.decode())

    assert Finding.objects.get().note == "helene"
    assert browser.post(address, fields_of(finding, note="mine", seen=seen)).status_code == 302


@pytest.mark.parametrize("seen", ["", "7", "-1", "x"])
def test_a_form_that_does_not_know_what_it_saw_overwrites_nothing(finding, armand, seen):
    finding.note = "kept"
    actions.change_finding(finding, seen=0, by=armand, at=timezone.now())

    answer = browser_of(armand).post(
        finding.get_absolute_url(), fields_of(finding, note="blind", seen=seen)
    )

    assert answer.status_code in (200, 409)
    assert Finding.objects.get().note == "kept"


def test_withdrawing_is_a_change_too(finding: Finding, armand: User, lise: User):
    browser = browser_of(lise)
    seen = seen_in(browser.get(finding.get_absolute_url()).content.decode())
    actions.set_withdrawn(finding, True, by=armand, at=timezone.now())

    answer = browser.post(finding.get_absolute_url(), fields_of(finding, note="late", seen=seen))

    assert answer.status_code == 409
    assert Finding.objects.get().note == ""


def test_a_refused_form_remembers_what_it_saw(finding: Finding, armand: User, lise: User):
    browser = browser_of(lise)
    address = finding.get_absolute_url()
    browser_of(armand).post(address, fields_of(finding, note="first", seen="0"))

    page = browser.post(address, fields_of(finding, severity="9", seen="0")).content.decode()
    answer = browser.post(address, fields_of(finding, note="second", seen=seen_in(page)))

    assert answer.status_code == 409
    assert Finding.objects.get().note == "first"


def judgement(armand: User, **fields: Any) -> dict[str, Any]:
    return {
        "examiner": armand.pk,
        "examined_on": "2026-11-21",
        "methods": "daylight",
        "overall_grade": "3",
        "overall_state": "Sound but cracked.",
        "urgency": "2",
        "handling": "Carry it flat.",
    } | fields


def test_two_people_at_the_same_judgement(case, armand: User, lise: User):
    factories.examination(case, by=armand)
    address = reverse("findings:look_over", args=[case.number])
    first, second = browser_of(armand), browser_of(lise)
    seen = [seen_in(browser.get(address).content.decode()) for browser in (first, second)]
    theirs = judgement(
        armand,
        handling="Never by the wheel.",
        next_check_on="2027-03-01",
        room_rh_pct="47,5",
        hazards=["lead"],
        seen=seen[0],
    )
    assert first.post(address, theirs).status_code == 302

    answer = second.post(
        address, judgement(armand, overall_state="Worn. لا", handling="Mine.", seen=seen[1])
    )

    page = answer.content.decode()
    assert answer.status_code == 409
    shown, form = compared(page)
    for words in ("Sound but cracked.", "Never by the wheel.", "47.5", "2027", "lead"):
        assert words in shown, words
    assert "daylight" not in shown, "what both say alike need not be compared"
    assert "Worn. لا" in form
    assert Examination.objects.get().handling == "Never by the wheel."

    mine = judgement(armand, overall_state="Worn. لا", handling="Mine.", seen=seen_in(page))
    assert second.post(address, mine).status_code == 302
    assert Examination.objects.get().overall_state == "Worn. لا"
    assert Examination.objects.get().revision == 3


def test_two_people_who_begin_the_judgement_at_once(case, armand: User, lise: User):
    """Neither knew of the other: the second is told, and gets no error of the database."""
    made = [
        Examination(
            case=case, examiner=user, examined_on=dt.date(2026, 11, 21), place=user.username
        )
        for user in (armand, lise)
    ]
    actions.save_examination(made[0], seen=0, by=armand, at=timezone.now())

    with pytest.raises(ChangedMeanwhileError, match="Armand Sautarel saved this"):
        actions.save_examination(made[1], seen=0, by=lise, at=timezone.now())
    assert Examination.objects.get().place == "armand"
