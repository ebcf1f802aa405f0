"""The screens on which an estimate is written, looked at, issued, and decided in the house."""

from __future__ import annotations

import html
import json
import re
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.estimates.actions import OptionWish, withdraw_estimate, write_estimate
from repairs.estimates.models import Consent, ConsentLink, Estimate
from repairs.press.models import Paper
from repairs.treatment.models import AgreedWork
from tests import factories

SHARED = {
    "valid_until": "2030-01-31",
    "hourly_rate": "60",
    "survey_fee": "",
    "tax_pct": "20",
    "tax_words": "",
    "stop_pct": "10",
    "deposit_pct": "",
    "intro": "",
    "seen": "0",
    "options": "3",
}


@pytest.fixture
def luthier(client: Browser, armand, house) -> Browser:
    client.force_login(armand)
    return client


@pytest.fixture
def draft(house, case, armand) -> Estimate:
    factories.procedure("seam")
    return write_estimate(case, by=armand, at=timezone.now())


@pytest.fixture
def offer(house, case, finding, armand) -> Estimate:
    grave = factories.work_line("turning", findings=[finding])
    options = (
        OptionWish(kind="safe", lines=[factories.work_line(findings=[finding])]),
        OptionWish(kind="full", title="as in 1771", lines=[grave]),
    )
    return factories.estimate(case, *options, by=armand)


def sent(**fields: Any) -> dict[str, Any]:
    """One option with one line of work; the two others left empty."""
    rows = {f"o{number}-lines": "2" for number in (1, 2, 3)}
    kinds = {"o1-kind": "safe", "o2-kind": "playable", "o3-kind": "full"}
    return {**SHARED, **rows, **kinds, "o1l1-what": "seam", **fields}


def at(name: str, row: Estimate) -> str:
    return reverse(f"estimates:{name}", args=[row.case.number, row.version])


def words(answer) -> str:
    return html.unescape(answer.content.decode())


# Writing -------------------------------------------------------------------------------------


def test_an_empty_list_offers_the_first_estimate(luthier, case):
    page = words(luthier.get(reverse("estimates:list", args=[case.number])))

    assert "Nothing is offered yet" in page
    assert "Write an estimate" in page


def test_an_instrument_of_the_house_is_told_that_it_needs_none(luthier, vielle, armand):
    case = factories.case(vielle, by=armand, reason="house")

    page = words(luthier.get(reverse("estimates:list", args=[case.number])))
    answer = luthier.post(reverse("estimates:new", args=[case.number]))

    assert "the principal agrees to its work in the case" in page
    assert "Write an estimate" not in page
    assert answer.status_code == 409


def test_a_new_version_is_opened_by_the_button(luthier, case):
    answer = luthier.post(reverse("estimates:new", args=[case.number]))

    assert answer["Location"] == at("edit", Estimate.objects.get())


def test_the_page_begins_with_the_three_usual_ways(luthier, draft):
    page = words(luthier.get(at("edit", draft)))

    for way in ("The minimum that keeps it safe", "Make it playable", "Full restoration"):
        assert f"· {way}</summary>" in page
    assert 'value="50' in page  # the rate of the house
    assert "The seam of a test (1\u00a0h – 1\u00a0h\u00a030)" in page


def test_what_is_typed_is_kept_with_comma_and_point(luthier, draft, finding):
    typed = sent(
        **{
            "hourly_rate": "62,50",
            "survey_fee": "40.5",
            "o1-ceiling": "250",
            "o1-risk": "It may open.",
            "o1l1-findings": ["1"],
            "o1l1-minutes_low": "30",
            "o1l1-minutes_high": "45",
            "o1l2-what": "material",
            "o1l2-words": "glue",
            "o1l2-amount": "8,40",
        }
    )

    answer = luthier.post(at("edit", draft), typed)

    assert answer["Location"] == at("detail", draft)
    row = Estimate.objects.get()
    option = row.options.get()
    work, glue = option.lines.all()
    assert (row.hourly_rate, row.survey_fee) == (Decimal("62.50"), Decimal("40.50"))
    assert (option.ceiling, option.risk) == (Decimal("250.00"), "It may open.")
    assert (work.minutes_low, work.minutes_high, list(work.findings.all())) == (30, 45, [finding])
    assert (glue.kind, glue.words, glue.amount) == ("material", "glue", Decimal("8.40"))


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ({}, (60, 90)),  # the usual minutes of the procedure
        ({"o1l1-minutes_low": "20"}, (20, 20)),
        ({"o1l1-minutes_high": "70"}, (70, 70)),
        ({"o1l1-amount": "99"}, (None, None)),
    ],
)
def test_minutes_left_empty_are_the_usual_ones(luthier, draft, typed, kept):
    luthier.post(at("edit", draft), sent(**typed))

    line = Estimate.objects.get().options.get().lines.get()
    assert (line.minutes_low, line.minutes_high) == kept


