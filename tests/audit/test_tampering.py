"""What somebody changes by plain SQL, past the app, is found; whatever they hash anew."""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection, transaction
from django.utils import timezone

from repairs.audit import anchors
from repairs.audit.actions import chain_faults, line_hash
from repairs.audit.checking import Count, all_faults
from repairs.audit.covers import bound
from repairs.audit.models import LogEntry, LogHead, LogSalt, Voucher
from repairs.audit.vouched import columns, vouched_models
from repairs.audit.vouching import as_bound
from repairs.estimates.actions import change_estimate
from repairs.estimates.wishes import OptionWish
from repairs.photos.actions import describe
from tests import factories


@pytest.fixture
def whole(case, armand, helene, shop) -> None:
    """One row of each kind that people would like to change."""
    photo = factories.photo(case, by=armand)
    finding = factories.finding(case, by=armand)
    factories.tag(photo, finding, by=armand)
    photo.refresh_from_db()
    photo.caption = "The wheel"
    describe(photo, by=armand, at=timezone.now())
    factories.string_reading(case, by=armand)
    line = factories.work_line(findings=[finding])
    offer = factories.estimate(case, OptionWish(kind="safe", lines=[line]), by=armand)
    factories.consent(offer, by=armand)
    other = factories.case(case.instrument, by=armand)
    agreed = factories.agreed_work(other, "free", factories.finding(other, by=armand), by=armand)
    factories.begun_work(agreed, by=armand)
    payer = factories.payer(by=helene)
    deposit = factories.issued(
        factories.draft(payer, factories.sold("Deposit", "100.00"), by=helene, kind="386"),
        by=helene,
    )
    factories.payment(deposit, "10.00", by=helene)


def faults() -> list[str]:
    return [str(fault) for fault in all_faults(Count())]


# The table, what is set, and what is told of it.
CHANGES = {
    "totals": ("invoice", "net = 1, vat = 0, gross = 1, due = 1"),
    "a number": ("invoice", "number = 'FA-2026-0099'"),
    "what an invoice says": ("invoice", "content = '{}'"),
    "a tax row": ("taxrow", "base = 1, tax = 0"),
    "a payment": ("payment", "amount = 9999"),
    "its note": ("payment", "note = 'in cash'"),
    "the name of a consent": ("consent", "name = 'Somebody Else'"),
    "its signature": ("consent", "signature = '[]'"),
    "a ceiling": ("agreedwork", "ceiling = 99999"),
    "a rate of an offer": ("estimate", "hourly_rate = 1"),
    "its paper": ("estimate", "paper_id = NULL"),
    "what the owner was told": ("estimate", "intro = 'All is free'"),
    "a ceiling of an option": ("option", "ceiling = 99999"),
    "what it leaves out": ("option", "left_out = 'Nothing'"),
    "minutes of a line": ("optionline", "minutes_high = 9999"),
    "a price of a line": ("optionline", "amount = 9999"),
    "a caption": ("photo", "caption = 'Another wheel'"),
    "the hash of an original": ("original", f"sha256 = '{'a' * 64}'"),
    "the hash of a paper": ("paper", "sha256 = 'b' || SUBSTR(sha256, 2)"),
    "what a paper says": ("paper", "data = '{}'"),
    "a raw value": ("reading", 'raw = \'{"fields": {}, "rows": [{"length_mm": "346"}]}\''),
    "a result": ("result", "output = '{}'"),
    "a verdict": ("verdict", "value = 0.5"),
    "a finding": ("finding", "severity = 4"),
    "a place on a photo": ("tag", "points = '[[0.9, 0.9]]'"),
}


