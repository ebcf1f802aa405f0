"""Taking an instrument in: one number after another, and what the counter refuses."""

from __future__ import annotations

import datetime as dt
import html
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.actions import change_intake
from repairs.cases.custody_models import Custody, StepMove
from repairs.cases.models import Case
from tests import factories

BEFORE_INTAKE = "This day lies before the day of intake. Check the year."
NEW_YEARS_EVE = dt.datetime(2026, 12, 31, 22, 30, tzinfo=dt.UTC)  # 23:30 in the shop
NEW_YEAR = dt.datetime(2026, 12, 31, 23, 30, tzinfo=dt.UTC)  # 0:30 of the next year there


def local(moment: dt.datetime) -> str:
    """As the browser's own picker sends it."""
    return timezone.localtime(moment).strftime("%Y-%m-%dT%H:%M")


def an_hour_ago() -> dt.datetime:
    return timezone.now() - dt.timedelta(hours=1)


def typed(**changed: str) -> dict[str, str]:
    return {
        "reason": "repair",
        "owner_words": "It growls once a turn.",
        "state_at_intake": "Crack in the soundboard.\nWheel turns.",
        "received_at": local(an_hour_ago()),
        "place": "Shelf 2",
        "may_turn": "ask",
        "may_string": "ask",
        "may_play": "ask",
    } | changed


@pytest.fixture
def send(client, armand, vielle):
    client.force_login(armand)

    def post(**changed: str):
        return client.post(reverse("cases:take_in", args=[vielle.number]), typed(**changed))

    return post


def day(days: int) -> str:
    return (timezone.localdate() + dt.timedelta(days=days)).isoformat()


def before_intake(days: int) -> Callable[[], str]:
    """Reckoned when the test runs: an hour after midnight the intake was yesterday."""
    return lambda: (timezone.localdate(an_hour_ago()) - dt.timedelta(days=days)).isoformat()


def text_of(answer: Any) -> str:
    return html.unescape(answer.text)


def test_numbers_of_a_year_follow_one_another(vielle, armand):
    numbers = [factories.case(vielle, by=armand).number for _time in range(3)]

    assert numbers == ["2026-001", "2026-002", "2026-003"]


def test_an_intake_that_fails_leaves_no_gap(vielle, armand):
    factories.case(vielle, by=armand)
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        factories.case(vielle, by=armand)
        _ = 1 // 0

    next_case = factories.case(vielle, by=armand)

    assert next_case.number == "2026-002"
    assert Case.objects.count() == StepMove.objects.count() == Custody.objects.count() == 2


def test_an_intake_that_the_database_refuses_leaves_no_gap(vielle, armand):
    with pytest.raises(IntegrityError), transaction.atomic():
        factories.case(vielle, by=armand, room_rh_pct=Decimal("146"))

    assert factories.case(vielle, by=armand).number == "2026-001"


@pytest.mark.parametrize(
    ("moment", "number"), [(NEW_YEARS_EVE, "2026-001"), (NEW_YEAR, "2027-001")]
)
def test_the_year_of_a_number_is_the_year_in_the_shop(vielle, armand, moment, number):
    case = factories.case(vielle, by=armand, received_at=moment)

    assert (case.number, str(case.year)) == (number, number[:4])


def test_each_year_has_numbers_of_its_own(vielle, armand):
    factories.case(vielle, by=armand, received_at=NEW_YEARS_EVE)
    factories.case(vielle, by=armand, received_at=NEW_YEAR)

    late = factories.case(vielle, by=armand, received_at=NEW_YEARS_EVE)

    assert late.number == "2026-002"


def test_an_intake_opens_case_steps_custody_and_log_together(client, send, vielle, armand):
    answer = send(received_items="Case\nBelt", room_t_c="18,5", room_rh_pct="46")

    case = Case.objects.get()
    link = case.custody.get()
    assert answer["Location"] == case.get_absolute_url()
    assert (case.step, case.received_by, case.owner) == ("taken_in", armand, vielle.owner)
    assert (case.room_t_c, case.received_lines) == (Decimal("18.5"), ["Case", "Belt"])
    assert (link.holder, link.place, link.until) == ("workshop", "Shelf 2", None)
    assert case.moves.get().step == "taken_in"
    assert LogEntry.objects.get(verb="case.taken_in").subject == case.log_key
    assert "Next: the photos, then the receipt." in client.get(answer["Location"]).text


def test_the_form_warns_when_the_instrument_is_still_here(client, send, vielle):
    send()

    page = client.get(reverse("cases:take_in", args=[vielle.number])).text

    assert "still here under an open case" in page
    assert Case.objects.get().number in page


