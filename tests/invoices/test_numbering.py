"""Numbers have no gap and no twin, and follow the time of issue, whoever dies on the way."""

from __future__ import annotations

import datetime as dt
from contextlib import ExitStack
from pathlib import Path

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.invoices import issuing
from repairs.invoices.actions import open_credit
from repairs.invoices.models import Invoice
from repairs.invoices.refusals import ClockSetBackError, NumberTakenError, SeriesBusyError
from repairs.invoices.series import Place, alone, propose, take
from repairs.invoices.series_models import InvoiceSeries
from repairs.press.models import Paper
from tests import factories
from tests.beside import Beside, beside, shared_database

CHORES = "tests.invoices.numbering"
AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def own_locks(settings, tmp_path: Path):
    """The lock files lie where the processes beside the test look for them."""
    settings.DATA_DIR = tmp_path


def test_invoices_and_credit_notes_are_counted_apart(invoice, payer, helene):
    note = factories.issued(open_credit(invoice, by=helene, at=timezone.now()), by=helene)
    second = factories.issued(factories.draft(payer, by=helene), by=helene)

    year = timezone.localdate().year
    assert (invoice.number, note.number, second.number) == (
        f"FA-{year}-0001",
        f"AV-{year}-0001",
        f"FA-{year}-0002",
    )


def test_a_deposit_invoice_stands_in_the_series_of_invoices(invoice, payer, helene):
    deposit = factories.issued(factories.draft(payer, by=helene, kind="386"), by=helene)

    assert deposit.number.endswith("-0002")


def test_each_year_counts_from_one(payer, helene):
    first, second = (factories.draft(payer, by=helene) for _ in range(2))

    old = factories.issued(first, by=helene, at=dt.datetime(2025, 12, 31, 22, 30, tzinfo=dt.UTC))
    new = factories.issued(second, by=helene, at=dt.datetime(2025, 12, 31, 23, 30, tzinfo=dt.UTC))

    assert (old.number, new.number) == ("FA-2025-0001", "FA-2026-0001")  # midnight in Paris


@pytest.mark.parametrize("back", [dt.timedelta(seconds=1), dt.timedelta(days=400)])
def test_a_clock_that_was_set_back_is_refused(payer, helene, back):
    first, second = (factories.draft(payer, by=helene) for _ in range(2))
    factories.issued(first, by=helene, at=AT)

    with pytest.raises(ClockSetBackError, match="set the clock right") as refusal:
        factories.issued(second, by=helene, at=AT - back)

    assert Invoice.objects.count() == 1
    assert f"{timezone.localtime(AT):%H:%M:%S}. Numbers" in str(refusal.value)
    assert str(AT.year) + "-" not in str(refusal.value)


def test_a_broken_deed_uses_no_number(draft, helene, monkeypatch):
    def crash(*_said, **_more):
        raise RuntimeError("the lamp went out")

    with monkeypatch.context() as patched, pytest.raises(RuntimeError, match="lamp"):
        patched.setattr(issuing, "record", crash)
        factories.issued(draft, by=helene)
    kept = Invoice.objects.count(), Paper.objects.count(), InvoiceSeries.objects.count()
    invoice = factories.issued(draft, by=helene)

    assert kept == (0, 0, 0)
    assert invoice.number.endswith("-0001")


def test_a_place_that_was_taken_meanwhile_is_refused(db):
    place = propose("FA", AT)
    with transaction.atomic():
        take(place, AT)

    with pytest.raises(NumberTakenError, match="FA-2026-0001"), transaction.atomic():
        take(place, AT)

    assert propose("FA", AT) == Place("FA", 2026, 2)


def test_the_database_refuses_a_number_twice(invoice):
    fields = {f.attname: getattr(invoice, f.attname) for f in Invoice._meta.concrete_fields}
    del fields["id"]

    with pytest.raises(IntegrityError), transaction.atomic():
        Invoice(**fields).save()


def test_a_number_is_whole_beyond_four_digits():
    assert Place("FA", 2026, 12345).number == "FA-2026-12345"


