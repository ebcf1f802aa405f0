"""Offers that the tests of estimates share, and a luthier at the keyboard."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client as Browser
from django.utils import timezone

from repairs.estimates.actions import write_estimate
from repairs.estimates.models import Estimate
from repairs.estimates.wishes import LineWish, OptionWish
from tests import factories


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


@pytest.fixture
def seam_offer(house, case, finding, armand) -> Estimate:
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
