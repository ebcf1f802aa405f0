"""The pages of an offer: looking at it, issuing it, its links."""

from __future__ import annotations

import re

from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.estimates.consent_models import ConsentLink
from repairs.press.models import Paper
from tests import factories
from tests.estimates.screens import at, words


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
    assert pdf.content.startswith(b"%PDF-")
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


def test_who_keeps_the_books_sees_but_is_offered_no_deed(client, offer, odile):
    client.force_login(odile)

    page = words(client.get(at("detail", offer)))

    assert "as in 1771" in page
    for deed in ("Here, signed", "Make a link", "Withdraw this offer"):
        assert deed not in page


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
