"""The return: written down on its screen, done when the receipt is issued, both or neither."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.actions import move
from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.treatment.clocks import start_clock
from tests import factories
from tests.papers import working
from tests.papers.conftest import NOW, going, issued

KIND = "return_receipt"
SAID = {
    "ending": "handed_back",
    "received_name": "Garance Ollivant",
    "returned_at": "2026-11-24T18:00",
    "state_at_return": "Crack closed.\nPlays.",
    "items": "Case\nCrank",
    "reserve": "Twelve months.",
    "next_check_on": "2027-05-03",
    "room_t_c": "18,5",
    "room_rh_pct": "47",
}


@pytest.fixture
def screen(client, armand, case):
    client.force_login(armand)
    return reverse("papers:return", args=[case.number])


def problems(page) -> str:
    return page.content.decode()


# The screen ------------------------------------------------------------------------------------


def test_the_return_is_written_down_and_leads_to_its_receipt(client, screen, case, work):
    answer = client.post(screen, SAID)

    row = HandBack.objects.get()
    assert answer["Location"] == reverse("papers:make", args=[case.number, KIND])
    assert (row.received_name, row.ending, row.done_at) == (
        "Garance Ollivant",
        "handed_back",
        None,
    )
    assert str(row.room_t_c) == "18.5"
    assert Case.objects.get().step == "proved"
    assert LogEntry.objects.filter(verb="return.written", subject=case.log_key).count() == 1


def test_what_is_likely_is_filled_in(client, screen, case, work):
    case.received_items = "Case\nCrank"
    case.save()

    page = client.get(screen).text

    assert "Case\nCrank" in page
    assert 'value="Garance Ollivant"' in page
    assert "guaranteed for twelve months" in page
    assert "why_unworked" not in page


def test_writing_it_again_changes_the_same_return(client, screen, case, work):
    client.post(screen, SAID)

    client.post(screen, SAID | {"received_name": "Marin Ollivant"})

    assert HandBack.objects.get().received_name == "Marin Ollivant"


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("received_name", "", "required"),
        ("state_at_return", "", "required"),
        ("returned_at", "2026-11-19T10:00", "had not been received yet"),
        ("returned_at", "2999-01-01T10:00", "in the future"),
        ("next_check_on", "2026-11-01", "before the return"),
        ("room_rh_pct", "140", "not possible here"),
        ("ending", "sold", "not one of the available choices"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(client, screen, work, field, typed, said):
    page = client.post(screen, SAID | {field: typed})

    assert page.status_code == 200
    assert said in problems(page)
    assert not HandBack.objects.exists()


def test_an_unworked_return_says_why(client, screen, case, house):
    refused = client.post(screen, SAID)
    client.post(screen, SAID | {"why_unworked": "The owner sells it as it is."})

    assert "why it goes home unworked" in problems(refused).casefold()
    assert HandBack.objects.get().why_unworked == "The owner sells it as it is."


def test_a_survey_that_is_reported_needs_no_reason(client, armand, vielle, house):
    case = factories.case(vielle, by=armand, reason="survey")
    for step in ("looked_over", "reported"):
        move(case, step, because="", by=armand, at=NOW)
    client.force_login(armand)

    client.post(reverse("papers:return", args=[case.number]), SAID)

    assert HandBack.objects.get().why_unworked == ""


def test_a_reason_of_before_the_work_is_forgotten_once_it_is_proved(client, screen, case, work):
    going(case, case.received_by, why_unworked="No time.")

    client.post(screen, SAID)

    assert HandBack.objects.get().why_unworked == ""


def test_an_instrument_of_the_house_may_end_in_several_ways(client, armand, vielle, house):
    case = factories.case(vielle, by=armand, reason="house")
    client.force_login(armand)

    page = client.get(reverse("papers:return", args=[case.number])).text

    for ending in ("to_stock", "sold", "handed_back"):
        assert f'value="{ending}"' in page
    assert 'value="to_stock" selected' in page
    assert "twelve months" not in page
    assert "none is guaranteed" not in page


def test_what_goes_to_stock_is_received_by_nobody_and_what_is_sold_by_someone(
    client, armand, vielle, house
):
    case = factories.case(vielle, by=armand, reason="house")
    client.force_login(armand)
    place = reverse("papers:return", args=[case.number])
    said = SAID | {"why_unworked": "No time.", "received_name": ""}

    refused = client.post(place, said | {"ending": "sold"})
    client.post(place, said | {"ending": "to_stock"})

    assert "required" in problems(refused)
    row = HandBack.objects.get()
    assert (row.ending, row.received_name) == ("to_stock", "")


def test_after_the_end_the_screen_leads_to_the_receipt(client, screen, case, work, helene):
    going(case, helene)
    issued(KIND, case, helene)

    answer = client.get(screen)

    assert answer["Location"] == reverse("papers:make", args=[case.number, KIND])


def test_what_keeps_it_here_and_what_is_easily_forgotten_is_shown(client, screen, case, work, lise):
    other = working.begin(working.agree(case, "open_seam", by=lise), by=lise)
    start_clock(other, by=lise, at=timezone.now())

    page = client.get(screen).text

    assert "Work 2 is begun and not signed off." in page
    assert "A clock of Lise Sautarel still runs on work 2." in page
    assert "Bag 2026-001/1 is still kept here." in page
