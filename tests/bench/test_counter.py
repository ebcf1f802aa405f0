"""A small job while the owner waits: one screen, and the full docket behind it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from django.utils import translation

from repairs.audit.actions import chain_faults
from repairs.bench import counter
from repairs.bench.passed import log_lines
from repairs.cases.models import Case
from repairs.instruments.models import Instrument
from repairs.invoices.show import billing_facts, cases_to_invoice
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.treatment.models import AgreedWork, Intervention
from tests import factories

JOB = {
    "owner_name": "Basile Ferrand",
    "owner_phone": "+33 6 77 88 99 00",
    "kind": "vielle_french",
    "maker": "",
    "asked": "The cotton of the mouche has come off.",
    "procedure": "small_job",
    "done": "Cotton wound anew.",
    "minutes": "15",
    "price": "12,50",
    "agreed_words": "By word of mouth at the counter.",
    "is_handed_back": "on",
}


@pytest.fixture
def send(client, armand, house):
    client.force_login(armand)

    def sent(**said: Any) -> Any:
        return client.post(reverse("bench:counter"), JOB | said)

    return sent


def test_one_screen_makes_the_whole_docket(send, armand):
    answer = send()

    case = Case.objects.get()
    work = case.interventions.get()
    assert answer.url == case.get_absolute_url()
    assert [move.step for move in case.moves.all()] == case.path
    assert (case.owner.name, case.instrument.kind) == ("Basile Ferrand", "vielle_french")
    assert case.agreed_works.get().basis == AgreedWork.Basis.COUNTER
    assert case.agreed_works.get().ceiling == Decimal("12.50")
    assert case.agreed_works.get().tax_pct == Decimal("20.00")
    assert [(s.minutes, s.typed, s.person) for s in work.spells.all()] == [(15, True, armand)]
    assert work.sign_off.by == armand
    assert case.custody.get(until=None).holder == "owner"
    assert list(chain_faults()) == []


def test_the_docket_of_a_small_job_can_be_opened(send, client):
    send()

    page = client.get(Case.objects.get().get_absolute_url()).text

    assert "Cotton" not in page or "signed off" in page
    assert "agreed at the counter" in page
    assert "nothing was offered in writing" in page
    assert "Nothing is offered yet" not in page


def test_what_the_owner_leaves_here_is_not_handed_back(send):
    answer = send(is_handed_back="")

    case = Case.objects.get()
    assert answer.status_code == 302
    assert (case.step, case.ended_at) == ("proved", None)
    assert case.custody.get(until=None).holder == "workshop"


def test_what_stands_against_an_instrument_is_told_before_it_is_chosen(send, owner, vielle, armand):
    factories.hazard(vielle, by=armand, key="pesticide")

    page = send(owner_name=owner.name, client=str(owner.pk)).text

    assert "⚠\ufe0e gloves, mask, no dry brushing (pesticide residue)" in page


def test_a_known_owner_and_instrument_are_offered_and_used(send, owner, vielle):
    asked = send(owner_name=owner.name, owner_phone="")
    chosen = send(owner_name=owner.name, owner_phone="", client=str(owner.pk))
    again = {"client": str(owner.pk), "instrument": vielle.number}
    done = send(owner_name=owner.name, owner_phone="", **again)

    assert "is it one of these?" in asked.text.lower()
    assert asked.status_code == chosen.status_code == 200
    assert vielle.number in chosen.text
    assert done.status_code == 302
    assert Case.objects.get().instrument == vielle
    assert (Client.objects.count(), Instrument.objects.count()) == (1, 1)


def test_someone_of_the_same_name_may_be_somebody_else(send, owner):
    send(owner_name=owner.name, owner_phone="", client="new")

    assert Client.objects.filter(name=owner.name).count() == 2


def test_a_price_above_the_house_s_ceiling_needs_an_estimate(send):
    House.objects.update(spoken_consent_most=Decimal("10"))

    answer = send()

    assert answer.status_code == 409
    assert "it needs a signed estimate" in answer.text
    assert "By word of mouth at the counter." in answer.text  # what was typed is kept
    assert not Case.objects.exists() and not Client.objects.exists()


@pytest.mark.parametrize("typed", ["1 h 30", "1:30", "1,5"])
def test_hours_typed_for_the_minutes_are_read_as_hours_and_told(send, client, typed):
    answer = send(minutes=typed)

    assert Case.objects.get().interventions.get().spells.get().minutes == 90
    assert f"“{typed}” is taken as 90 min" in client.get(answer.url).text


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("minutes", "0"),
        ("minutes", "1441"),
        ("minutes", "1 h 75"),
        ("price", "-1"),
        ("price", "much"),
        ("asked", ""),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(send, field, typed):
    answer = send(**{field: typed})

    assert answer.status_code == 200
    assert f'id="id_{field}_problem"' in answer.text
    assert not Case.objects.exists()


@pytest.mark.parametrize(
    ("price", "below", "above"), [("9,99", "9.98", "10.00"), ("22.05", "22.04", "22.06")]
)
def test_a_price_that_no_invoice_comes_to_is_refused_with_its_neighbours(send, price, below, above):
    """8.32 + 1.66 = 9.98 and 8.33 + 1.67 = 10.00; 18.37 + 3.67 and 18.38 + 3.68 (by hand)."""
    answer = send(price=price)

    said = answer.context["form"].errors["price"][0]
    assert said.startswith("At 20 % tax no invoice comes to ")
    assert f"{below} or {above} do" in said
    assert "By word of mouth at the counter." in answer.text  # what was typed is kept
    assert not Case.objects.exists()
    assert send(price=above).status_code == 302


def test_where_no_tax_is_charged_every_price_will_do(send):
    House.objects.update(vat_regime="small_business")

    assert send(price="9,99").status_code == 302


def test_a_favour_costs_nothing_and_is_not_to_be_invoiced(send, client, armand):
    assert send(price="0").status_code == 302

    case = Case.objects.get()
    assert not cases_to_invoice().exists()
    assert not billing_facts(case)["may_invoice"]


def test_what_was_agreed_for_money_is_to_be_invoiced(send):
    send()

    assert list(cases_to_invoice()) == [Case.objects.get()]
    assert billing_facts(Case.objects.get())["may_invoice"]


def test_the_program_s_reasons_are_said_in_the_language_of_the_reader(send, armand):
    with translation.override("fr"):
        send()
    case = Case.objects.get()

    kept = {move.because for move in case.moves.all()} - {""}
    with translation.override("en"):
        said = " ".join(line.words for line in log_lines(case))

    assert kept == {"agreed at the counter", "work 1 is begun", "the last work is signed off"}
    assert "the last work is signed off" in said
    assert "agreed at the counter" in said


def test_a_job_that_fails_half_way_leaves_nothing(send, monkeypatch):
    def torn(*_args: Any, **_kwargs: Any) -> None:
        raise RuntimeError("the lamp went out")

    monkeypatch.setattr(counter, "hand_back", torn)

    with pytest.raises(RuntimeError):
        send()

    assert not Case.objects.exists()
    assert not Client.objects.exists()
    assert not Intervention.objects.exists()


def test_the_screen_offers_only_what_needs_no_reading_and_can_be_undone(client, armand, house):
    client.force_login(armand)

    page = client.get(reverse("bench:counter")).text

    assert 'value="small_job"' in page
    assert 'value="wheel_truing"' not in page


def test_an_apprentice_does_not_serve_at_the_counter(client, lise, house):
    client.force_login(lise)

    assert client.get(reverse("bench:counter")).status_code == 403


def test_the_price_at_the_counter_is_with_tax_and_alarms_nobody(send, client):
    send(price="22")

    page = client.get(Case.objects.get().get_absolute_url()).text

    assert "22.00 EUR of at most 22.00, tax included" in page
    assert "More is spent than was agreed" not in page
    assert "rice agreed, tax included" in client.get(reverse("bench:counter")).text


@pytest.mark.parametrize(
    ("price", "rate_pct", "net"),
    [
        ("22.00", "20", "18.33"),  # and 3.67
        ("12.50", "20", "10.42"),  # and 2.08
        ("22.05", "20", "18.37"),  # 22.04: at 20 % no two amounts make 22.05
        ("22.00", "0", "22.00"),
        ("0.00", "20", "0.00"),
    ],
)
def test_the_net_price_never_makes_more_than_was_agreed(price, rate_pct, net):
    agreed = AgreedWork(ceiling=Decimal(price))

    assert agreed.net_price_at(Decimal(rate_pct)) == Decimal(net)


def test_an_instrument_that_is_in_another_stay_is_asked_about_first(send, case, owner, vielle):
    said = {
        "owner_name": owner.name,
        "client": owner.pk,
        "kind": vielle.kind,
        "instrument": vielle.number,
    }

    asked = send(**said)
    page = asked.text

    assert asked.status_code == 200
    assert f"{vielle.number} is here already: its stay {case.number} of" in page
    assert 'name="beside"' in page
    assert "Cotton wound anew." in page
    assert Case.objects.count() == 1

    assert send(**said, beside="on").status_code == 302
    assert Case.objects.filter(instrument=vielle).count() == 2


def test_one_whose_stays_have_all_ended_is_not_asked_about(send, owner, vielle):
    said = {"owner_name": owner.name, "client": owner.pk, "kind": vielle.kind}

    assert send(**said, instrument=vielle.number).status_code == 302
    assert send(**said, instrument=vielle.number).status_code == 302
