"""The estimate as a paper: refused while incomplete, issued as previewed, archival, accessible."""

from __future__ import annotations

import datetime as dt
import io
from decimal import Decimal

import pypdf
import pytest
from django.utils import timezone

from repairs.estimates.actions import (
    change_estimate,
    issue_estimate,
    withdraw_estimate,
    write_estimate,
)
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.gaps import gaps
from repairs.estimates.models import Estimate
from repairs.estimates.refusals import (
    ConsentRefusedError,
    EstimateIncompleteError,
    EstimateIssuedError,
)
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.press.actions import pdf_bytes
from repairs.press.models import Paper
from repairs.press.refusals import PreviewOutdatedError
from repairs.press.render import render
from tests import factories
from tests.outside.verapdf import validate

NOW = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)
MATERIAL = LineWish(kind="material", words="gut strings", amount=Decimal("48.60"))


def three_options(*findings):
    """From the least to the most, the last with something that cannot be undone."""
    seam = factories.work_line("seam", findings=findings)
    return (
        OptionWish(kind="safe", lines=[seam], left_out="The set-up."),
        OptionWish(kind="playable", lines=[seam, factories.work_line("cleats"), MATERIAL]),
        OptionWish(
            kind="full",
            title="as in 1771",
            ceiling=Decimal("1500"),
            risk="The old tuning is lost.",
            lines=[seam, factories.work_line("turning"), MATERIAL],
        ),
    )


