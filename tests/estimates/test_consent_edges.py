"""A decision at its edges: what the forms say of themselves, moments, sums, and who is held."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from repairs.estimates.consent import decide as deciding
from repairs.estimates.consent import links
from repairs.estimates.consent.decide import agreed_hash, decide
from repairs.estimates.consent.forms import SignedForm, SpokenForm
from repairs.estimates.consent.links import hash_of, link_address, link_of, make_link, revoke_links
from repairs.estimates.consent.said import Said
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.refusals import ConsentRefusedError, LinkSpentError
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.press.models import Paper
from repairs.procedures.procedure import content_hash
from repairs.treatment.models import AgreedWork
from tests import factories
from tests.estimates.words import spoken

NOON = dt.datetime(2030, 1, 15, 12, 0, 30, 500_000, tzinfo=dt.UTC)
SIGNED = {"choice": "1", "name": "Garance Ollivant", "signed_name": "Garance Ollivant"}


@pytest.fixture
def held(monkeypatch) -> list[int]:
    """The cases that were held, in the order in which they were asked for."""
    asked: list[int] = []
    for module in (links, deciding):
        monkeypatch.setattr(module, "locked_case", asked.append)
    return asked


# The forms -----------------------------------------------------------------------------------


def said_by(form: SignedForm) -> Any:
    assert form.is_valid(), form.errors
    return form.said("premises")


def test_a_decision_replaces_nothing_that_the_page_did_not_show(seam_offer, armand):
    said = said_by(SignedForm(SIGNED, estimate=seam_offer))
    factories.consent(seam_offer, by=armand, decision="declined", option=None)

    with pytest.raises(ConsentRefusedError, match="decision 1 stands already"):
        decide(seam_offer, said, by=armand, at=timezone.now())

    assert Consent.objects.get().decision == "declined"


def test_who_was_not_asked_about_what_cannot_be_undone_has_not_agreed_to_it(seam_offer, armand):
    form = SignedForm(SIGNED, estimate=seam_offer)

    consent = decide(seam_offer, said_by(form), by=armand, at=timezone.now())

    assert "irreversible_agreed" not in form.fields
    assert not consent.irreversible_agreed


@pytest.mark.parametrize(
    ("line", "asked"),
    [
        ({"key": "seam"}, False),
        ({"key": "turning"}, True),
        ({"key": "seam", "is_sampling": True}, True),
    ],
    ids=["can be undone", "cannot be undone", "a sample"],
)
def test_the_tick_is_asked_for_what_is_gone_for_good_and_for_a_sample(
    house, case, armand, line, asked
):
    wish = OptionWish(kind="safe", lines=[factories.work_line(**line)])
    offer = factories.estimate(case, wish, by=armand)

    assert ("irreversible_agreed" in SignedForm(estimate=offer).fields) == asked


def test_what_was_said_by_word_is_asked_in_the_order_of_a_call(seam_offer, armand):
    factories.consent(seam_offer, by=armand)

    assert list(SpokenForm(estimate=seam_offer).fields) == [
        "replaces",
        "how",
        "said_at",
        "name",
        "may_decide",
        "choice",
        "words",
        "confirmation",
    ]


@pytest.mark.parametrize(
    ("ahead", "kept"),
    [
        (dt.timedelta(minutes=-1), NOON - dt.timedelta(minutes=1)),
        (dt.timedelta(seconds=1), NOON),
        (dt.timedelta(minutes=2), NOON),  # as far as a clock of a page may be ahead
        (dt.timedelta(minutes=2, microseconds=1), None),
    ],
    ids=str,
)
def test_a_clock_a_little_ahead_says_now_and_no_later(seam_offer, monkeypatch, ahead, kept):
    monkeypatch.setattr(timezone, "now", lambda: NOON)
    form = SpokenForm(estimate=seam_offer)
    form.cleaned_data = {"said_at": NOON + ahead}

    if kept is not None:
        assert form.clean_said_at() == kept
    else:
        with pytest.raises(ValidationError, match="cannot have been said in the future"):
            form.clean_said_at()


# Moments -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said_at", "is_taken"),
    [
        (NOON.replace(second=0, microsecond=0), True),  # the page knows whole minutes only
        (NOON.replace(second=0, microsecond=0) - dt.timedelta(microseconds=1), False),
    ],
    ids=["in the minute of the issue", "just before"],
)
def test_what_was_said_in_the_minute_of_the_issue_was_said_of_it(
    seam_offer, armand, monkeypatch, said_at, is_taken
):
    Paper.objects.filter(pk=seam_offer.paper_id).update(issued_at=NOON)
    monkeypatch.setattr(timezone, "now", lambda: NOON + dt.timedelta(hours=1))
    type(seam_offer).objects.update(valid_until=dt.date(2030, 2, 1))

    if is_taken:
        assert factories.consent(seam_offer, by=armand, **spoken(said_at=said_at)).pk
    else:
        with pytest.raises(ConsentRefusedError, match="before this version was issued"):
            factories.consent(seam_offer, by=armand, **spoken(said_at=said_at))


def test_what_is_said_at_this_moment_is_not_in_the_future(seam_offer, armand):
    now = timezone.now()
    said = spoken(decision="declined", said_at=now, name=seam_offer.case.owner.name)

    consent = decide(seam_offer, Said(**said), by=armand, at=now)

    assert (consent.said_at, consent.noted_at) == (now, now)


# Sums and what they rest on ------------------------------------------------------------------


def test_the_costs_beside_work_are_agreed_each_by_its_kind(house, case, armand):
    lines = [
        factories.work_line("seam"),
        LineWish(kind="material", words="glue", amount=Decimal("10")),
        LineWish(kind="material", words="felt", amount=Decimal("4.50")),
        LineWish(kind="outside", words="turner", amount=Decimal("31")),
    ]
    offer = factories.estimate(
        case, OptionWish(kind="safe", lines=lines), by=armand, survey_fee=Decimal("25")
    )

    factories.consent(offer, by=armand)

    work = AgreedWork.objects.get()
    assert (work.material_costs, work.outside_costs, work.survey_fee, work.tax_pct) == (
        Decimal("14.50"),  # 10.00 + 4.50, before tax
        Decimal("31.00"),
        Decimal("25.00"),
        Decimal("20"),
    )


def test_the_work_is_sealed_to_the_option_that_was_chosen(offer, armand):
    consent = factories.consent(
        offer, by=armand, option=offer.options.get(position=2), irreversible_agreed=True
    )

    shown = offer.paper.data["content"]["options"][1]
    assert shown["title"] == "as in 1771"
    sealed = content_hash({"shown_sha256": offer.paper.sha256, "option": shown})
    assert agreed_hash(consent) == AgreedWork.objects.get().content_hash == sealed


def test_a_second_agreement_before_the_bench_leaves_the_case_where_it_is(seam_offer, case, armand):
    factories.consent(seam_offer, by=armand)
    moves = case.moves.count()

    assert factories.consent(seam_offer, by=armand).number == 2

    assert case.moves.count() == moves


def test_who_declines_but_ticked_an_option_has_chosen_none(seam_offer, armand):
    consent = factories.consent(seam_offer, by=armand, decision="declined")

    assert consent.option is None


# Links ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("longest", [True, False], ids=["100 letters", "101 letters"])
def test_a_token_has_at_most_a_hundred_letters(seam_offer, armand, longest):
    link, _token = make_link(seam_offer, by=armand, at=timezone.now())
    token = "t" * (100 if longest else 101)
    ConsentLink.objects.update(token_hash=hash_of(token))

    if longest:
        assert link_of(token, at=timezone.now()) == link
    else:
        with pytest.raises(LinkSpentError):
            link_of(token, at=timezone.now())


def test_the_address_is_the_houses_and_ends_with_the_token(settings):
    settings.SITE_ADDRESS = "https://casebook.example"

    assert link_address("abc").startswith("https://casebook.example/")
    assert link_address("abc").endswith("/consent/abc/")


def test_a_link_opens_until_its_moment_and_not_at_it(seam_offer, armand):
    link, token = make_link(seam_offer, days=1, by=armand, at=(now := timezone.now()))

    assert link_of(token, at=now + dt.timedelta(days=1, microseconds=-1)).pk == link.pk
    with pytest.raises(LinkSpentError):
        link_of(token, at=now + dt.timedelta(days=1))


def test_making_and_closing_a_link_and_deciding_hold_the_case(seam_offer, case, armand, held):
    make_link(seam_offer, by=armand, at=timezone.now())
    assert held == [case.pk]

    revoke_links(seam_offer, by=armand, at=timezone.now())
    assert held == [case.pk] * 2

    factories.consent(seam_offer, by=armand, decision="declined", option=None)
    assert held == [case.pk] * 3
