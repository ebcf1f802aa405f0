"""What the log keeps, and what it never keeps."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
from contextlib import ExitStack

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from repairs.audit import marks
from repairs.audit.actions import chain_faults, deed, record, salted
from repairs.audit.anchors import as_mark, current_head
from repairs.audit.checking import Count, all_faults
from repairs.audit.models import LogEntry, LogHead, LogSalt
from repairs.people import actions as people_actions
from repairs.people.models import Client
from tests import factories
from tests.audit.writing import said
from tests.beside import beside, shared_database

AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)
PERSONAL = {
    "name": "Zéphyrine Quatrebarbes",
    "contact": "Hyacinthe Malbrouck",
    "address": "77, impasse des Hulottes\n03999 Trompesource",
    "email": "zephyrine@quatrebarbes.example",
    "phone": "+33 7 98 76 54 32",
    "note": "Prefers to be rung after vespers.",
}


def test_each_line_follows_from_the_line_before(helene):
    first = said(helene, "house.changed", "house:1", at=AT)
    second = said(helene, "house.changed", "house:1", at=AT)

    assert (second.seq, second.previous_hash) == (first.seq + 1, first.hash)
    assert LogHead.objects.get().hash == second.hash


def test_a_line_names_who_did_what_to_what_and_when(helene):
    line = said(helene, "case.moved", "case:2026-001", at=AT, step="agreed")

    kept = LogEntry.objects.get(pk=line.pk)
    assert (kept.actor, kept.verb, kept.subject, kept.at, kept.details) == (
        helene,
        "case.moved",
        "case:2026-001",
        AT,
        {"step": "agreed"},
    )


def test_a_subject_without_a_key_of_its_own_is_named_by_kind_and_id(helene, owner):
    line = said(helene, "client.changed", owner, at=AT)

    assert line.subject == f"client:{owner.pk}"


@pytest.mark.django_db(transaction=True)
def test_a_line_outside_a_deed_is_refused():
    with pytest.raises(RuntimeError, match="inside the deed"):
        record(None, "house.changed", "house:1", at=AT)

    assert not LogEntry.objects.exists()


def test_a_deed_that_is_rolled_back_leaves_no_line(helene):
    before = LogEntry.objects.count()

    with pytest.raises(ZeroDivisionError), transaction.atomic():
        people_actions.enter_client(Client(name="Odon Perrachon"), by=helene, at=AT)
        _ = 1 // 0

    assert LogEntry.objects.count() == before
    assert list(chain_faults()) == []


def test_lines_stand_in_the_order_in_which_they_were_said(helene):
    @deed()
    def inner() -> None:
        record(helene, "case.moved", "case:1", at=AT)

    with deed():
        record(helene, "consent.given", "case:1", at=AT)
        inner()
        record(helene, "work.agreed", "case:1", at=AT)

    verbs = list(LogEntry.objects.order_by("-seq").values_list("verb", flat=True)[:3])
    assert verbs == ["work.agreed", "case.moved", "consent.given"]
    assert list(chain_faults()) == []


def test_an_inner_deed_that_fails_drops_its_own_lines_and_no_others(helene):
    with deed():
        record(helene, "consent.given", "case:1", at=AT)
        with contextlib.suppress(ZeroDivisionError), deed():
            record(helene, "case.moved", "case:1", at=AT)
            _ = 1 // 0

    assert LogEntry.objects.latest("seq").verb == "consent.given"
    assert not LogEntry.objects.filter(verb="case.moved").exists()


def test_the_head_of_the_chain_is_asked_for_after_every_other_row(helene):
    with CaptureQueriesContext(connection) as asked, deed():
        client = people_actions.enter_client(Client(name="Odon Perrachon"), by=helene, at=AT)
        client.note = "Rings back."
        people_actions.change_client(client, by=helene, at=AT)

    about = [
        "head" if "loghead" in row["sql"] else "row"
        for row in asked
        if "repairs_client" in row["sql"] or "loghead" in row["sql"]
    ]
    first = about.index("head")
    assert "row" not in about[first:]
    assert about[:first].count("row") >= 2


def test_a_line_is_neither_rewritten_nor_removed(helene):
    line = said(helene, "house.changed", "house:1", at=AT)

    with pytest.raises(TypeError, match="never rewritten"):
        line.save()
    with pytest.raises(TypeError, match="never removed"):
        line.delete()


def test_a_hashed_value_can_be_checked_with_its_salt(helene):
    line = said(helene, "client.changed", "client:1", at=AT, hashed={"name": "Odon"})

    salt = LogSalt.objects.get(entry=line).value
    assert line.details["hashed"] == {"name": salted(salt, "Odon")}
    assert line.details["hashed"]["name"] != salted(salt, "Odette")
    assert len(bytes.fromhex(salt)) == 16


def test_a_line_without_a_hashed_value_has_no_salt(helene):
    with deed():
        record(helene, "house.changed", "house:1", at=AT)
        record(helene, "client.changed", "client:1", at=AT, hashed={"name": "Odon"})

    hashed, plain = LogEntry.objects.order_by("-seq")[:2]
    assert plain.details == {}
    assert [salt.entry for salt in LogSalt.objects.all()] == [hashed]


def test_a_line_that_nobody_of_the_house_did_names_nobody(db):
    assert said(None, "consent.given", "case:2026-001", at=AT).actor is None


def test_a_subject_with_a_key_of_its_own_is_named_by_it(helene, case):
    assert said(helene, "case.moved", case, at=AT).subject == "case:2026-001"


def test_the_same_value_is_hashed_differently_in_every_line(helene):
    first = said(helene, "client.changed", "client:1", at=AT, hashed={"name": "Odon"})
    second = said(helene, "client.changed", "client:1", at=AT, hashed={"name": "Odon"})

    assert first.details["hashed"] != second.details["hashed"]


def test_no_personal_value_of_a_client_is_in_any_line(helene):
    client = people_actions.enter_client(Client(**PERSONAL), by=helene, at=AT)
    client.note = "Now rings back herself."
    people_actions.change_client(client, by=helene, at=AT)
    consent = people_actions.give_data_consent(client, "keep", "spoken", by=helene, at=AT)
    people_actions.withdraw_data_consent(consent, by=helene, at=AT)
    instrument = factories.instrument(client, by=helene)
    factories.case(instrument, by=helene, bringer_name="Anselme Quatrebarbes")

    lines = list(LogEntry.objects.values("verb", "subject", "details"))
    text = json.dumps(lines, ensure_ascii=False).casefold()
    words = {
        word
        for value in (*PERSONAL.values(), "Now rings back herself.", "Anselme")
        for word in value.casefold().split()
        if len(word) > 4
    }
    assert len(lines) >= 6
    assert {word for word in words if word in text} == set()


@pytest.mark.django_db(transaction=True)
def test_two_writers_at_once_leave_one_unbroken_chain(tmp_path):
    with shared_database(tmp_path) as address, ExitStack() as stack:
        writers = [
            stack.enter_context(
                beside(
                    "tests.audit.writing:enter_clients",
                    name,
                    "20",
                    database=address,
                    folder=tmp_path,
                )
            )
            for name in ("Odon", "Odette")
        ]
        for writer in writers:
            writer.hear()
        for writer in writers:
            writer.go()
        for _number in range(10):
            people_actions.enter_client(Client(name="Here"), by=None, at=timezone.now())
        for writer in writers:
            writer.end()

        assert list(chain_faults()) == []
        assert LogEntry.objects.count() == Client.objects.count() == 50
        assert LogHead.objects.get().seq == 50
        assert [str(fault) for fault in all_faults(Count())] == []
        known = marks.read()
        assert known is not None
        assert known.line == as_mark(current_head())
