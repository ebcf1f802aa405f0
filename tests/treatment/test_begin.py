"""Beginning work: only what was agreed."""

from __future__ import annotations

import re

import pytest
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.procedures.versions import pin
from repairs.treatment.actions import open_work
from repairs.treatment.agree import Wanted, drop_work
from repairs.treatment.models import Intervention
from repairs.treatment.refusals import NotAgreedError
from tests import factories
from tests.treatment.beginning import begin


def test_the_first_work_that_is_begun_puts_the_case_on_the_bench(case, agreed, finding, armand):
    work = begin(agreed, by=armand, findings=[finding])

    case.refresh_from_db()
    last = case.moves.last()
    assert (work.number, list(work.findings.all())) == (1, [finding])
    assert (case.step, last.by, last.because) == ("on_bench", armand, "work 1 is begun")
    assert LogEntry.objects.filter(verb="work.opened", subject=case.log_key).count() == 1


def test_the_second_work_finds_the_case_on_the_bench_and_leaves_it_there(case, armand):
    rows = factories.agreed_works(
        case,
        *(Wanted(version=pin(key, at=timezone.now())) for key in ("free", "loose_bar")),
        by=armand,
    )

    works = [begin(row, by=armand) for row in rows]

    assert [work.number for work in works] == [1, 2]
    assert case.moves.filter(step="on_bench").count() == 1


def test_work_on_a_finding_that_nobody_agreed_to_is_refused(case, agreed, armand):
    other = factories.finding(case, by=armand, part="back")

    with pytest.raises(NotAgreedError, match=r"finding 2\."):
        begin(agreed, by=armand, findings=[other])

    assert not case.interventions.exists()
    case.refresh_from_db()
    assert case.step == "agreed"


def test_the_screen_takes_no_finding_that_nobody_agreed_to(case, agreed, finding, armand, send):
    other = factories.finding(case, by=armand, part="back")

    answer = send("begin", case.number, agreed.number, by=armand, findings=[finding.pk, other.pk])

    assert "Select a valid choice" in answer.content.decode()
    assert not case.interventions.exists()


@pytest.mark.parametrize("state", ["dropped", "superseded"])
def test_what_no_longer_stands_is_not_begun(case, agreed, armand, state):
    if state == "dropped":
        drop_work(agreed, because="sold", by=armand, at=timezone.now())
    else:
        factories.agreed_work(case, "free", by=armand)

    with pytest.raises(NotAgreedError, match="no longer stands"):
        begin(agreed, by=armand)


def test_work_agreed_for_another_case_is_not_begun_here(case, agreed, vielle, armand):
    other = factories.case(vielle, by=armand)
    row = Intervention(case=other, agreed=agreed)

    with pytest.raises(NotAgreedError):
        open_work(row, findings=[], parts=[], by=armand, at=timezone.now())


def test_the_same_work_is_not_begun_twice(work, armand):
    with pytest.raises(NotAgreedError, match="second beginning"):
        begin(work.agreed, by=armand)


def test_nothing_is_begun_on_an_instrument_that_has_gone(case, agreed, armand):
    Case.objects.filter(pk=case.pk).update(ended_at=timezone.now())

    with pytest.raises(NotAgreedError, match="has gone"):
        begin(agreed, by=armand)


def test_beginning_on_the_screen_starts_one_s_own_clock(case, agreed, finding, armand, send):
    answer = send(
        "begin",
        case.number,
        agreed.number,
        by=armand,
        findings=[finding.pk],
        room_t_c="19,5",
        room_rh_pct="52",
    )

    work = case.interventions.get()
    assert answer["Location"] == work.get_absolute_url()
    assert (str(work.room_t_c), str(work.room_rh_pct)) == ("19.5", "52.0")
    assert work.spells.get().person == armand


def test_the_page_offers_the_agreed_findings_and_their_parts(case, agreed, finding, lise, see):
    page = see("begin", case.number, agreed.number, by=lise)

    assert f'value="{finding.pk}" id="id_findings_0" checked' in page.replace("\n", " ")
    flat = page.replace("\n", " ")
    assert re.search(rf'name="parts" value="{finding.part_id}" id="id_parts_\d+" checked', flat)
    assert 'aria-label="Cautions"' in page


def test_parts_are_grouped_and_the_group_that_holds_a_chosen_one_is_open(
    case, agreed, finding, lise, see
):
    page = see("begin", case.number, agreed.number, by=lise)

    line = r"<summary>\s*([^<]+?)\s*\((\d+) of (\d+)\)\s*</summary>"
    groups = re.findall(rf"<details( open)?>\s*{line}", page)
    opened = [(chosen, name) for is_open, name, chosen, _count in groups if is_open]
    assert len(groups) > 3
    assert [chosen for chosen, _name in opened] == ["1"]
    assert sum(int(count) for *_rest, count in groups) == case.instrument.parts.count()


def test_a_finding_that_was_withdrawn_is_no_longer_offered(case, agreed, finding, armand, see):
    type(finding).objects.filter(pk=finding.pk).update(withdrawn_at=timezone.now())

    assert "id_findings" not in see("begin", case.number, agreed.number, by=armand)