def text_of(pdf: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def preview(row: Estimate, language: str = "en"):
    return estimate_sheet(row, language=language, made_at=timezone.now())


def issue(row: Estimate, by, **otherwise) -> Paper:
    said = {"language": "en", "fingerprint": preview(row).fingerprint()} | otherwise
    return issue_estimate(row, **said, by=by, at=timezone.now())


def test_the_paper_says_what_the_owner_weighs(house, case, finding, armand):
    row = factories.estimate(case, *three_options(finding), by=armand, survey_fee=Decimal("40"))

    text = text_of(pdf_bytes(factories.paper_of(row)))

    for words in (
        "Estimate 2026-001",
        "1 · The minimum that keeps it safe",
        "2 · Make it playable",
        "3 · Full restoration",
        "The seam of a test",
        "1 crack, soundboard",
        "1 h – 1 h 30",
        "60.00 – 90.00 EUR",
        "Gut strings",
        "48.60 EUR",
        "The old tuning is lost.",
        "The set-up.",
        "1,500.00 EUR",
        "Cannot be undone.",
        "It is irreversible.",
        "VAT 20 %",
        "60.00 EUR an hour",
        "your consent is needed before any work",
        "at most 300.00 EUR",
        "Owner or agent: name, date, signature",
    ):
        assert words in text
    assert "accountant" not in text


def test_the_paper_speaks_french(house, case, finding, armand):
    row = factories.estimate(case, *three_options(finding), by=armand, issued=False)
    factories.looked_over(case, by=armand)

    paper = factories.issue_estimate(case, row, by=armand, language="fr")

    text = text_of(pdf_bytes(paper))
    assert paper.language == "fr"
    for words in ("Essai seam", "C’est irreversible.", "60,00 – 90,00 EUR", "48,60 EUR"):
        assert words in text


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.real_press
def test_the_estimate_is_archival_and_accessible(house, case, finding, armand, tmp_path, language):
    row = factories.estimate(case, *three_options(finding), by=armand, issued=False)
    factories.looked_over(case, by=armand)
    paper = factories.issue_estimate(case, row, by=armand, language=language)
    path = tmp_path / "estimate.pdf"
    path.write_bytes(pdf_bytes(paper))

    assert validate([path])["estimate.pdf"] == {"3a": [], "ua1": []}


def test_a_protected_part_is_named_with_its_caution(house, case, armand):
    part = case.instrument.parts.first()
    part.material = "ivory_elephant"
    part.save()
    row = factories.estimate(case, by=armand, issued=False)

    body = preview(row).body

    assert part.protection is not None
    assert [(name, note != "") for name, _material, note in body.protected] == [
        (part.label(), True)
    ]


def test_every_sum_on_the_paper_travels_as_a_number(house, case, armand):
    row = factories.estimate(case, by=armand)

    (option,) = factories.paper_of(row).data["content"]["options"]

    assert option["totals"]["total_low"] == "72.00"
    assert option["totals"]["total_high"] == "108.00"
    assert option["total"] == "72.00 – 108.00\u00a0EUR"


def test_issuing_binds_the_paper_and_closes_earlier_links(house, case, armand):
    row = factories.estimate(case, by=armand)

    paper = Paper.objects.get(kind="estimate")
    assert Estimate.objects.get(pk=row.pk).paper == paper
    assert (paper.subject, paper.version) == (case.log_key, 1)


def test_the_next_version_names_the_one_before(house, case, armand):
    first = factories.estimate(case, by=armand)

    second = factories.estimate(case, by=armand)

    paper = factories.paper_of(second)
    assert (second.version, paper.version) == (2, 2)
    assert paper.replaces == first.paper


def test_it_is_issued_only_as_it_was_previewed(house, case, armand):
    row = factories.estimate(case, by=armand, issued=False)
    factories.looked_over(case, by=armand)
    shown = preview(row).fingerprint()
    row.hourly_rate = Decimal("70")
    row.save()

    with pytest.raises(PreviewOutdatedError):
        issue(row, armand, fingerprint=shown)

    assert not Paper.objects.exists()


def test_two_who_issue_at_once_make_one_paper(house, case, armand):
    factories.looked_over(case, by=armand)
    row = factories.estimate(case, by=armand, issued=False)
    twin = Estimate.objects.get(pk=row.pk)
    twin.case = case
    issue(row, armand)

    with pytest.raises(EstimateIssuedError):
        issue(twin, armand)

    assert Paper.objects.count() == 1


@pytest.mark.parametrize(
    ("options", "why"),
    [
        ([], "offers nothing yet"),
        ([OptionWish(kind="safe")], "Option 1: it has no work"),
        ([OptionWish(kind="safe", lines=[MATERIAL])], "Option 1: it has no work"),
        (
            lambda: [
                OptionWish(
                    kind="safe",
                    lines=[factories.work_line(minutes_low=None, minutes_high=None), MATERIAL],
                )
            ],
            "1 line has neither minutes nor an amount",
        ),
        (
            lambda: [
                OptionWish(kind="safe", ceiling=Decimal("71.99"), lines=[factories.work_line()])
            ],
            "ceiling lies below its lower total",
        ),
    ],
)
def test_an_incomplete_estimate_is_refused(house, case, armand, options, why):
    wishes = options() if callable(options) else options
    factories.looked_over(case, by=armand)
    row = factories.estimate(case, by=armand, issued=False)
    row.options.all().delete()
    change_estimate(row, wishes, seen=row.revision, by=armand, at=timezone.now())

    with pytest.raises(EstimateIncompleteError, match=why):
        issue(row, armand)

    assert preview(row).body.version == 1  # it compiles all the same, to be looked at


def test_an_offer_that_would_have_lapsed_already_is_refused(house, case, armand, today):
    factories.looked_over(case, by=armand)
    yesterday = today - dt.timedelta(days=1)
    row = factories.estimate(case, by=armand, issued=False, valid_until=yesterday)

    assert gaps(row, today) == ["Its validity ends before today."]
    with pytest.raises(EstimateIncompleteError, match="validity"):
        issue(row, armand)


def test_a_case_that_is_not_looked_over_has_no_offer_yet(house, case, armand):
    row = factories.estimate(case, by=armand, issued=False)

    with pytest.raises(EstimateIncompleteError, match="not looked over"):
        issue(row, armand)


def test_a_withdrawn_offer_stays_on_record(house, case, armand):
    row = factories.estimate(case, by=armand)

    withdraw_estimate(row, by=armand, at=timezone.now())

    kept = Estimate.objects.get(pk=row.pk)
    assert kept.withdrawn_at is not None
    assert kept.paper is not None
    with pytest.raises(ConsentRefusedError, match="only an offer that stands"):
        withdraw_estimate(row, by=armand, at=timezone.now())


def test_a_draft_is_not_withdrawn(house, case, armand):
    row = write_estimate(case, by=armand, at=NOW)

    with pytest.raises(ConsentRefusedError, match="only an offer that stands"):
        withdraw_estimate(row, by=armand, at=NOW)


def test_what_was_agreed_to_is_not_withdrawn(house, case, armand):
    row = factories.estimate(case, by=armand)
    factories.consent(row, by=armand)

    with pytest.raises(ConsentRefusedError, match="agreed to this version"):
        withdraw_estimate(row, by=armand, at=timezone.now())


@pytest.mark.real_press
def test_the_same_estimate_gives_the_same_bytes(house, case, armand):
    row = factories.estimate(case, by=armand, issued=False)
    sheet = estimate_sheet(row, language="en", made_at=NOW)

    assert render(sheet)[0] == render(sheet)[0]
