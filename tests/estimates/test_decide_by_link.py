"""The owner’s decision by the link, two at once, and the traces that a decision leaves."""

from __future__ import annotations

from contextlib import ExitStack

import pytest
from django.utils import timezone, translation

from repairs.audit.models import LogEntry
from repairs.bench.deeds import deed_words
from repairs.estimates.consent.links import make_link
from repairs.estimates.consent.record import consent_sheet, issue_record
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.refusals import LinkSpentError
from repairs.press.actions import pdf_bytes
from repairs.treatment.models import AgreedWork
from tests import factories
from tests.beside import beside, shared_database
from tests.estimates.test_issue import text_of
from tests.estimates.words import spoken
from tests.outside.verapdf import validate


def test_a_decision_by_the_link_uses_it_up(seam_offer, case, armand):
    link, _token = make_link(seam_offer, by=armand, at=timezone.now())

    consent = factories.consent(seam_offer, by=None, how="link", link=link)

    assert (consent.noted_by, consent.link) == (None, link)
    assert ConsentLink.objects.get().used_at == consent.noted_at
    move = case.moves.last()
    assert (move.step, move.by) == ("agreed", armand)
    assert move.because == "consent 1 by the owner’s link"
    with pytest.raises(LinkSpentError):
        factories.consent(seam_offer, by=None, how="link", link=link)


def test_the_step_is_worded_in_the_language_of_the_house_not_of_the_owner(seam_offer, case, armand):
    link, _token = make_link(seam_offer, by=armand, at=timezone.now())

    with translation.override("fr"):
        factories.consent(seam_offer, by=None, how="link", link=link)

    assert case.moves.last().because == "consent 1 by the owner’s link"


def test_a_decision_closes_the_other_links_of_the_case(seam_offer, armand):
    first, _token = make_link(seam_offer, by=armand, at=timezone.now())
    other, _token = make_link(seam_offer, by=armand, at=timezone.now())

    factories.consent(seam_offer, by=None, how="link", link=first)

    assert ConsentLink.objects.get(pk=other.pk).revoked_at is not None
    assert ConsentLink.objects.get(pk=first.pk).revoked_at is None


@pytest.mark.share(3)
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("ways", "refused"),
    [
        (("link", "link"), {"spent"}),
        (("premises", "premises"), {"refused"}),
        (("telephone", "premises"), {"refused"}),
        (("link", "telephone"), {"spent", "refused"}),  # by whoever was slower
        (("link", "premises"), {"spent", "refused"}),
    ],
)
@pytest.mark.parametrize(
    "decisions", [("agreed", "agreed"), ("declined", "declined"), ("agreed", "declined")]
)
def test_of_two_who_decide_at_once_one_is_refused(tmp_path, decisions, ways, refused):
    armand = factories.person("armand", "luthier")
    factories.house()
    instrument = factories.instrument(factories.owner(by=armand), by=armand)
    offer = factories.estimate(factories.case(instrument, by=armand), by=armand)
    make_link(offer, by=armand, at=timezone.now())
    with shared_database(tmp_path) as database, ExitStack() as stack:
        both = [
            stack.enter_context(
                beside(
                    "tests.estimates.deciding:say",
                    decision,
                    way,
                    str(offer.pk),
                    database=database,
                    folder=tmp_path,
                )
            )
            for decision, way in zip(decisions, ways, strict=True)
        ]
        for one in both:
            one.hear()
        for one in both:
            one.go()
        first, second = sorted(one.end() for one in both)

        assert first == "noted"
        assert second in refused
        agreed = Consent.objects.get().decision == "agreed"
        assert AgreedWork.objects.count() == agreed
        assert ConsentLink.objects.filter(used_at=None, revoked_at=None).count() == 0


# Traces --------------------------------------------------------------------------------------


def test_the_log_tells_the_decision_and_no_name(seam_offer, case, armand):
    factories.consent(seam_offer, by=armand)

    lines = LogEntry.objects.filter(subject=case.log_key).order_by("seq")
    verbs = [line.verb for line in lines]
    assert verbs[-3:] == ["work.agreed", "case.moved", "consent.given"]
    last = lines[len(verbs) - 1]
    assert deed_words(last.verb, last.details) == "noted the owner’s decision 1: agreed"
    assert "Garance" not in str([line.details for line in lines])


def test_the_work_is_told_with_what_it_rests_on(seam_offer, case, armand):
    factories.consent(seam_offer, by=armand)

    line = LogEntry.objects.get(verb="work.agreed")
    assert deed_words(line.verb, line.details) == "noted agreed work 1 (consent of the owner)"


@pytest.mark.real_press
def test_the_record_says_who_agreed_to_what(seam_offer, armand, tmp_path):
    consent = factories.consent(seam_offer, by=armand)

    paper = issue_record(consent, by=armand, at=timezone.now())

    path = tmp_path / "record.pdf"
    path.write_bytes(pdf_bytes(paper))
    text = text_of(path.read_bytes())
    for words in (
        "Consent record 2026-001, decision 1",
        "Agreed · Option 1: the minimum that keeps it safe",
        "Garance Ollivant (owner)",
        "The seam of a test",
        "At the heel; for finding 1 (crack, soundboard)",
        "Glue: 10.00 EUR",
        "84.00 – 120.00 EUR",
        seam_offer.paper.code,
        seam_offer.paper.sha256,
    ):
        assert words in text
    assert "<path" in paper.data["content"]["signature"]
    assert validate([path])["record.pdf"] == {"3a": [], "ua1": []}


def test_the_record_of_a_telephone_call_has_its_words(seam_offer, armand):
    consent = factories.consent(seam_offer, by=armand, **spoken())

    body = consent_sheet(consent, made_at=timezone.now()).body

    assert (body.words, body.confirmation) == ("“Do the first one.”", "message of the same day")
    assert not body.signed_by_typing
    assert body.signature == ""


def test_the_record_names_what_cannot_be_undone(grave_offer, armand):
    consent = factories.consent(grave_offer, by=armand, irreversible_agreed=True)

    body = consent_sheet(consent, made_at=timezone.now()).body

    assert body.irreversible == ("The turning of a test",)


def test_the_record_of_a_refusal_names_no_option(seam_offer, armand):
    consent = factories.consent(seam_offer, by=armand, decision="declined", option=None)

    body = consent_sheet(consent, made_at=timezone.now()).body

    assert (body.is_agreed, body.option, body.works, body.sums) == (False, "", (), ())
