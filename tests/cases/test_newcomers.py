"""Owner and instrument on one screen: nothing is asked twice, nobody is entered twice."""

from __future__ import annotations

import pytest
from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.instruments.models import Instrument
from repairs.people.models import Client
from tests import factories
from tests.cases.test_take_in import text_of, typed

NEW = reverse("cases:new")


def said(**changed: str) -> dict[str, str]:
    return {
        "name": "Anselme Courtavel",
        "phone": "+33 6 00 00 00 00",
        "email": "",
        "address": "2, place du Puits",
        "kind": "violin",
        "maker": "Étienne Roussillat",
        "date_text": "c. 1720",
        "declared_value": "6800",
    } | changed


@pytest.fixture
def send(client, armand, house):
    client.force_login(armand)
    return lambda query="", **changed: client.post(NEW + query, said(**changed))


def test_owner_and_instrument_are_entered_together(send):
    answer = send()

    owner, instrument = Client.objects.get(), Instrument.objects.get()
    assert answer["Location"] == reverse("cases:take_in", args=[instrument.number])
    assert (owner.name, owner.address) == ("Anselme Courtavel", "2, place du Puits")
    assert (instrument.owner, instrument.kind, instrument.year_first) == (owner, "violin", 1710)
    verbs = list(LogEntry.objects.order_by("seq").values_list("verb", flat=True))
    assert verbs[-2:] == ["client.entered", "instrument.entered"]


def test_neither_is_entered_when_one_cannot_be(send):
    answer = send(name="", declared_value="much")

    page = text_of(answer).replace("\u00a0", " ")
    assert "This field is required." in page
    assert "“much” is not a number." in page
    assert "Étienne Roussillat" in page
    assert not Client.objects.exists()
    assert not Instrument.objects.exists()


def test_somebody_alike_is_offered_with_their_instruments(client, send, owner, vielle):
    answer = send(name=owner.name)

    known = f"{NEW}?owner={owner.pk}"
    assert known in text_of(answer)
    page = text_of(client.get(known))
    assert reverse("cases:take_in", args=[vielle.number]) in page
    assert 'name="address"' not in page
    assert Client.objects.count() == 1


def test_a_known_owner_s_other_instrument_needs_no_owner(send, owner, vielle):
    answer = send(f"?owner={owner.pk}", kind="guitar")

    assert answer.status_code == 302
    assert owner.instruments.count() == 2


def test_an_instrument_alike_is_offered_before_it_is_entered_twice(send, owner, vielle):
    answer = send(f"?owner={owner.pk}", kind=vielle.kind, maker=vielle.maker)

    assert reverse("cases:take_in", args=[vielle.number]) in text_of(answer)
    assert owner.instruments.count() == 1


@pytest.mark.parametrize("key", ["x", "99999999999999999999", ""])
def test_an_owner_who_is_none_is_asked_for(client, send, key):
    assert 'name="address"' in client.get(NEW, {"owner": key}).text


def test_what_came_with_it_is_asked_once(client, send, vielle):
    Instrument.objects.update(accessories="")
    address = reverse("cases:take_in", args=[vielle.number])

    client.post(address, typed(received_items="Case\nBelt"))

    vielle.refresh_from_db()
    assert vielle.accessory_lines == Case.objects.get().received_lines == ["Case", "Belt"]
    assert "Case\nBelt</textarea>" in client.get(address).text


def test_what_is_known_to_belong_to_it_stays(client, send, vielle):
    Instrument.objects.update(accessories="Case\nTwo bows")

    client.post(reverse("cases:take_in", args=[vielle.number]), typed(received_items="Case"))

    vielle.refresh_from_db()
    assert vielle.accessory_lines == ["Case", "Two bows"]


def test_the_owner_is_offered_as_who_decides_and_left_out_when_nothing_is_decided(
    client, send, vielle
):
    address = reverse("cases:take_in", args=[vielle.number])
    assert f'name="leave_decided_by" value="{vielle.owner.name}"' in client.get(address).text

    client.post(address, typed(leave_decided_by=vielle.owner.name))

    assert Case.objects.get().leave_decided_by == ""


@pytest.mark.parametrize(
    ("kind", "asked", "kept"),
    [
        ("vielle_french", ["may_turn", "may_string", "may_play"], "strings and cotton back"),
        ("violin", ["may_string", "may_play"], "wants the old strings back"),
        ("nyckelharpa", ["may_string", "may_play"], "wants the old strings back"),
    ],
)
def test_each_kind_is_asked_what_it_has(client, armand, owner, helene, kind, asked, kept):
    instrument = factories.instrument(owner, by=helene, kind=kind)
    client.force_login(armand)

    page = text_of(client.get(reverse("cases:take_in", args=[instrument.number])))

    assert [name for name in ("may_turn", "may_string", "may_play") if f'"{name}"' in page] == asked
    assert kept in page


def test_a_folded_group_says_what_holds_and_opens_on_a_mistake(client, send, vielle):
    address = reverse("cases:take_in", args=[vielle.number])
    page = " ".join(text_of(client.get(address)).split())
    assert "not decided: ask first" in page
    assert "the owner in person · 6800 EUR" in page
    assert '<details class="room" open>' not in page

    answer = client.post(address, typed(room_rh_pct="101"))

    assert text_of(answer).count('<details class="room" open>') == 1
