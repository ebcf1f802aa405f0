"""The pages of estimates: what they show, in whose language, and what they say afterwards."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.estimates.models import Estimate
from repairs.people.models import Client
from tests import factories
from tests.estimates.screens import at, sent, words


@pytest.mark.parametrize(
    ("fields", "offered"),
    [({}, True), ({"ended_at": timezone.now()}, False), ({"reason": "survey"}, False)],
)
def test_an_estimate_is_offered_only_while_the_stay_takes_one(luthier, case, fields, offered):
    Case.objects.filter(pk=case.pk).update(**fields)

    page = luthier.get(reverse("estimates:list", args=[case.number]))

    assert page.context["takes_estimates"] is offered
    assert ("Write an estimate" in words(page)) is offered


def test_a_saved_version_is_shown_with_a_word_and_is_what_was_typed(luthier, draft):
    answer = luthier.post(at("edit", draft), sent(seen="", deposit_pct="30"), follow=True)

    row = Estimate.objects.get()
    assert "Saved. This is what the owner would get." in words(answer)
    assert (row.deposit_pct, row.stop_pct, row.revision) == (30, 10, 1)


def test_a_fee_a_rate_or_a_margin_left_empty_is_none(luthier, draft):
    figures = dict.fromkeys(("survey_fee", "tax_pct", "stop_pct", "deposit_pct"), "")

    luthier.post(at("edit", draft), sent(**figures))

    row = Estimate.objects.get()
    assert [getattr(row, name) for name in figures] == [Decimal(0)] * 4


def test_the_minutes_of_a_cost_are_none_also_when_nought_was_typed(luthier, draft):
    cost = {"o1l2-what": "outside", "o1l2-words": "x-ray", "o1l2-amount": "80"}
    luthier.post(
        at("edit", draft), sent(**cost, **{"o1l2-minutes_low": "0", "o1l2-is_sampling": "on"})
    )

    work, outside = Estimate.objects.get().options.get().lines.all()
    assert work.version is not None
    assert (work.kind, work.version.key, work.is_sampling) == ("work", "seam", False)
    assert (outside.kind, outside.version, outside.is_sampling) == ("outside", None, True)
    assert (outside.minutes_low, outside.minutes_high) == (None, None)


def test_a_cost_has_no_minutes_at_most_either(luthier, draft):
    cost = {"o1l2-what": "material", "o1l2-words": "gut", "o1l2-amount": "8"}

    page = words(luthier.post(at("edit", draft), sent(**cost, **{"o1l2-minutes_high": "5"})))

    assert "Minutes belong to work under a procedure." in page


@pytest.mark.parametrize(
    ("version", "state", "newest"), [(1, "replaced", False), (2, "issued", True)]
)
def test_a_version_is_shown_with_its_own_state(
    luthier, offer, case, armand, version, state, newest
):
    factories.estimate(case, by=armand)

    page = luthier.get(reverse("estimates:detail", args=[case.number, version]))

    assert page.context["line"].state.key == state
    assert page.context["is_newest"] is newest


@pytest.mark.parametrize(
    ("owners", "asked", "shown"),
    [
        ("fr", {}, "fr"),
        ("fr", {"language": "en"}, "en"),
        ("en", {"language": "de"}, "fr"),
    ],
)
def test_an_offer_speaks_the_language_that_is_asked_for_or_that_of_its_owner(
    luthier, case, armand, settings, owners, asked, shown
):
    settings.LANGUAGE_CODE = "fr"  # the house's own, for one that it does not speak
    row = factories.estimate(case, by=armand, issued=False)
    Client.objects.filter(pk=case.owner_id).update(language=owners)

    assert luthier.get(at("detail", row), asked).context["language"] == shown


def test_the_issue_is_told_and_speaks_the_language_that_was_sent(luthier, case, armand):
    draft = factories.estimate(case, by=armand, issued=False)
    factories.looked_over(case, by=armand)
    page = luthier.get(at("detail", draft), {"language": "fr"})

    said = {"language": "fr", "fingerprint": page.context["fingerprint"]}
    answer = luthier.post(at("issue", draft), said, follow=True)

    assert "Devis 2026-001 is issued." in words(answer)
    assert factories.paper_of(Estimate.objects.get()).language == "fr"


def test_who_may_only_look_writes_and_issues_nothing(client, offer, tom):
    client.force_login(tom)

    for name in ("edit", "issue", "withdraw"):
        assert client.post(at(name, offer)).status_code == 403
    assert client.post(reverse("estimates:new", args=[offer.case.number])).status_code == 403
    assert Estimate.objects.get().withdrawn_at is None