@pytest.mark.parametrize(
    ("typed", "minutes", "understood"),
    [
        ("1 h 30", 90, "“1 h 30” is 1\u00a0h\u00a030."),
        ("1h30", 90, "“1h30” is 1\u00a0h\u00a030."),
        ("1:30", 90, "“1:30” is 1\u00a0h\u00a030."),
        ("90 min", 90, "“90 min” is 1\u00a0h\u00a030."),
        ("1,5", 90, "“1,5” is 1\u00a0h\u00a030."),
        ("1.25 h", 75, "“1.25 h” is 1\u00a0h\u00a015."),
        ("2 heures", 120, "“2 heures” is 2\u00a0h."),
        ("90", 90, ""),
    ],
)
def test_minutes_may_be_typed_as_hours_and_the_page_says_what_it_understood(
    luthier, draft, typed, minutes, understood
):
    answer = luthier.post(at("edit", draft), sent(**{"o1l1-minutes_low": typed}), follow=True)

    line = Estimate.objects.get().options.get().lines.get()
    assert (line.minutes_low, line.minutes_high) == (minutes, minutes)
    assert understood in words(answer)
    assert ("” is " in words(answer)) is bool(understood)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"hourly_rate": ""}, "This field is required."),
        ({"hourly_rate": "soon"}, "“soon” is not a number"),
        ({"valid_until": "31 février"}, "Enter a valid date."),
        ({"tax_pct": "120"}, "More than 100 % is not possible here"),
        ({"o1l1-minutes_low": "90", "o1l1-minutes_high": "30"}, "At most is less than at least"),
        ({"o1l1-minutes_low": "-5"}, "Less than 0 min is not possible"),
        ({"o1l1-minutes_low": "1 h 75"}, "“1 h 75”: behind hours the minutes stay below 60."),
        ({"o1l1-minutes_low": "an hour"}, "“an hour” is not a duration"),
        ({"o1l2-words": "glue"}, "Say what it is"),
        ({"o1l2-what": "material", "o1l2-amount": "3"}, "Say which material or cost it is."),
        ({"o1l2-what": "outside", "o1l2-words": "x-ray"}, "Give the amount before tax."),
        (
            {
                "o1l2-what": "material",
                "o1l2-words": "a",
                "o1l2-amount": "1",
                "o1l2-minutes_low": "9",
            },
            "Minutes belong to work",
        ),
        ({"o1l1-what": "alchemy"}, "Select a valid choice."),
        ({"o1l1-findings": ["77"]}, "Select a valid choice."),
        ({"o2-kind": "alchemy", "o2-title": "x"}, "Select a valid choice."),
    ],
)
def test_what_cannot_be_is_said_and_what_was_typed_stays(luthier, draft, typed, said):
    answer = luthier.post(at("edit", draft), sent(**{"intro": "As we said.", **typed}))

    page = words(answer)
    assert answer.status_code == 200
    assert said in page
    assert "Nothing was saved yet" in page
    assert "As we said." in page
    assert Estimate.objects.get().revision == 0


def test_one_more_line_loses_nothing_and_judges_nothing(luthier, draft, finding):
    typed = sent(**{"o1l1-findings": ["1"], "hourly_rate": "soon", "more": "o1"})

    answer = luthier.post(at("edit", draft), typed)

    page = words(answer)
    assert answer.status_code == 200
    assert 'name="o1-lines" value="3"' in page
    assert 'name="o1l3-what"' in page
    assert 'value="soon"' in page
    assert "is not a number" not in page
    assert 'value="seam" selected' in page
    assert re.search(r'name="o1l1-findings" value="1"[^>]*checked', page)
    assert 'placeholder="60"' in page  # the usual minutes of the procedure chosen
    assert Estimate.objects.get().revision == 0