@pytest.mark.django_db(transaction=True)
def test_who_waits_too_long_for_a_series_is_told_so(tmp_path, shop, payer, helene):
    draft = factories.draft(payer, by=helene)
    with shared_database(tmp_path) as address, _dying(helene, draft, address, tmp_path) as dying:
        assert dying.hear() == "printed"

        with (
            pytest.raises(SeriesBusyError, match="No number was used"),
            alone("FA", patience_s=0.1),
        ):
            pytest.fail("two held the series at once")

        with alone("AV", patience_s=0.1):  # the other series is free
            pass


def _dying(helene, draft, address: str, folder: Path, how: str = "die_before_keeping"):
    """A process that holds the series, ready to be killed."""
    stack = ExitStack()
    words = (str(helene.pk), str(draft.pk))
    process = stack.enter_context(
        beside(f"{CHORES}:{how}", *words, database=address, folder=folder)
    )
    process.hear()
    process.go()
    return _Kept(stack, process)


class _Kept:
    def __init__(self, stack: ExitStack, process: Beside) -> None:
        self.stack, self.process = stack, process

    def __enter__(self) -> Beside:
        return self.process

    def __exit__(self, *_said: object) -> None:
        self.stack.close()


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_who_is_killed_before_keeping_uses_no_number(tmp_path, shop, payer, helene):
    dead, living = (factories.draft(payer, by=helene) for _ in range(2))
    with shared_database(tmp_path) as address:
        with _dying(helene, dead, address, tmp_path) as dying:
            assert dying.hear() == "printed"
            dying.kill()

        invoice = factories.issued(living, by=helene)

        assert invoice.number.endswith("-0001")
        assert Paper.objects.count() == Invoice.objects.count() == 1


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_who_is_killed_while_keeping_leaves_nothing(tmp_path, shop, payer, helene):
    draft = factories.draft(payer, by=helene)
    with shared_database(tmp_path) as address:
        with _dying(helene, draft, address, tmp_path, "die_while_keeping") as dying:
            dying.wait()

        assert (Invoice.objects.count(), Paper.objects.count()) == (0, 0)
        assert factories.issued(draft, by=helene).number.endswith("-0001")


@pytest.mark.share(2, 1)
@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_issuing_at_once_with_a_crash_in_between_leaves_no_gap(tmp_path, shop, payer, helene):
    drafts = [factories.draft(payer, by=helene) for _ in range(6)]
    who, pks = str(helene.pk), [str(draft.pk) for draft in drafts]
    with shared_database(tmp_path) as address, ExitStack() as stack:
        work = [
            ("issue_drafts", pks[:2]),
            ("issue_drafts", pks[2:4]),
            ("die_while_keeping", pks[4:5]),
        ]
        processes = [
            stack.enter_context(
                beside(f"{CHORES}:{what}", who, *words, database=address, folder=tmp_path)
            )
            for what, words in work
        ]
        for process in processes:
            process.hear()
        for process in processes:
            process.go()
        for process in processes[:2]:
            process.end()
        processes[2].wait()

        factories.issued(drafts[5], by=helene)

        rows = list(Invoice.objects.order_by("issued_at"))
        assert [row.sequence for row in rows] == [1, 2, 3, 4, 5]
        assert InvoiceSeries.objects.get().last == 5


@pytest.mark.django_db(transaction=True)
def test_eight_processes_at_once_take_every_number_once_and_in_order(tmp_path):
    with shared_database(tmp_path) as address, ExitStack() as stack:
        takers = [
            stack.enter_context(
                beside(f"{CHORES}:take_numbers", "10", database=address, folder=tmp_path)
            )
            for _ in range(8)
        ]
        for taker in takers:
            taker.hear()
        for taker in takers:
            taker.go()
        said = [line.split() for taker in takers for line in taker.end().splitlines()]

    taken = sorted((int(number), at) for number, at in said)
    assert [number for number, _at in taken] == list(range(1, 81))
    assert [at for _number, at in taken] == sorted(at for _number, at in taken)