def set_by_sql(table: str, words: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE repairs_{table} SET {words}")  # noqa: S608 - words of this file
        assert cursor.rowcount > 0


def test_a_house_that_nobody_touched_is_found_whole(whole):
    count = Count()

    assert [*all_faults(count)] == []
    assert count.rows == sum(model._base_manager.count() for model in vouched_models().values())


def test_every_change_of_a_row_by_sql_is_found_and_named(whole):
    missed = {}
    for what, (table, words) in CHANGES.items():
        with transaction.atomic():
            set_by_sql(table, words)
            told = faults()
            transaction.set_rollback(True)
        if not any(one.startswith(f"{table} ") and "vouched for" in one for one in told):
            missed[what] = told

    assert missed == {}
    assert faults() == []


# The table, how the log calls its rows, and what is written anew from its first row.
LINKS = {
    "what an agreed work answers": ("agreedwork_findings", "agreedworkfinding"),
    "what a work answers": ("intervention_findings", "interventionfinding"),
    "what a line of an offer answers": ("optionline_findings", "optionlinefinding"),
    "a line of an offer": ("optionline", "optionline"),
    "which finding a place on a photo shows": ("findingtag", "findingtag"),
}


@pytest.mark.parametrize("what", LINKS)
def test_links_and_lines_that_were_cut_are_found_and_named(whole, finding, armand, what):
    table, name = LINKS[what]
    with connection.cursor() as cursor:
        if table == "optionline":
            cursor.execute("DELETE FROM repairs_optionline_findings")
        cursor.execute(f"DELETE FROM repairs_{table}")  # noqa: S608 - words of this file
        assert cursor.rowcount > 0

    assert [one for one in faults() if one.startswith(f"{name} ") and "it is missing" in one]


def test_links_that_were_moved_to_another_finding_are_found_and_named(whole, case, armand):
    other = factories.finding(case, by=armand)
    assert faults() == []
    missed = {}
    for table, name in LINKS.values():
        if table == "optionline":
            continue
        with transaction.atomic():
            set_by_sql(table, f"finding_id = {other.pk}")
            told = faults()
            transaction.set_rollback(True)
        if not any(one.startswith(f"{name} ") and "is not what line" in one for one in told):
            missed[name] = told

    assert missed == {}


INSERTED = {
    "optionline": "option_id, position, kind, version_id, words, minutes_low, minutes_high, "
    "amount, is_sampling",
    "option": "estimate_id, position, kind, title, promise, risk, reversibility, left_out, ceiling",
}


@pytest.mark.parametrize("table", INSERTED)
def test_a_line_or_an_option_that_was_slipped_into_an_offer_is_found(whole, table):
    names = INSERTED[table]
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO repairs_{table} ({names}) "  # noqa: S608 - names of this file
            f"SELECT {names} FROM repairs_{table} LIMIT 1"
        )

    told = faults()
    assert [one for one in told if one.startswith(f"{table} ") and "no line vouches" in one]


def test_a_draft_that_is_written_anew_leaves_nothing_behind(whole, case, armand):
    stay = factories.case(case.instrument, by=armand)
    written = factories.estimate(stay, by=armand, issued=False)

    change_estimate(
        written,
        [OptionWish(kind="safe", title="Less", lines=[])],
        seen=written.revision,
        by=armand,
        at=timezone.now(),
    )

    assert faults() == []
    gone = Voucher.objects.filter(table="optionline", digest="", personal="")
    assert gone.exists()


def test_a_row_that_was_deleted_is_found(whole):
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM repairs_payment")

    assert [one for one in faults() if one.startswith("payment ") and "it is missing" in one]


def test_a_row_that_was_inserted_is_found(whole):
    with connection.cursor() as cursor:
        names = "invoice_id, sort, amount, means, paid_on, note, fee_part, noted_at, noted_by_id"
        cursor.execute(
            f"INSERT INTO repairs_payment ({names}) "  # noqa: S608 - names of this file
            f"SELECT {names} FROM repairs_payment LIMIT 1"
        )

    told = faults()
    assert [one for one in told if one.startswith("payment ") and "no line vouches for it" in one]


def test_a_value_that_cannot_even_be_read_is_told_and_the_check_goes_on(whole):
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL takes no text in a column of numbers")
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA ignore_check_constraints = ON")
        cursor.execute("UPDATE repairs_payment SET amount = 'much'")
        cursor.execute("PRAGMA ignore_check_constraints = OFF")

    told = faults()
    assert [one for one in told if one.startswith("payment ") and "cannot be read" in one]


def test_a_voucher_that_was_made_to_fit_is_found_at_its_line(whole):
    set_by_sql("payment", "amount = 9999")
    row = Voucher.objects.get(table="payment")
    refit(row)

    told = faults()
    assert f"line {row.entry_id}: what it vouches for was changed" in told


def test_a_voucher_that_was_removed_is_found(whole):
    row = Voucher.objects.get(table="payment")
    Voucher.objects.filter(pk=row.pk)._raw_delete("default")

    told = faults()
    assert f"line {row.entry_id}: what it vouches for was changed" in told
    assert [one for one in told if "no line vouches for it" in one]


def test_a_voucher_for_a_kind_of_row_that_is_none_is_found(whole):
    Voucher.objects.filter(table="payment").update(table="paiment")

    assert "paiment: lines vouch for rows of a kind that this release does not know" in faults()


