"""What air an owner is handed: within the house’s cautious band, and not by air that cracked it.

Found by it: 37 to 59 % went out to an owner because “it has done no harm”, beside a crack that the
same air had made.
"""

from __future__ import annotations

import numpy as np
import pytest
from django.utils import timezone

from repairs.findings.models import Finding
from repairs.papers.owner.climate import advised_climate, cautious_words
from repairs.readings import actions
from repairs.readings.models import HouseLimit
from tests import factories
from tests.papers.conftest import printed
from tests.readings import samples

PLAIN = {"part": "", "width_mm": "", "species": "", "direction": "", "day_first": ""}


@pytest.fixture
def logged(case, armand):
    """A reading of the climate log; two years at two humidities, a row a day."""

    def read(winter, summer, **said):
        day = np.datetime64("2023-01-01") + np.arange(800)
        month = day.astype("datetime64[M]").astype(int) % 12 + 1
        rh = np.where((month >= 4) & (month <= 9), summer, winter)
        text = "\n".join(["Date;RH", *(f"{d};{v}" for d, v in zip(day, rh, strict=True))])
        words = samples.card("climate_log", csv=text, **(PLAIN | said))
        return samples.reading(case, by=armand, gauge="climate_log", words=words)

    return read


def handed(case):
    advised = advised_climate(case)
    assert advised is not None
    return advised


def test_a_proved_history_is_handed_out_within_the_cautious_band(case, logged):
    logged(38, 62)

    got = handed(case)

    assert (got.low, got.high, got.rest, got.from_record) == ("45", "55", "49", True)
    assert got.is_whole_year


@pytest.mark.parametrize(
    ("term", "cause", "vouches"),
    [
        ("crack", "climate", False),
        ("open_joint", "climate", False),
        ("flaking", "climate", False),
        ("crack", "impact", True),
        ("worm", "climate", True),
    ],
)
def test_what_the_air_opened_forbids_the_history(case, armand, logged, term, cause, vouches):
    factories.finding(case, by=armand, term=term, cause=cause)
    logged(38, 62)

    assert handed(case).from_record is vouches
    assert (handed(case).low, handed(case).high) == ("45", "55")


def test_a_finding_that_was_withdrawn_forbids_nothing(case, armand, logged):
    one = factories.finding(case, by=armand)
    logged(38, 62)
    Finding.objects.filter(pk=one.pk).update(withdrawn_at=timezone.now())

    assert handed(case).from_record


def test_where_it_was_whole_decides_what_is_handed_out(case, armand, logged):
    factories.finding(case, by=armand)
    logged(30, 62, air_did_harm="harm", whole_at_rh_pct="58")

    got = handed(case)

    # 53 to 63 about 58: less than five in common with the cautious band; no wider than it.
    assert (got.low, got.high, got.rest, got.from_record) == ("53", "63", "58", False)


def test_winter_and_summer_are_two_bands_where_they_differ(case, logged):
    logged(48, 66)

    got = handed(case)

    assert (got.winter, got.summer) == (("45", "55"), ("47", "55"))
    logged(50, 50)
    assert handed(case).winter is None


def test_the_house_sets_the_cautious_band(case, armand, logged):
    logged(38, 62)
    said = {"gauge": "climate_log", "figure": "owner_rh_pct", "lower": 42, "upper": 50}
    actions.set_house_limit(HouseLimit(**said, source="our house"), by=armand, at=timezone.now())

    assert (handed(case).low, handed(case).high) == ("42", "50")
    assert cautious_words() == ("42", "50")


@pytest.mark.parametrize(
    ("paper", "says"),
    [
        ("care_sheet", "In winter, October to March: 45 to 55 %. In summer: 47 to 55 %."),
        ("setup_sheet", "in winter 45–55 %, in summer 47–55 %"),
    ],
)
def test_both_papers_say_it(house, case, armand, helene, logged, paper, says):
    factories.examination(case, by=armand)
    samples.reading(case, by=armand, gauge="string_set")
    logged(48, 66)

    assert says in printed(paper, case, helene)
