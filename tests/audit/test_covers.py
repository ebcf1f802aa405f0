"""What of a row is hashed, and that it is hashed alike on every database."""

from __future__ import annotations

import datetime as dt
import hashlib
from decimal import Decimal
from uuid import UUID

import pytest

from repairs.audit.covers import Cover, bound, settled
from repairs.audit.vouched import VouchedQuerySet, vouched_models

PARIS = dt.timezone(dt.timedelta(hours=2))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (1.0, 1),
        (1e22, 10**22),
        (-0.0, 0),
        (
            dt.datetime(2026, 5, 18, 10, 0, tzinfo=PARIS),
            dt.datetime(2026, 5, 18, 8, 0, tzinfo=dt.UTC),
        ),
        ({"b": [1.0], "a": None}, {"a": None, "b": (1,)}),
    ],
    ids=str,
)
def test_what_two_databases_give_back_for_the_same_value_is_hashed_alike(one, other):
    cover = Cover(plain="value")

    assert cover.digests([one], "") == cover.digests([other], "")


@pytest.mark.parametrize(
    ("one", "other"),
    [(0.1, 0.10000001), (1, True), ("1", 1), (None, ""), (Decimal("1.00"), Decimal("1.01"))],
    ids=str,
)
def test_what_differs_is_hashed_otherwise(one, other):
    cover = Cover(plain="value")

    assert cover.digests([one], "") != cover.digests([other], "")


def test_a_digest_is_made_as_it_is_published():
    """The canonical text of a row, written by hand: whoever checks can do the same."""
    cover = Cover(plain="number gross", personal="name")
    plain = "\x1f" + '{"gross":"417.60","number":"FA-2026-0001"}'
    personal = "ab12\x1f" + '{"name":"Odon"}'

    made = cover.digests(["FA-2026-0001", Decimal("417.60"), "Odon"], "ab12")

    assert made == tuple(hashlib.sha256(text.encode()).hexdigest() for text in (plain, personal))


def test_personal_values_without_their_salt_have_no_digest():
    assert Cover(plain="a", personal="b").digests([1, "Odon"], "")[1] == ""


def test_the_order_of_rows_does_not_change_what_a_line_binds():
    rows = [("invoice", 2, 1, "aa", ""), ("invoice", 10, 1, "bb", "")]

    assert bound(rows) == bound(reversed(rows)) != ""
    assert bound([]) == ""


def test_a_value_of_a_kind_that_nobody_thought_of_is_refused():
    with pytest.raises(TypeError, match="bytes"):
        settled(b"x")


def test_other_kinds_are_written_out():
    uuid = UUID("7d3f3a5e-3a1c-4a44-9a0e-0a4a5a6a7a8a")

    assert settled([dt.date(2026, 5, 1), uuid]) == ["2026-05-01", str(uuid)]


@pytest.mark.parametrize("table", sorted(vouched_models()))
def test_of_every_field_somebody_has_decided_whether_the_log_vouches_for_it(table):
    model = vouched_models()[table]
    said = model.covers[-1]

    decided = [*said.covered, *said.free.split()]

    fields = [field.name for field in model._meta.concrete_fields if not field.auto_created]
    assert sorted(decided) == sorted(fields)


@pytest.mark.parametrize("table", sorted(vouched_models()))
def test_nobody_writes_such_rows_past_the_log_by_way_of_their_manager(table):
    assert isinstance(vouched_models()[table]._default_manager.all(), VouchedQuerySet)
