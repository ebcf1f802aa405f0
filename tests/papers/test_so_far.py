"""What a condition report says of the later steps: all that is on record at its date."""

from __future__ import annotations

from repairs.papers.condition.so_far import agreement_words, so_far_rows
from tests import factories
from tests.papers import working
from tests.papers.conftest import going


def said(case) -> dict[str, str]:
    return {row.key: row.value for row in so_far_rows(case)}


def test_before_anything_is_agreed_every_unit_says_that_nothing_is_recorded(house, case):
    assert set(said(case).values()) == {"none recorded at the date of this report"}


def test_each_unit_is_filled_from_the_case(case, work, armand):
    working.keys_reading(case, working.CENTS_BEFORE, phase="before", by=armand)
    working.keys_reading(case, working.CENTS_AFTER, phase="after", by=armand)
    going(case, armand)

    rows = said(case)

    assert rows["client_consent"] == (
        "consent of the owner, Garance Ollivant, 21 November 2026 (2026-001/1)"
    )
    assert rows["work_log"] == (
        "re-gluing of a loose bar, begun on 22 November 2026, "
        "signed off on 24 November 2026 by Armand Sautarel"
    )
    assert rows["treatment_materials"] == "hide glue (Maison Roy, lot 12)"
    assert rows["removed_parts"] == "1 × kept here with the record"
    assert rows["measurements_before_after"] == "1 reading before work; 1 reading after work"
    assert rows["exit_check"] == "Crack closed.; Strung to pitch.; Plays."
    assert rows["exit_date"] == "24 November 2026"


def test_a_decision_of_the_owner_is_named_by_its_number(case, work):
    agreed = case.agreed_works.first()
    agreed.reference = "consent:41"

    words = agreement_words(agreed, {"consent:41": "decision 1"})

    assert words == "consent of the owner, Garance Ollivant, 21 November 2026 (decision 1)"


def test_work_that_is_open_is_said_to_be_open(house, case, finding, armand):
    working.begin(working.agree(case, "loose_bar", finding, by=armand), by=armand)

    assert said(case)["work_log"].endswith("begun on 22 November 2026, not signed off")


def test_the_rows_take_a_handful_of_queries(case, work, armand, django_assert_max_num_queries):
    for _time in range(5):
        factories.finding(case, by=armand, part="back", term="worm")

    with django_assert_max_num_queries(7):
        so_far_rows(case)
