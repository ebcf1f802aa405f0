"""One flow for every paper of a case: what it lacks, what it will say, preview, issue, versions."""

from __future__ import annotations

import pypdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.papers import actions
from repairs.papers.kinds import KINDS, compile_paper, paper_offers
from repairs.papers.needs.kind import known
from repairs.papers.needs.refusals import PaperEmptyError
from repairs.people.access import DEEDS
from repairs.press.models import Paper, PaperDraft
from repairs.press.render import render
from tests import factories
from tests.outside.verapdf import validate
from tests.papers import working
from tests.papers.conftest import NOW, going, issued, sheet
from tests.readings import samples

IN_ORDER = [
    "condition_report",
    "treatment_report",
    "setup_sheet",
    "removed_parts",
    "material_statement",
    "care_sheet",
    "return_receipt",
]
LUTHIER_ISSUES = ["setup_sheet", "removed_parts", "care_sheet", "return_receipt"]


@pytest.fixture
def whole(case, work, finding, armand):
    """A case of which every paper can be made."""
    working.pictured(case, finding, by=armand)
    case.instrument.parts.filter(key="pegs").update(material="rosewood_unknown")
    for gauge in ("string_set", "wheel", "correction", "action", "voicing_card", "dog_card"):
        samples.reading(case, by=armand, gauge=gauge, phase="after", taken_at=working.AFTER)
    samples.reading(case, by=armand, gauge="climate_log", taken_at=working.BEFORE)
    going(case, armand)
    return case


def address(case, kind, name="make"):
    return reverse(f"papers:{name}", args=[case.number, kind])


def test_every_kind_says_what_it_lacks_and_who_issues_it():
    assert list(KINDS) == IN_ORDER
    assert list(known()) == IN_ORDER
    assert all(kind.deed in DEEDS["principal"] for kind in KINDS.values())


def test_a_case_is_offered_its_papers_in_the_order_of_its_life(whole):
    offers = paper_offers(whole)

    assert [offer.kind for offer in offers] == IN_ORDER
    assert all(offer.is_ready and not offer.missing for offer in offers)
    assert offers[1].url == address(whole, "treatment_report")


def test_an_empty_case_is_told_what_each_paper_lacks(house, case):
    offers = {offer.kind: offer for offer in paper_offers(case)}

    assert not any(offer.is_ready for offer in offers.values())
    for kind, words in {
        "condition_report": "No part of the instrument",
        "treatment_report": "no work on it is signed off",
        "setup_sheet": "Take one of them first",
        "removed_parts": "nothing was taken off",
        "material_statement": "of a protected material",
        "care_sheet": "nothing is known of this instrument",
        "return_receipt": "nobody has written down how the instrument goes home",
    }.items():
        assert words in offers[kind].missing
    assert offers["return_receipt"].url == reverse("papers:return", args=[case.number])


def test_the_offers_take_a_handful_of_queries(whole, django_assert_max_num_queries):
    with django_assert_max_num_queries(7):
        paper_offers(whole)


@pytest.mark.parametrize("kind", [kind for kind in IN_ORDER if kind != "condition_report"])
def test_a_paper_that_would_say_nothing_is_refused(client, house, case, helene, kind):
    client.force_login(helene)

    page = client.get(address(case, kind)).text
    asked = client.post(address(case, kind, "make_preview"), {"language": "en"})

    assert "there is no" in page
    assert "Make a preview" not in page
    assert asked.status_code == 409
    assert not PaperDraft.objects.exists()
    with pytest.raises(PaperEmptyError):
        compile_paper(kind, case, language="en", made_at=NOW)


@pytest.mark.parametrize("kind", IN_ORDER)
def test_the_page_says_what_will_be_printed(client, whole, helene, kind):
    client.force_login(helene)

    page = client.get(address(whole, kind)).text

    body = KINDS[kind].body(whole)
    assert str(KINDS[kind].purpose) in page.replace("&#x27;", "’")
    assert "What it will say" in page
    assert KINDS[kind].contents(body)
    assert ("What it will lack" in page) is bool(KINDS[kind].gaps(body))


