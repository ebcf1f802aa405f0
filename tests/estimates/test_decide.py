"""The owner's decision: what it writes, and all that is refused."""

from __future__ import annotations

import datetime as dt
from contextlib import ExitStack
from decimal import Decimal

import pytest
from django.utils import timezone, translation

from repairs.audit.models import LogEntry
from repairs.bench.deeds import deed_words
from repairs.cases import actions as case_actions
from repairs.cases.models import Case
from repairs.cases.refusals import StepOrderError
from repairs.estimates.actions import LineWish, OptionWish, withdraw_estimate
from repairs.estimates.consent.decide import agreed_hash
from repairs.estimates.consent.links import make_link
from repairs.estimates.consent.record import consent_sheet, issue_record
from repairs.estimates.models import Consent, ConsentLink, Estimate
from repairs.estimates.refusals import ConsentRefusedError, LinkSpentError
from repairs.people.models import House
from repairs.press.actions import pdf_bytes
from repairs.treatment.models import AgreedWork, Intervention
from tests import factories
from tests.beside import beside, shared_database
from tests.estimates.test_issue import text_of
from tests.outside.verapdf import validate


@pytest.fixture
def offer(house, case, finding, armand) -> Estimate:
    """One option: a seam and its material; 72.00 to 108.00 and 12.00 with tax."""
    lines = [
        factories.work_line("seam", findings=[finding], words="at the heel"),
        LineWish(kind="material", words="glue", amount=Decimal("10")),
    ]
    return factories.estimate(case, OptionWish(kind="safe", lines=lines), by=armand)


@pytest.fixture
def grave_offer(house, case, finding, armand) -> Estimate:
    """One option, with something that cannot be undone."""
    lines = [factories.work_line("turning", findings=[finding], minutes_high=120)]
    return factories.estimate(case, OptionWish(kind="safe", lines=lines), by=armand)


def spoken(**otherwise):
    return {
        "how": "telephone",
        "signature": [],
        "words": "“Do the first one.”",
        "confirmation": "message of the same day",
    } | otherwise


def test_an_agreement_on_the_premises_writes_the_work_and_moves_the_case(
    offer, case, finding, armand
):
    consent = factories.consent(offer, by=armand)

    work = AgreedWork.objects.get()
    assert (work.basis, work.reference) == ("consent", f"consent:{consent.pk}")
    assert (work.version.key, work.title) == ("seam", "at the heel")
    assert list(work.findings.all()) == [finding]
    assert (work.ceiling, work.stop_at, work.hourly_rate, work.currency) == (
        Decimal("120.00"),
        Decimal("120.00"),
        Decimal("60.00"),
        "EUR",
    )
    assert (work.agreed_name, work.noted_by) == ("Garance Ollivant", armand)
    assert work.content_hash == agreed_hash(consent)
    assert Case.objects.get(pk=case.pk).step == "agreed"


def test_what_was_shown_is_kept_with_its_time_and_hash(offer, armand):
    consent = factories.consent(offer, by=armand)

    assert consent.shown == offer.paper.data
    assert consent.shown_sha256 == offer.paper.sha256
    assert consent.signature == factories.SIGNATURE
    assert consent.said_at == consent.noted_at


def test_a_decision_is_never_rewritten(offer, armand):
    consent = factories.consent(offer, by=armand)

    consent.name = "Somebody Else"
    with pytest.raises(TypeError, match="never rewritten"):
        consent.save()


def test_declined_writes_no_work_and_moves_nothing(offer, case, armand):
    consent = factories.consent(offer, by=armand, decision="declined", option=None, signature=[])

    assert consent.option is None
    assert not AgreedWork.objects.exists()
    assert Case.objects.get(pk=case.pk).step == "looked_over"


def test_a_later_consent_replaces_work_that_is_not_begun(offer, case, armand):
    factories.consent(offer, by=armand)
    begun = AgreedWork.objects.get()
    Intervention.objects.create(
        case=case,
        number=1,
        agreed=begun,
        version=begun.version,
        opened_at=timezone.now(),
        opened_by=armand,
    )
    wider = OptionWish(kind="full", lines=[factories.work_line(), factories.work_line("cleats")])
    second = factories.estimate(case, wider, by=armand)
    factories.consent(second, by=armand)
    third = factories.estimate(case, by=armand)

    consent = factories.consent(third, by=armand)

    assert consent.number == 3
    live = AgreedWork.objects.live()
    assert {work.reference for work in live} == {begun.reference, f"consent:{consent.pk}"}
    assert AgreedWork.objects.exclude(superseded_at=None).count() == 2


