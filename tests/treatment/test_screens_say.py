"""What each screen of the bench says back, with which status, and what it hands on."""

from __future__ import annotations

import datetime as dt
import html
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.treatment.clocks import start_clock
from repairs.treatment.models import AgreedWork
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.parts import fit_new_part, use_material
from tests import factories
from tests.conftest import NOW
from tests.treatment.promising import told


@pytest.fixture
def reads(client):
    """The page that a sent form led to, and where that was."""

    def page(answer) -> str:
        assert answer.status_code == 302
        return html.unescape(client.get(answer["Location"]).text)

    return page


def test_a_decision_of_the_principal_is_told_by_its_number(case, helene, send, reads):
    answer = send("agree", case.number, by=helene, procedure="free", because="It gapes.")

    assert "Agreed work 1 is noted." in reads(answer)


def test_an_instrument_of_the_house_is_looked_at_before_its_work_is_agreed(
    vielle, armand, helene, see
):
    case = factories.case(vielle, by=armand, reason="house")
    first = see("agree", case.number, by=helene)
    factories.looked_over(case, by=armand)

    assert see("agree", case.number, by=helene) != first


def test_work_of_the_house_is_agreed_in_the_name_and_at_the_rate_of_the_house(
    vielle, house, armand, helene, send
):
    type(house).objects.update(hourly_rate=Decimal("54.00"))
    case = factories.case(vielle, by=armand, reason="house")
    factories.looked_over(case, by=armand)

    send("agree", case.number, by=helene, procedure="free", title="New keys", because="For sale.")

    row = AgreedWork.objects.get()
    assert (row.agreed_name, row.hourly_rate, row.currency, row.title, row.because) == (
        "Helene Sautarel",
        Decimal("54.00"),
        "EUR",
        "New keys",
        "For sale.",
    )
    assert row.irreversible_agreed is False


def test_beginning_says_that_the_clock_runs(case, agreed, armand, send, reads):
    answer = send("begin", case.number, agreed.number, by=armand, room_t_c="19")

    assert "The work is begun and your clock runs." in reads(answer)


def test_beginning_while_one_s_clock_runs_elsewhere_says_so_and_begins(
    case, plain_work, armand, send, reads
):
    start_clock(plain_work, by=armand, at=timezone.now())
    other = factories.agreed_work(case, "open_seam", by=armand)

    page = reads(send("begin", case.number, other.number, by=armand, room_t_c="19"))

    assert "Pause that one first." in page
    assert "your clock runs" not in page
    assert case.interventions.count() == 2


def test_beginning_work_whose_sum_is_reached_says_to_ask_first(case, armand, send, reads):
    agreed = factories.agreed_work(case, "free", by=armand, stop_at=Decimal(0), ceiling=Decimal(9))

    page = reads(send("begin", case.number, agreed.number, by=armand, room_t_c="19"))

    assert "The sum is reached at which the owner was to be asked." in page


@pytest.mark.parametrize(
    ("because", "said"),
    [("sold", "It is noted that this will not be done."), (" ", "Say why it will not be done.")],
)
def test_giving_up_says_what_came_of_it(case, agreed, armand, send, reads, because, said):
    assert said in reads(send("drop", case.number, agreed.number, by=armand, because=because))


def test_an_apprentice_who_stops_is_told_who_proves_it(case, work, lise, send, reads):
    page = reads(send("clock", case.number, work.number, by=lise, do="stop"))

    assert "The work is ended. A luthier proves it and signs it off." in page


def test_minutes_typed_for_a_clock_left_on_are_read_back(case, work, lise, send, reads):
    start_clock(work, by=lise, at=timezone.now() - dt.timedelta(days=2))

    page = reads(send("clock", case.number, work.number, by=lise, do="pause", minutes="1 h 30"))

    assert "90" in page.split("<main", 1)[1].split("</ul>", 1)[0]
    assert work.spells.get().minutes == 90


def test_more_minutes_than_passed_are_refused_on_the_page_of_the_clock(case, work, lise, send):
    start_clock(work, by=lise, at=timezone.now() - dt.timedelta(minutes=5))

    answer = send("clock", case.number, work.number, by=lise, do="stop", minutes="90")

    assert answer.status_code == 422
    assert "90 min are more than the 5 min that have passed" in html.unescape(answer.text)
    work.refresh_from_db()
    assert work.ended_at is None


