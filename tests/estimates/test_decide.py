"""The owner’s decision: what it writes, and who may take it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases import actions as case_actions
from repairs.cases.models import Case
from repairs.cases.refusals import StepOrderError
from repairs.estimates.consent.decide import agreed_hash
from repairs.estimates.consent.links import make_link
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.refusals import ConsentRefusedError
from repairs.estimates.wishes import OptionWish
from repairs.treatment.models import AgreedWork, Intervention
from tests import factories


def test_an_agreement_on_the_premises_writes_the_work_and_moves_the_case(
    seam_offer, case, finding, armand
):
    consent = factories.consent(seam_offer, by=armand)

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


def test_what_was_shown_is_kept_with_its_time_and_hash(seam_offer, armand):
    consent = factories.consent(seam_offer, by=armand)

    assert consent.shown == seam_offer.paper.data
    assert consent.shown_sha256 == seam_offer.paper.sha256
    assert consent.signature == factories.SIGNATURE
    assert consent.said_at == consent.noted_at


def test_a_decision_is_never_rewritten(seam_offer, armand):
    consent = factories.consent(seam_offer, by=armand)

    consent.name = "Somebody Else"
    with pytest.raises(TypeError, match="never rewritten"):
        consent.save()


def test_declined_writes_no_work_and_moves_nothing(seam_offer, case, armand):
    consent = factories.consent(
        seam_offer, by=armand, decision="declined", option=None, signature=[]
    )

    assert consent.option is None
    assert not AgreedWork.objects.exists()
    assert Case.objects.get(pk=case.pk).step == "looked_over"


def test_a_later_consent_replaces_work_that_is_not_begun(seam_offer, case, armand):
    factories.consent(seam_offer, by=armand)
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


def test_a_decision_when_the_work_goes_on_leaves_the_step_alone(seam_offer, case, armand):
    factories.consent(seam_offer, by=armand)
    case_actions.move(case, "on_bench", because="", by=armand, at=timezone.now())
    more = factories.estimate(case, by=armand)

    factories.consent(more, by=armand)

    assert Case.objects.get(pk=case.pk).step == "on_bench"


def test_nothing_is_half_written_when_the_case_cannot_move(seam_offer, case, armand):
    case_actions.move(case, "taken_in", because="looked again", by=armand, at=timezone.now())
    lines = LogEntry.objects.count()

    with pytest.raises(StepOrderError):
        factories.consent(seam_offer, by=armand)

    assert not Consent.objects.exists()
    assert not AgreedWork.objects.exists()
    assert LogEntry.objects.count() == lines


def test_a_link_that_could_not_be_followed_through_is_not_used_up(seam_offer, case, armand):
    link, _token = make_link(seam_offer, by=armand, at=timezone.now())
    case_actions.move(case, "taken_in", because="looked again", by=armand, at=timezone.now())

    with pytest.raises(StepOrderError):
        factories.consent(seam_offer, by=None, how="link", link=link)

    assert ConsentLink.objects.get().used_at is None


# Who -----------------------------------------------------------------------------------------


def test_the_contact_of_an_institution_may_decide(seam_offer, case, armand):
    case.owner.contact = "Ysoline Fauvette"
    case.owner.save()

    consent = factories.consent(seam_offer, by=armand, name="ysoline  FAUVETTE")

    assert consent.name == "ysoline  FAUVETTE"


def test_who_brought_it_decides_only_when_they_may(seam_offer, case, armand):
    Case.objects.filter(pk=case.pk).update(bringer_name="Odon Perrachon")

    with pytest.raises(ConsentRefusedError, match="may not agree to work and cost"):
        factories.consent(seam_offer, by=armand, name="Odon Perrachon", may_decide=True)
    Case.objects.filter(pk=case.pk).update(bringer_may_agree=True)

    assert factories.consent(seam_offer, by=armand, name="Odon Perrachon").decision == "agreed"


def test_another_name_needs_the_word_that_they_may_decide(seam_offer, armand):
    with pytest.raises(ConsentRefusedError, match="not the name of the owner"):
        factories.consent(seam_offer, by=armand, name="Odon Perrachon")

    assert factories.consent(seam_offer, by=armand, name="Odon Perrachon", may_decide=True).pk


def test_nobody_decides_without_a_name(seam_offer, armand):
    with pytest.raises(ConsentRefusedError, match="name of the person"):
        factories.consent(seam_offer, by=armand, name="  ", may_decide=True)
