"""Minutes on the screen: the buttons of a clock, one left on, and what is typed later."""

from __future__ import annotations

import datetime as dt
import html

import pytest
from django.utils import timezone

from repairs.treatment.clocks import start_clock
from repairs.treatment.models import WorkSpell
from tests import factories


def running(work, person, *, since: dt.timedelta) -> WorkSpell:
    return start_clock(work, by=person, at=timezone.now() - since)


def test_the_buttons_start_pause_resume_and_stop(case, work, lise, send, see):
    place = (case.number, work.number)
    assert 'value="start"' in see("work", *place, by=lise)
    send("clock", *place, by=lise, do="start")
    page = see("work", *place, by=lise)
    assert 'value="pause"' in page
    assert 'value="stop"' in page
    assert 'value="start"' not in page
    send("clock", *place, by=lise, do="pause")
    assert "Resume" in see("work", *place, by=lise)

    answer = send("clock", *place, by=lise, do="stop")

    work.refresh_from_db()
    assert answer["Location"] == work.get_absolute_url()
    assert work.ended_at is not None
    assert [(row.person, row.minutes) for row in work.spells.all()] == [(lise, 1)]


def test_a_luthier_who_stops_is_led_to_the_proof(case, work, armand, send):
    answer = send("clock", case.number, work.number, by=armand, do="stop")

    assert answer["Location"].endswith("/proof/")


def test_a_clock_left_on_is_asked_about_on_a_page_of_its_own(case, work, lise, send):
    spell = running(work, lise, since=dt.timedelta(days=2))
    place = (case.number, work.number)

    asked = send("clock", *place, by=lise, do="pause")
    empty = send("clock", *place, by=lise, do="pause", spell=spell.pk, minutes="")
    too_many = send("clock", *place, by=lise, do="pause", spell=spell.pk, minutes="9999")
    done = send("clock", *place, by=lise, do="pause", spell=spell.pk, minutes="140")

    assert "Nothing is cut by itself" in asked.content.decode()
    assert [one.status_code for one in (asked, empty, too_many, done)] == [422, 422, 422, 302]
    spell.refresh_from_db()
    assert (spell.minutes, spell.typed) == (140, True)


def test_a_clock_left_on_stands_on_the_bench_and_on_the_docket(case, work, lise, client):
    running(work, lise, since=dt.timedelta(days=2))
    client.force_login(lise)

    bench, docket = (client.get(place).text for place in ("/", case.get_absolute_url()))

    assert "Your clock was left on since" in bench
    assert work.get_absolute_url() in bench
    assert "clock of Lise Sautarel left on" in docket


def test_nobody_stops_another_s_clock_by_naming_it(case, work, lise, armand, helene, send, see):
    spell = running(work, lise, since=dt.timedelta(minutes=20))
    place = (case.number, work.number)

    answer = send("clock", *place, by=armand, do="pause", spell=spell.pk)

    spell.refresh_from_db()
    assert (answer.status_code, spell.ended_at) == (409, None)
    assert "Stop the clock of" not in see("work", *place, by=armand)
    assert "Stop the clock of Lise Sautarel" in see("work", *place, by=helene)
    assert send("clock", *place, by=helene, do="pause", spell=spell.pk).status_code == 302
    spell.refresh_from_db()
    assert spell.minutes == 20


@pytest.mark.parametrize("named", ["²", "-1", "x", "9" * 30])
def test_a_clock_that_is_none_stops_nothing(case, work, armand, send, named):
    answer = send("clock", case.number, work.number, by=armand, do="pause", spell=named)

    assert answer.status_code == 302


def test_a_button_that_is_none_is_not_found(case, work, armand, send):
    assert send("clock", case.number, work.number, by=armand, do="burn").status_code == 404


def at_local(moment: dt.datetime) -> str:
    return timezone.localtime(moment).strftime("%Y-%m-%dT%H:%M")


@pytest.mark.parametrize(
    ("ago", "minutes", "sentence"),  # reckoned back when the test runs, not when it is read
    [
        (dt.timedelta(minutes=10), "30", "This would end in the future."),
        (dt.timedelta(days=900), "30", "This lies before the intake."),
        (dt.timedelta(hours=3), "0", "Less than 1 min is not possible here."),
        (
            dt.timedelta(hours=30),
            "1441",
            "More than 1440 min is not possible here",
        ),
        (dt.timedelta(hours=3), "ninety", "“ninety” is not a duration."),
    ],
)
def test_minutes_that_cannot_be_are_refused_and_what_was_typed_stays(
    case, work, armand, send, ago, minutes, sentence
):
    started = at_local(timezone.now() - ago)
    words = {"person": armand.pk, "started_at": started, "minutes": minutes}

    answer = send("minutes", case.number, work.number, by=armand, note="jig", **words)

    page = html.unescape(answer.content.decode())
    assert sentence in page
    assert 'value="jig"' in page
    assert not work.spells.exists()


@pytest.mark.parametrize("typed", ["1 h 30", "1:30", "90 min", "90", "1,5"])
def test_hours_typed_for_minutes_are_read_as_hours_and_told(
    case, work, armand, lise, send, see, typed
):
    spell = running(work, lise, since=dt.timedelta(days=2))
    place = (case.number, work.number)
    started = at_local(timezone.now() - dt.timedelta(hours=3))

    form = see("minutes", *place, by=armand)
    send("minutes", *place, by=armand, person=armand.pk, started_at=started, minutes=typed)
    page = html.unescape(see("work", *place, by=armand))
    send("clock", *place, by=lise, do="pause", spell=spell.pk, minutes=typed)

    assert 'type="number"' not in form
    assert "A whole number alone is minutes." in form
    assert [row.minutes for row in work.spells.order_by("pk")] == [90, 90]
    assert f"“{typed}” is taken as 90 min" in page
    assert f"“{typed}” is taken as 90 min" in html.unescape(see("work", *place, by=lise))


def test_only_those_who_may_record_are_offered_as_who_worked(case, work, armand, see):
    factories.person("gilles", "reader")
    factories.person("berthe", "bookkeeper")
    factories.person("odile", "apprentice")

    page = see("minutes", case.number, work.number, by=armand)

    assert "Odile Sautarel" in page
    assert not any(name in page for name in ("Gilles Sautarel", "Berthe Sautarel"))


def test_sixty_minutes_or_more_behind_hours_are_a_slip(case, work, armand, send):
    started = at_local(timezone.now() - dt.timedelta(hours=3))
    words = {"person": armand.pk, "started_at": started, "minutes": "1 h 75"}

    answer = send("minutes", case.number, work.number, by=armand, **words)

    assert "behind hours the minutes stay below 60" in answer.text
    assert not work.spells.exists()


def test_minutes_are_typed_for_whoever_worked(case, work, armand, lise, send, see):
    started = at_local(timezone.now() - dt.timedelta(hours=3))

    send(
        "minutes",
        case.number,
        work.number,
        by=armand,
        person=lise.pk,
        started_at=started,
        minutes="25",
    )

    assert (work.spells.get().person, work.spells.get().typed) == (lise, True)
    assert "25 of them typed" in see("work", case.number, work.number, by=armand)