def test_minutes_are_offered_from_an_hour_ago(case, work, armand, see, monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: dt.datetime(2026, 11, 25, 12, 0, tzinfo=dt.UTC))

    page = see("minutes", case.number, work.number, by=armand)

    assert 'value="2026-11-25T12:00' in page  # 12.00 by the clock of the house is 11.00 UTC


def test_minutes_typed_later_are_told_as_typed(case, work, armand, send, reads):
    start = timezone.localtime(timezone.now() - dt.timedelta(hours=3)).strftime("%Y-%m-%dT%H:%M")
    said = {"person": armand.pk, "started_at": start, "minutes": "25"}

    page = reads(send("minutes", case.number, work.number, by=armand, **said))

    assert "The minutes are noted, marked as typed." in page


@pytest.mark.parametrize(
    ("t_c", "warned"), [("60", False), ("60,1", True)], ids=["60 °C", "60.1 °C"]
)
def test_whoever_notes_too_hot_a_glue_is_warned(case, work, armand, send, reads, t_c, warned):
    said = {"name": "hide glue", "glue_t_c": t_c}

    page = reads(send("material_add", case.number, work.number, by=armand, **said))

    assert ("hide and bone glue lose their strength above that" in page) is warned


def test_what_is_noted_by_mistake_is_taken_back_with_a_word(case, work, armand, send, reads):
    use = use_material(MaterialUse(intervention=work, name="chalk"), by=armand, at=NOW)
    part = NewPart(intervention=work, description="peg", origin="bought", material="boxwood")
    part = fit_new_part(part, None, by=armand, at=NOW)
    place = (case.number, work.number)

    chalk = reads(send("material_back", *place, use.pk, by=armand))
    peg = reads(send("new_part_back", *place, part.pk, by=armand))

    assert "“chalk” is taken back." in chalk
    assert "It is taken back; wood of the store is there again." in peg


def test_a_new_part_and_a_bag_are_told_when_they_are_noted(case, work, armand, send, reads):
    said = {"description": "peg", "origin": "bought", "material": "boxwood"}
    place = (case.number, work.number)

    part = reads(send("new_part", *place, by=armand, **said))
    piece = reads(send("removed_add", *place, by=armand, description="old peg"))
    kept = reads(send("fate", case.number, 1, by=armand, fate="given_back", words="to the owner"))

    assert "The new part is noted." in part
    assert "It goes in bag 2026-001/1: print its label." in piece
    assert "Saved." in kept
    assert RemovedPart.objects.get().fate == "given_back"


def test_steps_words_and_the_sign_off_are_told(case, plain_work, armand, send, reads):
    place = (case.number, plain_work.number)

    steps = reads(send("steps", *place, by=armand, rest="1"))
    words = reads(send("describe", *place, by=armand, words="Done."))
    signed = reads(send("proof", *place, by=armand, words="It holds."))

    assert "Saved." in steps
    assert "Saved." in words
    assert "Work 1 is signed off." in signed


def test_the_proof_is_read_after_the_end_and_written_no_more(case, plain_work, armand, see, send):
    type(case).objects.filter(pk=case.pk).update(ended_at=timezone.now())
    place = (case.number, plain_work.number)

    assert "Steps" in see("proof", *place, by=armand)
    assert send("proof", *place, by=armand, words="Late.").status_code != 200
    assert not hasattr(type(plain_work).objects.get(pk=plain_work.pk), "sign_off")


def test_how_far_it_was_followed_is_told_and_stays_when_it_cannot_be(
    case, refit, armand, send, reads
):
    advice = told(case.readings.get(phase="before"), "keys.move")
    place = (case.number, refit.number, advice.pk)

    wrong = send("follow", *place, by=armand, amount="a hair")
    page = reads(send("follow", *place, by=armand, amount="-0,2"))

    assert wrong.status_code == 422
    assert 'value="a hair"' in html.unescape(wrong.text)
    assert "Saved." in page
    row = MoveDone.objects.get()
    assert (row.amount, row.unit, row.prescription) == (-0.2, "mm", advice)
