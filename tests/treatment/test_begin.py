"""Beginning work: only what was agreed, and what is old only once it is on record."""

from __future__ import annotations

import html
import re

import pytest
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.instruments.part_models import Part
from repairs.procedures.versions import pin
from repairs.treatment.actions import open_work
from repairs.treatment.agree import Wanted, drop_work
from repairs.treatment.models import Intervention
from repairs.treatment.refusals import AsFoundMissingError, IrreversibleError, NotAgreedError
from tests import factories
from tests.readings import samples

WHEEL_PARTS = ("wheel", "wheel_core", "rim_band")


def set_originality(case: Case, originality: str, *keys: str) -> None:
    case.instrument.parts.filter(key__in=keys).update(originality=originality)


def begin(agreed, *, by, findings=(), parts=()) -> Intervention:
    case = Case.objects.with_names().get(pk=agreed.case_id)
    chosen = list(case.instrument.parts.filter(key__in=parts))
    row = Intervention(case=case, agreed=agreed)
    return open_work(row, findings=list(findings), parts=chosen, by=by, at=timezone.now())


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

    groups = re.findall(r"<details( open)?><summary>([^<]+?) \((\d+) of (\d+)\)</summary>", page)
    opened = [(chosen, name) for is_open, name, chosen, _count in groups if is_open]
    assert len(groups) > 3
    assert [chosen for chosen, _name in opened] == ["1"]
    assert sum(int(count) for *_rest, count in groups) == case.instrument.parts.count()


def test_a_finding_that_was_withdrawn_is_no_longer_offered(case, agreed, finding, armand, see):
    type(finding).objects.filter(pk=finding.pk).update(withdrawn_at=timezone.now())

    assert "id_findings" not in see("begin", case.number, agreed.number, by=armand)


# As found --------------------------------------------------------------------------------------


@pytest.mark.parametrize("originality", ["original", "unknown"])
def test_an_old_tangent_is_not_turned_before_the_whole_set_is_on_record(case, armand, originality):
    set_originality(case, originality, "tangents_1", "tangents_2")
    agreed = factories.agreed_work(case, "tangent_refit", by=armand)

    with pytest.raises(AsFoundMissingError) as refused:
        begin(agreed, by=armand)

    said = str(refused.value)
    assert "keys, cents from a tuner" in said
    assert "finishing check of the keybox" in said
    assert "the photo “keybox open” as found" in said
    assert not case.interventions.exists()


def test_what_is_on_record_is_no_longer_asked_for(case, armand):
    agreed = factories.agreed_work(case, "tangent_refit", by=armand)
    samples.reading(case, by=armand, gauge="correction")
    factories.photo(case, by=armand, view="keybox_open")

    with pytest.raises(AsFoundMissingError) as refused:
        begin(agreed, by=armand)
    samples.reading(case, by=armand, gauge="action")

    assert "cents" not in str(refused.value)
    assert begin(agreed, by=armand).number == 1


def test_a_reading_that_is_not_permitted_satisfies_what_must_be_on_record(case, armand):
    agreed = factories.agreed_work(case, "tangent_refit", by=armand)
    factories.photo(case, by=armand, view="keybox_open")
    for gauge in ("correction", "action"):
        samples.reading(case, by=armand, gauge=gauge, not_permitted="the owner said so")

    assert begin(agreed, by=armand).number == 1


@pytest.mark.parametrize("change", [{"phase": "after"}, {"withdrawn_at": timezone.now()}])
def test_a_reading_after_work_or_withdrawn_is_no_record_of_what_was_found(case, armand, change):
    agreed = factories.agreed_work(case, "wheel_recentring", by=armand)
    factories.photo(case, by=armand, view="wheel")
    reading = samples.reading(case, by=armand)
    type(reading).objects.filter(pk=reading.pk).update(**change)

    with pytest.raises(AsFoundMissingError, match="wheel, dial readings"):
        begin(agreed, by=armand)


def test_a_photo_after_work_is_no_record_of_what_was_found(case, armand):
    agreed = factories.agreed_work(case, "wheel_recentring", by=armand)
    samples.reading(case, by=armand)
    factories.photo(case, by=armand, view="wheel", phase="after")

    with pytest.raises(AsFoundMissingError, match="photo"):
        begin(agreed, by=armand)