def test_one_more_option_comes_open(luthier, draft):
    page = words(luthier.post(at("edit", draft), sent(more="option")))

    assert 'name="options" value="4"' in page
    assert "One more option" not in page
    assert re.search(r"<details open><summary>Option 4", page)


@pytest.mark.parametrize("count", ["99999999999", "-3", "²", "", "x"])
def test_a_wrong_count_of_rows_is_borne(luthier, draft, count):
    answer = luthier.post(at("edit", draft), sent(**{"o1-lines": count, "more": "o1"}))

    assert answer.status_code == 200


def test_no_more_rows_than_a_page_bears(luthier, draft):
    page = words(luthier.post(at("edit", draft), sent(**{"o1-lines": "10", "more": "o1"})))

    assert 'name="o1-lines" value="10"' in page
    assert 'name="more" value="o1"' not in page


def test_a_kept_version_is_shown_as_it_was_typed(luthier, offer, case, armand):
    draft = factories.estimate(case, by=armand, issued=False)

    page = words(luthier.get(at("edit", draft)))

    assert 'value="seam" selected' in page
    assert 'name="o1l1-minutes_low" value="60"' in page


def test_when_somebody_was_faster_both_are_shown(luthier, draft, lise):
    theirs = sent(**{"intro": "Theirs.", "o1-title": "their way"})
    other = Browser()
    other.force_login(factories.person("basile", "luthier"))
    other.post(at("edit", draft), theirs)

    answer = luthier.post(at("edit", draft), sent(intro="Mine."))
    again = luthier.post(at("edit", draft), sent(intro="Mine.", seen="1"))

    page = words(answer)
    assert answer.status_code == 409
    assert "Basile Sautarel saved this" in page
    assert "their way" in page
    assert "Mine." in page
    assert re.search(r'name="seen" value="1"', page)
    assert again.status_code == 302
    assert Estimate.objects.get().intro == "Mine."


def test_an_issued_version_has_no_page_to_change_it(luthier, offer):
    assert luthier.get(at("edit", offer)).status_code == 409


# Looking and issuing -------------------------------------------------------------------------


def test_a_draft_shows_exactly_what_would_be_issued_then_issues_it(luthier, case, armand):
    draft = factories.estimate(case, by=armand, issued=False)
    factories.looked_over(case, by=armand)
    page = words(luthier.get(at("detail", draft)))
    fingerprint = re.search(r'name="fingerprint" value="(\w+)"', page)

    assert fingerprint is not None
    assert "72.00 – 108.00\u00a0EUR" in page
    assert "accountant" in page
    answer = luthier.post(at("issue", draft), {"language": "en", "fingerprint": fingerprint[1]})

    assert answer["Location"] == at("detail", draft)
    issued = words(luthier.get(at("detail", draft)))
    assert "issued, not decided" in issued
    assert "72.00 – 108.00\u00a0EUR" in issued
    assert "Here, signed" in issued


def test_a_draft_says_what_is_missing(luthier, draft):
    page = words(luthier.get(at("detail", draft)))

    assert "It offers nothing yet" in page
    assert "Issue exactly this" not in page


def test_an_outdated_preview_issues_nothing(luthier, case, armand):
    draft = factories.estimate(case, by=armand, issued=False)
    factories.looked_over(case, by=armand)

    answer = luthier.post(at("issue", draft), {"language": "en", "fingerprint": "0" * 64})

    assert answer.status_code == 409
    assert not Paper.objects.exists()


def test_the_preview_is_shown_in_the_language_that_is_chosen(luthier, draft, case, armand):
    factories.estimate(case, by=armand, issued=False)

    page = words(luthier.get(at("detail", draft), {"language": "fr"}))
    pdf = luthier.get(at("preview", draft), {"language": "fr"})

    assert 'lang="fr"' in page
    assert "72,00 – 108,00\u00a0EUR" in page
    assert pdf["Content-Type"] == "application/pdf"
    assert "no-store" in pdf["Cache-Control"]