@pytest.mark.parametrize("kind", ["treatment_report", "setup_sheet", "return_receipt"])
def test_the_way_from_preview_to_issue_is_the_same_for_every_kind(client, whole, helene, kind):
    client.force_login(helene)

    asked = client.post(address(whole, kind, "make_preview"), {"language": "fr"})
    Worker().run_all()
    ready = client.get(asked["Location"]).text
    draft = PaperDraft.objects.get()
    sent = client.post(address(whole, kind, "make_issue"), {"draft": draft.uuid})
    Worker().run_all()
    done = client.get(sent["Location"])

    assert "Issue exactly this" in ready
    paper = Paper.objects.get(kind=kind)
    assert done["Location"] == reverse("papers:detail", args=[paper.uuid])
    assert (paper.version, paper.language, paper.data["kind"]) == (1, "fr", kind)


@pytest.mark.parametrize("kind", IN_ORDER)
def test_a_luthier_issues_what_goes_over_the_counter_and_nothing_else(client, whole, armand, kind):
    draft = actions.draft_of(whole, kind, "en", by=armand, at=timezone.now())
    actions.make_preview(draft)
    client.force_login(armand)

    answer = client.post(address(whole, kind, "make_issue"), {"draft": draft.uuid})

    assert answer.status_code == (302 if kind in LUTHIER_ISSUES else 403)
    assert Job.objects.filter(name="papers.issue").exists() is (kind in LUTHIER_ISSUES)


def test_a_draft_of_another_kind_is_not_issued_here(client, whole, armand):
    """A luthier may not issue a condition report by the address of a set-up sheet."""
    draft = actions.draft_of(whole, "condition_report", "en", by=armand, at=timezone.now())
    actions.make_preview(draft)
    client.force_login(armand)

    answer = client.post(address(whole, "setup_sheet", "make_issue"), {"draft": draft.uuid})

    assert answer.status_code == 404


@pytest.mark.parametrize("kind", ["junk", "intake_receipt", "estimate"])
def test_a_kind_that_is_not_made_here_is_not_found(client, case, helene, kind):
    client.force_login(helene)

    assert client.get(address(case, kind)).status_code == 404


@pytest.mark.parametrize("kind", ["setup_sheet", "care_sheet", "removed_parts"])
def test_a_second_issue_is_version_2_and_names_the_first(whole, helene, kind):
    first = issued(kind, whole, helene)

    second = issued(kind, whole, helene)

    assert (second.version, second.replaces) == (2, first)


@pytest.mark.real_press
@pytest.mark.share(2)
@pytest.mark.parametrize("language", ["en", "fr"])
def test_every_paper_is_archival_and_accessible_and_has_no_empty_page(
    whole, helene, tmp_path, language
):
    files = []
    for kind in IN_ORDER:
        file = tmp_path / f"{kind}-{language}.pdf"
        file.write_bytes(render(sheet(kind, whole, helene, language))[0])
        files.append(file)

    verdicts = validate(files)

    assert set(verdicts) == {file.name for file in files}
    assert all(found == {"3a": [], "ua1": []} for found in verdicts.values())
    for file in files:
        assert_no_page_is_empty(file)


def assert_no_page_is_empty(file):
    """Head and foot of a page have some hundred and twenty letters."""
    for page in pypdf.PdfReader(file).pages:
        assert len(page.extract_text()) > 240


@pytest.mark.parametrize("kind", IN_ORDER)
def test_the_snapshot_is_the_whole_paper_as_data(whole, helene, kind):
    made = sheet(kind, whole, helene)

    data = made.data()

    assert data["kind"] == kind
    assert set(data["content"]) == set(made.body.__dataclass_fields__)


@pytest.mark.parametrize("kind", IN_ORDER)
def test_the_page_of_a_paper_asks_the_same_for_many_things_as_for_few(
    client, whole, armand, helene, kind
):
    client.force_login(helene)

    def count() -> int:
        with CaptureQueriesContext(connection) as seen:
            client.get(address(whole, kind))
        return len(seen)

    few = count()
    for number in range(5):
        finding = factories.finding(whole, by=armand, part="back", term="worm")
        shot = factories.photo(whole, by=armand, data=factories.jpeg(seed=number + 60))
        factories.tag(shot, finding, by=armand)
        factories.string_reading(whole, by=armand, subject=f"set {number}")

    assert count() == few
    assert few <= 45