def test_a_later_replacement_is_changed_without_such_a_record(case, armand):
    set_originality(case, "later_replacement", *WHEEL_PARTS)
    agreed = factories.agreed_work(case, "wheel_recentring", by=armand)

    assert begin(agreed, by=armand).number == 1


def test_an_old_part_beside_the_replaced_wheel_does_not_speak_for_it(case, armand):
    """The body may be as old as it likes: what the work changes is the wheel."""
    set_originality(case, "later_replacement", *WHEEL_PARTS)
    set_originality(case, "original", "body")
    agreed = factories.agreed_work(case, "wheel_recentring", by=armand)

    assert begin(agreed, by=armand, parts=["body", WHEEL_PARTS[0]]).number == 1


def test_free_work_on_an_old_tangent_needs_its_record_too(case, armand):
    """Else any change could be made under the name of free work."""
    agreed = factories.agreed_work(case, "free", by=armand)

    with pytest.raises(AsFoundMissingError, match="tangent"):
        begin(agreed, by=armand, parts=["tangents_1"])

    assert begin(agreed, by=armand, parts=["ribs"]).number == 1


def test_the_refusal_stands_on_the_form_with_what_was_typed(case, armand, send):
    agreed = factories.agreed_work(case, "wheel_recentring", by=armand)
    part = case.instrument.parts.get(key="rim_band")

    answer = send("begin", case.number, agreed.number, by=armand, parts=[part.pk], room_t_c="18,5")

    page = html.unescape(answer.content.decode())
    assert answer.status_code == 409
    assert "its state as found must be on record" in page
    assert 'value="18,5"' in page
    flat = page.replace("\n", " ")
    assert re.search(rf'name="parts" value="{part.pk}" id="id_parts_\d+" checked', flat)


# For good --------------------------------------------------------------------------------------


@pytest.fixture
def recorded(case, armand) -> Case:
    """The wheel is on record as it was found."""
    factories.photo(case, by=armand, view="wheel")
    samples.reading(case, by=armand)
    return case


def test_a_rim_is_not_cut_without_a_consent_to_just_that(recorded, armand):
    set_originality(recorded, "original", *WHEEL_PARTS)
    agreed = factories.agreed_work(recorded, "wheel_truing", by=armand)

    with pytest.raises(IrreversibleError, match="is original"):
        begin(agreed, by=armand)

    agreed = factories.agreed_work(recorded, "wheel_truing", by=armand, irreversible_agreed=True)
    assert begin(agreed, by=armand).number == 1


def test_the_consent_does_not_stand_in_for_the_record(case, armand):
    agreed = factories.agreed_work(case, "wheel_truing", by=armand, irreversible_agreed=True)

    with pytest.raises(AsFoundMissingError):
        begin(agreed, by=armand)


def test_a_rim_that_was_replaced_later_is_cut_without_one(recorded, armand):
    set_originality(recorded, "later_replacement", *WHEEL_PARTS)
    agreed = factories.agreed_work(recorded, "wheel_truing", by=armand)

    assert begin(agreed, by=armand).number == 1


@pytest.mark.parametrize("parts", [(), ("pegbox",)])
def test_naming_no_part_is_no_way_round_that_consent(case, armand, parts):
    """Peg bushing is for good and names no sort of part: then any old part counts."""
    agreed = factories.agreed_work(case, "peg_bushing", by=armand)

    with pytest.raises(IrreversibleError):
        begin(agreed, by=armand, parts=parts)

    Part.objects.filter(instrument=case.instrument).update(originality="later_replacement")
    assert begin(agreed, by=armand, parts=parts).number == 1


def test_the_house_may_cut_its_own_wheel(vielle, armand):
    case = factories.case(vielle, by=armand, reason="house")
    factories.photo(case, by=armand, view="wheel")
    samples.reading(case, by=armand)
    agreed = factories.agreed_work(case, "wheel_truing", by=armand, basis="house")

    assert begin(agreed, by=armand).number == 1
