"""What writing, issuing and withdrawing an estimate refuse, and what they leave in the tables."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.estimates import actions
from repairs.estimates.actions import (
    change_estimate,
    check_issuable,
    close_links,
    withdraw_estimate,
    write_estimate,
)
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.consent_models import ConsentLink
from repairs.estimates.models import Estimate
from repairs.estimates.refusals import (
    ConsentRefusedError,
    EstimateIncompleteError,
    EstimateIssuedError,
)
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.people.house_models import House
from repairs.press.models import Paper
from repairs.press.refusals import PreviewOutdatedError
from tests import factories


@pytest.mark.parametrize(("regime", "rate"), [("normal", "5.50"), ("small_business", "0")])
def test_the_first_offer_taxes_as_the_house_does(house, case, armand, regime, rate):
    House.objects.update(vat_regime=regime, default_rate_pct=Decimal("5.50"))

    row = write_estimate(case, by=armand, at=timezone.now())

    assert Estimate.objects.get(pk=row.pk).tax_pct == Decimal(rate)
    assert (row.stop_pct, row.deposit_pct) == (10, 0)  # the habits of a house without any


def test_a_stay_that_has_ended_gets_no_offer(house, case, armand):
    Case.objects.filter(pk=case.pk).update(ended_at=timezone.now())

    with pytest.raises(EstimateIncompleteError, match="the stay has ended"):
        write_estimate(case, by=armand, at=timezone.now())
    assert not Estimate.objects.exists()


def test_an_offer_is_not_issued_once_the_stay_has_ended(house, case, armand, today):
    row = factories.estimate(case, by=armand, issued=False)
    row.case = factories.looked_over(case, by=armand)
    check_issuable(row, today)

    row.case.ended_at = timezone.now()
    with pytest.raises(EstimateIncompleteError, match="the stay has ended"):
        check_issuable(row, today)


STEPS = [
    ("repair", "taken_in", False),
    ("repair", "looked_over", True),
    ("repair", "agreed", True),
    ("repair", "on_bench", True),
    ("repair", "elsewhere", False),  # a step that this stay does not go through
    ("while_you_wait", "taken_in", True),  # nothing stands before its agreement
]


def test_an_offer_is_issued_from_the_step_before_the_agreement_on(house, case, armand, today):
    row = factories.estimate(case, by=armand, issued=False)
    for reason, step, may in STEPS:
        row.case.reason, row.case.step = reason, step
        if may:
            check_issuable(row, today)
            continue
        with pytest.raises(EstimateIncompleteError, match="not looked over yet"):
            check_issuable(row, today)


def test_an_issued_version_is_not_issued_again(house, case, armand, today):
    with pytest.raises(EstimateIssuedError, match="Version 1"):
        check_issuable(factories.estimate(case, by=armand), today)


def test_a_version_that_somebody_saved_after_the_preview_is_not_issued(house, case, armand):
    """The saved words are the same, so that the preview alone does not tell."""
    factories.looked_over(case, by=armand)
    row = factories.estimate(case, by=armand, issued=False)
    row.case = case
    Estimate.objects.filter(pk=row.pk).update(revision=row.revision + 1)

    with pytest.raises(PreviewOutdatedError):
        factories.issue_estimate(case, row, by=armand)

    assert not Paper.objects.exists()
    assert not Estimate.objects.get(pk=row.pk).is_issued


def test_options_and_lines_keep_their_places_also_in_a_copy(house, case, armand):
    lines = [factories.work_line(), LineWish(kind="material", words="gut", amount=Decimal(3))]
    wishes = [OptionWish(kind="full", lines=lines), OptionWish(kind="safe", lines=lines)]
    first = factories.estimate(case, *wishes, by=armand)

    copy = write_estimate(case, by=armand, at=timezone.now())

    for row in (first, copy):
        assert [(one.position, one.kind) for one in row.options.all()] == [(1, "full"), (2, "safe")]
        kept = row.options.get(position=1).lines.all()
        assert [(line.position, line.kind) for line in kept] == [(1, "work"), (2, "material")]
        assert [line.version is not None for line in kept] == [True, False]


def test_a_new_issue_closes_the_open_links_of_the_stay_and_no_others(
    house, case, vielle, armand, now
):
    other = factories.estimate(factories.case(vielle, by=armand), by=armand)
    elsewhere, _token = factories.link(other, by=armand)
    first = factories.estimate(case, by=armand)
    old, _token = factories.link(first, by=armand)

    factories.estimate(case, by=armand)

    old.refresh_from_db()
    elsewhere.refresh_from_db()
    assert old.revoked_at is not None
    assert elsewhere.revoked_at is None


def test_closing_links_counts_the_open_ones_and_keeps_when_others_were_closed(
    house, case, armand, now
):
    row = factories.estimate(case, by=armand)
    earlier = timezone.now()
    kinds: tuple[dict[str, Any], ...] = ({}, {"used_at": earlier}, {"revoked_at": earlier})
    for number, kind in enumerate(kinds):
        fields = {"token_hash": str(number), "made_at": earlier, "expires_at": earlier, **kind}
        ConsentLink.objects.create(estimate=row, made_by=armand, **fields)

    assert close_links(row.links.all(), at=now) == 1
    closed = {link.token_hash: link.revoked_at for link in row.links.all()}
    assert closed == {"0": now, "1": None, "2": earlier}


def test_a_withdrawal_is_kept_with_its_moment_and_in_the_log(house, case, armand):
    row = factories.estimate(case, by=armand)
    link, _token = factories.link(row, by=armand)
    at = timezone.now()

    withdraw_estimate(row, by=armand, at=at)

    link.refresh_from_db()
    assert row.withdrawn_at == Estimate.objects.get(pk=row.pk).withdrawn_at == link.revoked_at == at
    assert LogEntry.objects.get(verb="estimate.withdrawn").details["version"] == 1


def test_what_was_declined_may_be_withdrawn(house, case, armand):
    row = factories.estimate(case, by=armand)
    factories.consent(row, by=armand, decision="declined", option=None)

    withdraw_estimate(row, by=armand, at=timezone.now())

    with pytest.raises(ConsentRefusedError, match="only an offer that stands"):
        withdraw_estimate(row, by=armand, at=timezone.now())


def test_a_change_keeps_who_made_it_and_when(house, case, armand, lise, now):
    row = factories.estimate(case, by=armand, issued=False)

    change_estimate(row, [], seen=1, by=lise, at=now)

    kept = Estimate.objects.get(pk=row.pk)
    assert (kept.changed_by, kept.changed_at, kept.made_by) == (lise, now, armand)
    assert not kept.options.exists()


def test_whoever_changes_or_withdraws_an_offer_holds_its_case_first(
    house, case, armand, monkeypatch
):
    draft = factories.estimate(case, by=armand, issued=False)
    revision = draft.revision

    def hold(pk: int) -> Case:
        assert pk == case.pk
        raise InterruptedError("held")

    monkeypatch.setattr(actions, "locked_case", hold)
    now = timezone.now()
    for verb in (
        lambda: write_estimate(case, by=armand, at=now),
        lambda: change_estimate(draft, [], seen=revision, by=armand, at=now),
        lambda: withdraw_estimate(draft, by=armand, at=now),
    ):
        with pytest.raises(InterruptedError, match="held"):
            verb()
    assert draft.options.exists()


def test_the_sheet_of_a_version_names_its_instrument(house, case, armand):
    row = factories.estimate(case, by=armand, issued=False)

    sheet = estimate_sheet(row, language="en", made_at=timezone.now())

    assert (sheet.reference, sheet.subject) == (case.instrument.number, case.log_key)