def test_a_withdrawn_offer_says_so(luthier, offer):
    luthier.post(at("withdraw", offer))

    page = words(luthier.get(at("detail", offer)))
    assert "✕ withdrawn" in page
    assert "Here, signed" not in page
    assert "Make a new version" in page


def test_the_list_shows_every_version_with_its_state(luthier, offer, case, armand):
    factories.consent(offer, by=armand)
    factories.estimate(case, by=armand, issued=False)

    page = words(luthier.get(reverse("estimates:list", args=[case.number])))

    assert page.index("Version 2") < page.index("Version 1")
    assert "○ draft" in page
    assert "● agreed" in page
    assert "Go on writing" in page


def test_a_reader_sees_but_is_offered_no_deed(client, offer, tom):
    client.force_login(tom)

    page = words(client.get(at("detail", offer)))

    assert "as in 1771" in page
    for deed in ("Here, signed", "Make a link", "Withdraw this offer"):
        assert deed not in page


# Deciding in the house -----------------------------------------------------------------------


def test_the_owner_signs_on_the_premises(luthier, offer, case):
    signature = json.dumps(factories.SIGNATURE)
    shown = words(luthier.get(at("premises", offer)))
    said = {"choice": "1", "name": "Garance Ollivant", "signature": signature}

    answer = luthier.post(at("premises", offer), said)

    consent = Consent.objects.get()
    assert "1 · The minimum that keeps it safe · 72.00 – 108.00\u00a0EUR" in shown
    assert "None of them" in shown
    assert answer["Location"] == reverse("estimates:consent", args=[case.number, 1])
    assert (consent.how, consent.signature) == ("premises", factories.SIGNATURE)
    assert Case.objects.get(pk=case.pk).step == "agreed"
    assert "<path" in luthier.get(answer["Location"]).content.decode()


def test_the_owner_signs_by_typing_without_script(luthier, offer):
    said = {"choice": "1", "name": "Garance Ollivant", "signed_name": "Garance Ollivant"}

    luthier.post(at("premises", offer), said)

    page = words(luthier.get(Consent.objects.get().get_absolute_url()))
    assert "Signed by typing the name: Garance Ollivant" in page


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"name": ""}, "This field is required."),
        ({"choice": "1", "name": "Garance Ollivant"}, "not signed"),
        ({"choice": "1", "name": "Garance Ollivant", "signature": "{"}, "Sign again."),
        ({"choice": "9", "name": "Garance Ollivant"}, "Select a valid choice."),
        ({"choice": "2", "name": "Odon", "signed_name": "Odon"}, "not the name of the owner"),
        (
            {"choice": "2", "name": "Garance Ollivant", "signed_name": "Garance Ollivant"},
            "must be agreed to by itself",
        ),
    ],
)
def test_a_decision_that_cannot_be_noted_is_mended_on_the_page(luthier, offer, said, why):
    answer = luthier.post(at("premises", offer), said)

    assert answer.status_code == 200
    assert why in words(answer)
    assert not Consent.objects.exists()


def test_the_owner_declines(luthier, offer):
    luthier.post(at("premises", offer), {"choice": "declined", "name": "Garance Ollivant"})

    assert Consent.objects.get().decision == "declined"
    assert not AgreedWork.objects.exists()


def test_the_list_of_problems_says_in_which_option_and_line(luthier, draft):
    typed = {"o1l1-minutes_high": "soon", "o1l2-words": "glue", "o1-ceiling": "much"}

    page = words(luthier.post(at("edit", draft), sent(**typed)))

    assert "Option 1, line 1 · minutes, at most</a>" in page
    assert "Option 1, line 2 · work, material or cost</a>" in page
    assert "Option 1 · ceiling, tax included</a>" in page


def test_what_was_said_by_telephone_is_noted(luthier, offer):
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    said = {
        "how": "telephone",
        "said_at": now,
        "name": "Garance Ollivant",
        "choice": "1",
        "words": "“The first.”",
        "confirmation": "e-mail of today",
    }
    shown = words(luthier.get(at("spoken", offer)))

    luthier.post(at("spoken", offer), said)

    page = words(luthier.get(Consent.objects.get().get_absolute_url()))
    assert "at most 300.00\u00a0EUR" in shown
    assert "irreversible_agreed" not in shown
    for kept in ("By telephone", "“The first.”", "e-mail of today"):
        assert kept in page