def test_a_decision_when_the_work_goes_on_leaves_the_step_alone(offer, case, armand):
    factories.consent(offer, by=armand)
    case_actions.move(case, "on_bench", because="", by=armand, at=timezone.now())
    more = factories.estimate(case, by=armand)

    factories.consent(more, by=armand)

    assert Case.objects.get(pk=case.pk).step == "on_bench"


def test_nothing_is_half_written_when_the_case_cannot_move(offer, case, armand):
    case_actions.move(case, "taken_in", because="looked again", by=armand, at=timezone.now())
    lines = LogEntry.objects.count()

    with pytest.raises(StepOrderError):
        factories.consent(offer, by=armand)

    assert not Consent.objects.exists()
    assert not AgreedWork.objects.exists()
    assert LogEntry.objects.count() == lines


def test_a_link_that_could_not_be_followed_through_is_not_used_up(offer, case, armand):
    link, _token = make_link(offer, by=armand, at=timezone.now())
    case_actions.move(case, "taken_in", because="looked again", by=armand, at=timezone.now())

    with pytest.raises(StepOrderError):
        factories.consent(offer, by=None, how="link", link=link)

    assert ConsentLink.objects.get().used_at is None


# Who -----------------------------------------------------------------------------------------


def test_the_contact_of_an_institution_may_decide(offer, case, armand):
    case.owner.contact = "Ysoline Fauvette"
    case.owner.save()

    consent = factories.consent(offer, by=armand, name="ysoline  FAUVETTE")

    assert consent.name == "ysoline  FAUVETTE"


def test_who_brought_it_decides_only_when_they_may(offer, case, armand):
    Case.objects.filter(pk=case.pk).update(bringer_name="Odon Perrachon")

    with pytest.raises(ConsentRefusedError, match="may not agree to work and cost"):
        factories.consent(offer, by=armand, name="Odon Perrachon", may_decide=True)
    Case.objects.filter(pk=case.pk).update(bringer_may_agree=True)

    assert factories.consent(offer, by=armand, name="Odon Perrachon").decision == "agreed"


def test_another_name_needs_the_word_that_they_may_decide(offer, armand):
    with pytest.raises(ConsentRefusedError, match="not the name of the owner"):
        factories.consent(offer, by=armand, name="Odon Perrachon")

    assert factories.consent(offer, by=armand, name="Odon Perrachon", may_decide=True).pk


def test_nobody_decides_without_a_name(offer, armand):
    with pytest.raises(ConsentRefusedError, match="name of the person"):
        factories.consent(offer, by=armand, name="  ", may_decide=True)


# How -----------------------------------------------------------------------------------------


def test_a_name_typed_again_signs_as_well(offer, armand):
    consent = factories.consent(offer, by=armand, signature=[], signed_name="garance ollivant")

    assert consent.signature == []


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"signature": []}, "not signed"),
        ({"signature": [], "signed_name": "Odon"}, "not signed"),
        ({"signature": [[[0.1, 0.1], [0.11, 0.1]]]}, "cannot be read"),
        ({"signature": [[[0.1, 7], [0.9, 0.1]]]}, "cannot be read"),
        ({"option": None}, "no option"),
    ],
)
def test_what_is_not_signed_or_not_chosen_is_refused(offer, armand, said, why):
    with pytest.raises(ConsentRefusedError, match=why):
        factories.consent(offer, by=armand, **said)

    assert not Consent.objects.exists()


def test_an_option_of_another_version_is_refused(offer, case, armand):
    second = factories.estimate(case, by=armand)

    with pytest.raises(ConsentRefusedError, match="no option of this version"):
        factories.consent(second, by=armand, option=offer.options.get())


def test_a_small_job_may_be_agreed_to_by_telephone(offer, armand):
    said_at = timezone.now()

    consent = factories.consent(offer, by=armand, **spoken(said_at=said_at))

    assert (consent.how, consent.words) == ("telephone", "“Do the first one.”")
    assert (consent.said_at, consent.noted_by) == (said_at, armand)
    assert AgreedWork.objects.get().ceiling == Decimal("120.00")


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"words": " "}, "words that were said"),
        ({"confirmation": ""}, "confirmation was sent"),
        ({"said_at": timezone.now() + dt.timedelta(days=1)}, "in the future"),
        ({"said_at": timezone.now() - dt.timedelta(days=1)}, "before this version was issued"),
    ],
)
def test_what_was_said_is_noted_whole(offer, armand, said, why):
    with pytest.raises(ConsentRefusedError, match=why):
        factories.consent(offer, by=armand, **spoken(**said))


