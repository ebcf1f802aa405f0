"""Whoever writes such a row inside a deed, the log vouches for it: no caller can forget."""

from __future__ import annotations

import contextlib
import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from repairs.audit.actions import chain_faults, deed, record
from repairs.audit.checking import Count, all_faults
from repairs.audit.erasing import erase_values
from repairs.audit.models import LogEntry, LogSalt, Voucher
from repairs.estimates.consent_models import Consent
from repairs.people.actions import give_data_consent, withdraw_data_consent
from repairs.people.models import DataConsent
from repairs.photos.models import Photo
from repairs.readings.models import Prescription, Result, Verdict
from tests import factories

AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


def faults() -> list[str]:
    return [str(fault) for fault in all_faults(Count())]


def newest(row) -> Voucher:
    rows = Voucher.objects.filter(table=row._meta.model_name, row=row.pk)
    return rows.latest("entry_id")


@pytest.fixture
def consented(owner, helene) -> DataConsent:
    return give_data_consent(owner, "keep", "spoken", by=helene, at=AT)


def test_a_row_that_is_written_in_a_deed_is_vouched_for_by_its_last_line(consented):
    line = LogEntry.objects.latest("seq")

    assert newest(consented).entry == line
    assert len(line.vouched) == 64
    assert faults() == []


def test_a_row_that_a_deed_corrects_gets_a_new_voucher(consented, helene):
    first = newest(consented)
    withdraw_data_consent(consented, by=helene, at=AT)

    assert newest(consented).entry_id > first.entry_id
    assert newest(consented).digest != first.digest
    assert faults() == []


def test_rows_written_many_at_a_time_are_vouched_for_each(case, armand):
    reading = factories.string_reading(case, by=armand)

    for kind in (Result, Verdict, Prescription):
        rows = kind._base_manager.count()
        assert Voucher.objects.filter(table=kind._meta.model_name).count() == rows
    assert newest(reading).personal
    assert faults() == []


def test_rows_changed_by_one_statement_are_vouched_for(consented):
    with deed():
        DataConsent.objects.filter(withdrawn_at=None).update(withdrawn_at=AT)

    assert LogEntry.objects.latest("seq").verb == "rows.vouched"
    assert faults() == []


def test_a_row_that_a_deed_removes_is_not_missed(consented):
    with deed():
        consented.delete()
    assert faults() == []

    with deed():
        DataConsent.objects.create(client=consented.client, purpose="keep", given_at=AT)
        DataConsent.objects.all().delete()
    assert faults() == []


def test_what_an_inner_deed_wrote_and_took_back_is_not_vouched_for(owner, helene):
    with deed():
        record(helene, "client.changed", owner, at=AT)
        with contextlib.suppress(ZeroDivisionError), deed():
            DataConsent.objects.create(client=owner, purpose="keep", given_at=AT)
            _ = 1 // 0

    assert not Voucher.objects.filter(table="dataconsent").exists()
    assert faults() == []


def test_a_row_that_lies_stale_in_memory_is_vouched_for_as_it_stands(photo):
    stale = Photo.objects.get(pk=photo.pk)
    with deed():
        photo.caption = "The wheel"
        photo.save(update_fields=["caption"])
    with deed():
        stale.phase = "after"
        stale.save(update_fields=["phase"])

    assert faults() == []


def test_vouching_asks_one_question_a_kind_of_row_and_writes_once(owner, helene):
    with CaptureQueriesContext(connection) as asked:
        give_data_consent(owner, "keep", "spoken", by=helene, at=AT)

    about = [row["sql"] for row in asked if "voucher" in row["sql"]]
    read = [
        row["sql"] for row in asked if row["sql"].startswith("SELECT") and "consent" in row["sql"]
    ]
    assert (len(about), len(read)) == (1, 1)


@pytest.fixture
def agreed(case, armand) -> Consent:
    """A decision of the owner: a name, a signature, and what was shown."""
    return factories.consent(factories.estimate(case, by=armand), by=armand)


def test_values_are_erased_with_their_salt_and_the_log_stays_whole(agreed, helene):
    with deed():
        Consent.objects.filter(pk=agreed.pk).update(name="", signature=[])
        erase_values([agreed], by=helene, at=timezone.now(), because="request")
    count = Count()

    assert [*all_faults(count)] == []
    assert LogEntry.objects.filter(verb="values.erased").count() == 1
    # The new, empty values are vouched for again; the salts of those before are gone.
    salts = list(Voucher.objects.filter(table="consent").order_by("entry_id").values_list("salt"))
    assert [bool(salt) for (salt,) in salts] == [False, True]


def test_values_that_stay_can_no_longer_be_checked_and_that_is_counted(agreed, helene):
    erase_values([agreed], by=helene, at=timezone.now(), because="retention")
    count = Count()

    assert [*all_faults(count)] == []
    assert count.erased == 1


def test_a_salt_that_was_taken_away_unseen_is_found(agreed):
    Voucher.objects.filter(table="consent").update(salt="")

    assert [one for one in faults() if "its salt was taken away" in one]


def test_erasing_the_salts_of_all_lines_leaves_the_log_clean(agreed):
    LogSalt.objects.all().delete()

    assert faults() == []
    assert list(chain_faults()) == []