def test_what_no_word_can_agree_to_is_marked_and_refused_before_anything_is_asked(luthier, offer):
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    said = {"how": "telephone", "said_at": now, "name": "Garance Ollivant", "choice": "2"}
    shown = words(luthier.get(at("spoken", offer)))

    page = words(luthier.post(at("spoken", offer), said | {"words": "“The second.”"}))

    assert shown.count("needs a signature or the link") == 1
    assert "Work that cannot be undone, and samples, need a signature" in page
    assert "confirmation was sent" not in page
    assert not Consent.objects.exists()


def test_a_future_call_is_refused(luthier, offer):
    said = {"how": "telephone", "said_at": "2099-01-01T10:00", "choice": "declined"}

    page = words(luthier.post(at("spoken", offer), said))

    assert "cannot have been said in the future" in page


def test_nothing_is_decided_about_a_withdrawn_offer(luthier, offer, armand):
    withdraw_estimate(offer, by=armand, at=timezone.now())

    for name in ("premises", "spoken"):
        answer = luthier.get(at(name, offer), follow=True)
        assert "was withdrawn" in words(answer)


def test_the_link_is_shown_once_with_its_letter(luthier, offer):
    answer = luthier.post(at("link", offer), follow=True)

    page = words(answer)
    token = re.search(r"/consent/([\w-]{40,})/", page)
    assert token is not None
    assert "mailto:garance@example.org?subject=Estimate%202026-001" in page
    assert "no-store" in answer["Cache-Control"]
    assert token[1] not in str(list(ConsentLink.objects.values()))
    assert token[1] not in words(luthier.get(at("detail", offer)))


def test_loading_the_page_of_a_new_link_again_makes_no_second(luthier, offer):
    luthier.post(at("link", offer))
    first = luthier.get(at("link_shown", offer))

    again = luthier.get(at("link_shown", offer), follow=True)

    assert "/consent/" in words(first)
    assert "A link is shown once" in words(again)
    assert "/consent/" not in words(again)
    assert ConsentLink.objects.count() == 1
    assert "new_consent_link" not in luthier.session


def test_withdrawing_says_what_it_does_and_closes_the_links(luthier, offer):
    luthier.post(at("link", offer))
    page = words(luthier.get(at("detail", offer)))

    answer = luthier.post(at("withdraw", offer), follow=True)

    assert "Its links open nothing any more" in page
    assert "The offer is withdrawn" in words(answer)
    assert ConsentLink.objects.get().revoked_at is not None
    assert LogEntry.objects.filter(verb="estimate.withdrawn").exists()


def test_links_are_listed_and_closed(luthier, offer):
    luthier.post(at("link", offer))
    before = words(luthier.get(at("detail", offer)))

    luthier.post(at("revoke", offer))

    assert "not opened yet" in before
    assert "◐ open until" in before
    assert "✕ closed" in words(luthier.get(at("detail", offer)))


def test_the_record_is_previewed_and_issued(luthier, offer, case, armand):
    consent = factories.consent(offer, by=armand)
    place = [case.number, consent.number]

    preview = luthier.get(reverse("estimates:record_preview", args=place))
    answer = luthier.post(reverse("estimates:record", args=place))

    paper = Paper.objects.get(kind="consent_record")
    assert preview["Content-Type"] == "application/pdf"
    assert answer["Location"] == reverse("papers:detail", args=[paper.uuid])
    assert paper.data["content"]["estimate_sha256"] == consent.shown_sha256


def test_the_record_of_an_earlier_decision_is_not_issued_after_a_later_one(
    luthier, offer, case, armand
):
    first = factories.consent(offer, by=armand, decision="declined", option=None)
    factories.consent(offer, by=armand)

    answer = luthier.post(reverse("estimates:record", args=[case.number, first.number]))

    assert answer.status_code == 409
    assert not Paper.objects.filter(kind="consent_record").exists()