def test_a_refusal_by_telephone_needs_no_confirmation(offer, armand):
    said = spoken(decision="declined", option=None, confirmation="")

    assert factories.consent(offer, by=armand, **said).decision == "declined"


def test_above_the_limit_of_the_house_word_of_mouth_is_not_enough(offer, armand):
    House.objects.update(spoken_consent_most=Decimal("119.99"))

    with pytest.raises(ConsentRefusedError, match=r"above 119\.99"):
        factories.consent(offer, by=armand, **spoken(how="message"))
    House.objects.update(spoken_consent_most=Decimal("120.00"))

    assert factories.consent(offer, by=armand, **spoken(how="message")).pk


def test_it_is_the_ceiling_that_counts_not_the_upper_total(house, case, armand):
    wish = OptionWish(kind="safe", ceiling=Decimal("301"), lines=[factories.work_line()])
    offer = factories.estimate(case, wish, by=armand)

    with pytest.raises(ConsentRefusedError, match=r"above 300\.00"):
        factories.consent(offer, by=armand, **spoken())


def test_what_cannot_be_undone_is_not_agreed_to_by_telephone(grave_offer, armand):
    with pytest.raises(ConsentRefusedError, match="word of mouth is not enough"):
        factories.consent(grave_offer, by=armand, **spoken(irreversible_agreed=True))


def test_a_sample_is_not_agreed_to_by_message(house, case, armand):
    wish = OptionWish(kind="safe", lines=[factories.work_line(is_sampling=True)])
    offer = factories.estimate(case, wish, by=armand)

    with pytest.raises(ConsentRefusedError, match="samples"):
        factories.consent(offer, by=armand, **spoken(how="message", irreversible_agreed=True))


def test_what_cannot_be_undone_is_agreed_to_by_itself(grave_offer, armand):
    with pytest.raises(ConsentRefusedError, match="by itself"):
        factories.consent(grave_offer, by=armand)

    consent = factories.consent(grave_offer, by=armand, irreversible_agreed=True)

    assert consent.irreversible_agreed
    assert AgreedWork.objects.get().irreversible_agreed


def test_the_tick_means_nothing_where_everything_can_be_undone_or_nothing_is_agreed(
    grave_offer, armand
):
    consent = factories.consent(
        grave_offer, by=armand, decision="declined", option=None, irreversible_agreed=True
    )

    assert not consent.irreversible_agreed


# When ----------------------------------------------------------------------------------------


def test_a_draft_cannot_be_agreed_to(house, case, armand):
    draft = factories.estimate(case, by=armand, issued=False)

    with pytest.raises(ConsentRefusedError, match="not issued yet"):
        factories.consent(draft, by=armand)


def test_a_replaced_version_cannot_be_agreed_to(offer, case, armand):
    factories.estimate(case, by=armand)

    with pytest.raises(ConsentRefusedError, match="version 2 replaces it"):
        factories.consent(offer, by=armand)


def test_a_draft_of_the_next_version_replaces_nothing(offer, case, armand):
    factories.estimate(case, by=armand, issued=False)

    assert factories.consent(offer, by=armand).pk


def test_a_withdrawn_offer_cannot_be_agreed_to(offer, armand):
    withdraw_estimate(offer, by=armand, at=timezone.now())

    with pytest.raises(ConsentRefusedError, match="withdrawn"):
        factories.consent(offer, by=armand)


def test_a_lapsed_offer_cannot_be_agreed_to(offer, armand, today):
    Estimate.objects.update(valid_until=today)
    assert factories.consent(offer, by=armand).pk
    Estimate.objects.update(valid_until=today - dt.timedelta(days=1))

    with pytest.raises(ConsentRefusedError, match="valid until"):
        factories.consent(offer, by=armand)


def test_nothing_is_agreed_to_when_the_stay_has_ended(offer, case, armand):
    case_actions.end_unworked(case, because="too dear", by=armand, at=timezone.now())
    offer.case.refresh_from_db()

    with pytest.raises(ConsentRefusedError, match="stay has ended"):
        factories.consent(offer, by=armand)


# The link ------------------------------------------------------------------------------------


def test_a_decision_by_the_link_uses_it_up(offer, case, armand):
    link, _token = make_link(offer, by=armand, at=timezone.now())

    consent = factories.consent(offer, by=None, how="link", link=link)

    assert (consent.noted_by, consent.link) == (None, link)
    assert ConsentLink.objects.get().used_at == consent.noted_at
    move = case.moves.last()
    assert (move.step, move.by) == ("agreed", armand)
    assert move.because == "consent 1 by the owner’s link"
    with pytest.raises(LinkSpentError):
        factories.consent(offer, by=None, how="link", link=link)


