"""What keeps an instrument here."""

from __future__ import annotations

import pytest

from repairs.cases.custody_models import Custody
from repairs.cases.refusals import HandBackError
from repairs.papers.kinds import compile_paper
from repairs.papers.needs.leaving import blocking_words, warning_words
from repairs.treatment.parts import set_fate
from tests.papers import working
from tests.papers.conftest import NOW, going

KIND = "return_receipt"


def test_a_proved_case_may_go(case, work):
    assert blocking_words(case) == []


def test_a_bag_that_is_given_back_is_not_warned_about(case, work, armand):
    piece = case.removed_parts.get()
    set_fate(piece, "given_back", "", by=armand, at=NOW)

    assert warning_words(case) == []


def test_work_that_is_begun_keeps_it_here(case, work, armand):
    working.begin(working.agree(case, "open_seam", by=armand), by=armand)
    case.refresh_from_db()
    going(case, armand)

    with pytest.raises(HandBackError, match="Work 2 is begun and not signed off"):
        compile_paper(KIND, case, language="en", made_at=NOW)


def test_a_case_on_the_bench_gives_up_what_will_not_be_done(case, work, armand):
    working.agree(case, "open_seam", by=armand)
    case.refresh_from_db()

    assert case.step == "on_bench"
    assert blocking_words(case) == [
        "It is on the bench: give up the agreed work that will not be done."
    ]


def test_an_instrument_that_is_not_here_cannot_be_handed_back(case, work):
    case.custody.update(holder=Custody.Holder.OWNER)

    assert blocking_words(case) == ["The workshop does not hold the instrument."]