def test_the_value_declared_is_offered_as_the_value_insured(client, send, vielle):
    page = client.get(reverse("cases:take_in", args=[vielle.number])).text

    assert 'name="insured_value" value="6800"' in page


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        (
            {"received_at": lambda: local(timezone.now() + dt.timedelta(hours=2))},
            "The instrument cannot have been received in the future.",
        ),
        (
            {"promised_on": before_intake(1)},
            BEFORE_INTAKE,
        ),
        (
            {"review_on": before_intake(400)},
            BEFORE_INTAKE,
        ),
        ({"may_turn": "no"}, "Say who decided what may be done with it."),
        ({"may_play": "yes"}, "Say who decided what may be done with it."),
        ({"room_rh_pct": "101"}, "More than 100 % RH is not possible here: check the unit."),
        ({"room_rh_pct": "-1"}, "Less than 0 % RH is not possible here."),
        ({"room_t_c": "64"}, "More than 50 °C is not possible here: check the unit."),
        ({"room_t_c": "warm"}, "“warm” is not a number."),
        ({"insured_value": "-5"}, "Less than 0 EUR is not possible here."),
        ({"owner_words": ""}, "This field is required."),
        ({"place": "  "}, "This field is required."),
        ({"reason": "revenge"}, "Select a valid choice."),
        ({"received_at": "0001-01-01T00:00"}, "Please mend"),
        ({"received_at": "yesterday"}, "Please mend"),
        ({"owner_words": "x" * 6001}, "6001"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence_and_the_rest_is_kept(send, changed, sentence):
    said = {key: word() if callable(word) else word for key, word in changed.items()}

    answer = send(**{"state_at_intake": "One string gone", **said})

    page = text_of(answer).replace("\u00a0", " ")
    assert answer.status_code == 200
    assert sentence in page
    assert "One string gone" in page
    assert not Case.objects.exists()


def test_a_leave_that_someone_decided_is_taken(send):
    answer = send(may_turn="no", may_play="no", leave_decided_by="the owner")

    case = Case.objects.get()
    assert answer.status_code == 302
    assert (case.may_turn, case.may_string, case.may_play) == ("no", "ask", "no")


def test_an_instrument_may_be_promised_for_the_day_of_its_intake(send):
    assert send(promised_on=day(0)).status_code == 302


def test_the_clock_of_the_counter_may_be_some_minutes_ahead(send):
    assert send(received_at=local(timezone.now() + dt.timedelta(minutes=3))).status_code == 302


@pytest.mark.parametrize("words", ["صوت خشن عند الدوران", "Elle gronde 🎻 e\u0301", "<b>loud</b>"])
def test_the_owner_s_words_are_kept_as_they_were_said(client, send, words):
    answer = send(owner_words=words)

    assert Case.objects.get().owner_words == words
    assert words in text_of(client.get(answer["Location"]))


def test_the_one_who_brings_it_is_kept_apart_from_the_owner(client, send, owner):
    answer = send(bringer_name="Odon Perrachon", bringer_contact="a neighbour")

    case = Case.objects.get()
    assert (case.owner, case.bringer_name, case.bringer_may_agree) == (
        owner,
        "Odon Perrachon",
        False,
    )
    assert "Odon Perrachon a neighbour" in client.get(answer["Location"]).text


def test_first_the_owner_or_the_instrument_is_looked_for(client, send, vielle):
    empty = client.get(reverse("cases:choose")).text
    found = client.get(reverse("cases:choose"), {"q": "roussillat"}).text
    missed = client.get(reverse("cases:choose"), {"q": "Zéphyrine"}).text

    assert vielle.owner.name in empty
    assert reverse("cases:take_in", args=[vielle.number]) in found
    assert "Nobody is found." in missed
    assert reverse("cases:new") + "?name=Z%C3%A9phyrine" in missed


def test_an_intake_is_mended_and_keeps_its_number(client, armand, case):
    client.force_login(armand)

    answer = client.post(
        reverse("cases:edit", args=[case.number]), typed(owner_words="It whistles.")
    )

    case.refresh_from_db()
    assert answer["Location"] == case.get_absolute_url()
    assert (case.number, case.owner_words) == ("2026-001", "It whistles.")
    line = LogEntry.objects.get(verb="case.changed")
    assert set(line.details) == {"hashed"}


def test_an_intake_mended_with_another_place_moves_it_in_the_shop(client, armand, case):
    client.force_login(armand)

    client.post(reverse("cases:edit", args=[case.number]), typed(place="North bench"))

    case.refresh_from_db()
    assert case.place == "North bench"
    assert [link.place for link in case.custody.all()] == ["Shelf 2", "North bench"]
    assert case.custody.get(until=None).place == "North bench"


def test_mending_the_hour_of_intake_moves_the_start_of_custody(case, armand):
    case.received_at -= dt.timedelta(hours=3)

    change_intake(case, by=armand, at=timezone.now())

    assert case.custody.first().since == case.received_at
    assert case.moves.first().at == case.received_at