def test_the_step_is_worded_in_the_language_of_the_house_not_of_the_owner(offer, case, armand):
    link, _token = make_link(offer, by=armand, at=timezone.now())

    with translation.override("fr"):
        factories.consent(offer, by=None, how="link", link=link)

    assert case.moves.last().because == "consent 1 by the owner’s link"


def test_a_decision_closes_the_other_links_of_the_case(offer, armand):
    first, _token = make_link(offer, by=armand, at=timezone.now())
    other, _token = make_link(offer, by=armand, at=timezone.now())

    factories.consent(offer, by=None, how="link", link=first)

    assert ConsentLink.objects.get(pk=other.pk).revoked_at is not None
    assert ConsentLink.objects.get(pk=first.pk).revoked_at is None


@pytest.mark.django_db(transaction=True)
def test_of_two_who_decide_at_once_by_the_same_link_one_is_refused(tmp_path):
    armand = factories.person("armand", "luthier")
    factories.house()
    instrument = factories.instrument(factories.owner(by=armand), by=armand)
    offer = factories.estimate(factories.case(instrument, by=armand), by=armand)
    link, _token = make_link(offer, by=armand, at=timezone.now())
    function = "tests.estimates.deciding:agree_by_link"

    with shared_database(tmp_path) as address, ExitStack() as stack:
        both = [
            stack.enter_context(beside(function, str(link.pk), database=address, folder=tmp_path))
            for _number in range(2)
        ]
        for one in both:
            one.hear()
        for one in both:
            one.go()
        answers = sorted(one.end() for one in both)

        assert answers == ["agreed", "spent"]
        assert Consent.objects.count() == 1
        assert AgreedWork.objects.count() == 1


# Traces --------------------------------------------------------------------------------------


def test_the_log_tells_the_decision_and_no_name(offer, case, armand):
    factories.consent(offer, by=armand)

    lines = LogEntry.objects.filter(subject=case.log_key).order_by("seq")
    verbs = [line.verb for line in lines]
    assert verbs[-3:] == ["work.agreed", "case.moved", "consent.given"]
    last = lines[len(verbs) - 1]
    assert deed_words(last.verb, last.details) == "noted the owner’s decision 1: agreed"
    assert "Garance" not in str([line.details for line in lines])


def test_the_work_is_told_with_what_it_rests_on(offer, case, armand):
    factories.consent(offer, by=armand)

    line = LogEntry.objects.get(verb="work.agreed")
    assert deed_words(line.verb, line.details) == "noted agreed work 1 (consent of the owner)"


@pytest.mark.real_press
def test_the_record_says_who_agreed_to_what(offer, armand, tmp_path):
    consent = factories.consent(offer, by=armand)

    paper = issue_record(consent, by=armand, at=timezone.now())

    path = tmp_path / "record.pdf"
    path.write_bytes(pdf_bytes(paper))
    text = text_of(path.read_bytes())
    for words in (
        "Consent record 2026-001, decision 1",
        "Agreed · Option 1: the minimum that keeps it safe",
        "Garance Ollivant (owner)",
        "The seam of a test",
        "at the heel; for finding 1 (crack, soundboard)",
        "Glue: 10.00 EUR",
        "84.00 – 120.00 EUR",
        offer.paper.code,
        offer.paper.sha256,
    ):
        assert words in text
    assert "<path" in paper.data["content"]["signature"]
    assert validate([path])["record.pdf"] == {"3a": [], "ua1": []}


def test_the_record_of_a_telephone_call_has_its_words(offer, armand):
    consent = factories.consent(offer, by=armand, **spoken())

    body = consent_sheet(consent, made_at=timezone.now()).body

    assert (body.words, body.confirmation) == ("“Do the first one.”", "message of the same day")
    assert not body.signed_by_typing
    assert body.signature == ""


def test_the_record_names_what_cannot_be_undone(grave_offer, armand):
    consent = factories.consent(grave_offer, by=armand, irreversible_agreed=True)

    body = consent_sheet(consent, made_at=timezone.now()).body

    assert body.irreversible == ("The turning of a test",)


def test_the_record_of_a_refusal_names_no_option(offer, armand):
    consent = factories.consent(offer, by=armand, decision="declined", option=None)

    body = consent_sheet(consent, made_at=timezone.now()).body

    assert (body.is_agreed, body.option, body.works, body.sums) == (False, "", (), ())