def test_an_index_or_key_that_does_not_hold_is_told(whole):
    if connection.vendor != "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # what waits for the end of the deed
            cursor.execute("ALTER TABLE repairs_payment DISABLE TRIGGER ALL")
        assert [one for one in faults() if "its keys are switched off" in one]
        return
    with connection.cursor() as cursor:
        # In a transaction the switch has no effect; the check asks the rows themselves.
        cursor.execute("PRAGMA defer_foreign_keys = ON")
        cursor.execute("UPDATE repairs_payment SET noted_by_id = 999999")
        assert [one for one in faults() if one.startswith("database: repairs_payment, row")]
        cursor.execute(
            "UPDATE repairs_payment SET noted_by_id = (SELECT MIN(id) FROM repairs_user)"
        )


def refit(row: Voucher) -> None:
    """As somebody would who has the source: a voucher for what stands there now."""
    model = vouched_models()[row.table]
    cover = model.covers[row.cover - 1]
    values = model._base_manager.filter(pk=row.row).values_list(*columns(model, cover)).get()
    digest, personal = cover.digests(values, row.salt)
    Voucher.objects.filter(pk=row.pk).update(digest=digest, personal=personal)


def rehash_all() -> None:
    """Every voucher, line and the head anew, by the code itself: a forgery without a seam."""
    for row in Voucher.objects.all():
        refit(row)
    previous = "0" * 64
    for seq, line in enumerate(LogEntry.objects.order_by("seq"), 1):
        line.seq, line.previous_hash = seq, previous
        line.vouched = bound(map(as_bound, line.vouchers.all()))
        line.hash = previous = line_hash(line)
        LogEntry.objects.filter(pk=line.seq).update(
            previous_hash=line.previous_hash, vouched=line.vouched, hash=line.hash
        )
    LogHead.objects.update(seq=LogEntry.objects.count(), hash=previous)


def cut_tail(lines: int) -> None:
    last = LogHead.objects.get().seq - lines
    Voucher.objects.filter(entry_id__gt=last)._raw_delete("default")
    LogSalt.objects.filter(entry_id__gt=last).delete()
    LogEntry.objects.filter(seq__gt=last)._raw_delete("default")


def verified(**options) -> tuple[int, str, str]:
    out, err = StringIO(), StringIO()
    try:
        call_command("verify_log", stdout=out, stderr=err, **options)
    except CommandError as failure:
        return failure.returncode, out.getvalue(), f"{err.getvalue()}{failure}"
    return 0, out.getvalue(), err.getvalue()


def test_a_forgery_without_a_seam_is_found_by_a_head_that_was_kept(whole):
    kept = anchors.current_head()
    cut_tail(1)  # the payment never came
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM repairs_payment")
    set_by_sql("consent", "name = 'Somebody Else'")
    rehash_all()

    assert list(chain_faults()) == []
    code, _out, err = verified(head=kept.short)
    assert code == 1
    assert "it is not in this log" in err


def test_papers_that_bear_a_head_find_a_forgery_too(whole):
    LogEntry.objects.filter(seq=1).update(verb="client.changed")
    rehash_all()

    told = faults()
    assert [
        one for one in told if one.startswith("paper ") and "head that is not in the log" in one
    ]


@pytest.mark.parametrize("form", ["whole", "short", "as printed", "in capitals"])
def test_a_head_that_was_kept_is_proved_in_any_form(whole, form, helene):
    kept = anchors.current_head()
    factories.owner(by=helene, name="Odon Perrachon")
    typed = {
        "whole": kept.sha256,
        "short": kept.short,
        "as printed": f"The workshop’s log at line {kept.seq}: {kept.short}",
        "in capitals": kept.short.upper().replace(" ", "-"),
    }[form]

    code, out, err = verified(head=typed)

    assert (code, err) == (0, "")
    assert f"that of line {kept.seq}" in out


@pytest.mark.parametrize("typed", ["no hex", "abc", "", "0x12345678", "a" * 65])
def test_what_is_no_head_is_refused_as_unusable(db, typed):
    code, _out, err = verified(head=typed)

    assert code == 2
    assert "is no head of the log" in err


def test_a_head_of_another_log_is_found_out(whole):
    code, _out, err = verified(head="f" * 64)

    assert code == 1
    assert "head ffff" in err


def test_the_answer_as_json_names_each_fault(whole):
    set_by_sql("payment", "amount = 9999")
    head = anchors.current_head()

    code, out, _err = verified(json=True, head=head.sha256)
    told = json.loads(out)

    assert code == 1
    assert told["good"] is False
    assert told["asked_line"] == head.seq
    assert [one["where"].split()[0] for one in told["faults"]] == ["payment"]
