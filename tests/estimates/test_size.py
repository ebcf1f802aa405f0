"""Estimates at size: 1,500 lines, 1,500 versions; pages that a person opens must still answer."""

from __future__ import annotations

import pytest
from django.urls import reverse

from repairs.cases.models import Case
from repairs.estimates.compile import options_of
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Estimate, Option, OptionLine
from repairs.estimates.state import estimate_lines
from repairs.findings.models import Finding
from repairs.instruments.part_models import Part
from tests import factories

MANY = 1500


@pytest.fixture
def findings(case, finding) -> list[Finding]:
    """1,500 things that were seen, each on a part of its own."""
    facts = {one.attname: getattr(finding, one.attname) for one in Finding._meta.concrete_fields}
    parts = Part.objects.bulk_create(
        Part(
            instrument=case.instrument, key=f"part-{number}", own_label="Peg", position=900 + number
        )
        for number in range(MANY)
    )
    del facts["id"]
    return Finding.objects.bulk_create(
        Finding(**facts | {"number": number, "part_id": part.pk})
        for number, part in enumerate(parts, finding.number + 1)
    )


@pytest.fixture
def long_offer(house, case: Case, findings, armand) -> Estimate:
    """50 options of 30 lines, each answering a finding of its own."""
    row = factories.estimate(case, by=armand, issued=False)
    row.options.all().delete()
    seam = factories.procedure("seam")
    options = Option.objects.bulk_create(
        Option(estimate=row, position=number, kind="other") for number in range(1, 51)
    )
    lines = OptionLine.objects.bulk_create(
        OptionLine(
            option=options[number // 30],
            position=number % 30 + 1,
            kind="work",
            version=seam,
            minutes_low=10,
            minutes_high=20,
        )
        for number in range(MANY)
    )
    answers = OptionLine.findings.through
    answers.objects.bulk_create(
        answers(optionline=line, finding=one) for line, one in zip(lines, findings, strict=True)
    )
    return row


def test_1500_lines_are_read_in_a_handful_of_queries(long_offer, django_assert_max_num_queries):
    with django_assert_max_num_queries(6):
        rows = options_of(long_offer)
        lines = [line for row in rows for line in row.lines.all()]
        seen = [one.part.instrument for line in lines for one in line.findings.all()]

    assert len(seen) == MANY


def test_an_offer_of_1500_lines_is_shown(client, long_offer, armand):
    client.force_login(armand)

    answer = client.get(long_offer.get_absolute_url())

    assert answer.status_code == 200
    assert answer.text.count("The seam of a test") >= MANY


@pytest.fixture
def many_versions(house, case: Case, armand) -> Estimate:
    """1,500 issued versions, each declined by telephone; the last is agreed to nowhere."""
    first = factories.estimate(case, by=armand)
    said = {one.attname: getattr(first, one.attname) for one in Estimate._meta.concrete_fields}
    for name in ("id", "paper_id"):
        del said[name]
    rows = Estimate.objects.bulk_create(
        Estimate(**said | {"version": number, "paper_id": None, "withdrawn_at": first.made_at})
        for number in range(2, MANY + 1)
    )
    Consent.objects.bulk_create(
        Consent(
            case=case,
            number=number,
            estimate=row,
            decision="declined",
            how="telephone",
            name="Garance Ollivant",
            words="“No.”",
            shown={},
            shown_sha256="0" * 64,
            said_at=first.made_at,
            noted_at=first.made_at,
            noted_by=armand,
        )
        for number, row in enumerate([first, *rows], 1)
    )
    return first


@pytest.mark.parametrize("page", ["list", "detail"])
def test_a_case_of_1500_versions_and_decisions_is_shown(client, many_versions, armand, page):
    number = many_versions.case.number
    place = [number] if page == "list" else [number, 1]
    client.force_login(armand)

    answer = client.get(reverse(f"estimates:{page}", args=place))

    assert answer.status_code == 200
    assert "declined" in answer.text
    if page == "list":
        assert "Version 1500" in answer.text


def test_the_states_of_1500_versions_want_two_queries(
    many_versions, today, django_assert_num_queries
):
    with django_assert_num_queries(2):
        lines = estimate_lines(many_versions.case, today)

    assert len(lines) == MANY
    assert lines[-1].state.key == "declined"
