"""What is old is changed only once it is on record, and for good only by a consent of its own."""

from __future__ import annotations

import html
import re

import pytest
from django.utils import timezone

from repairs.cases.models import Case
from repairs.instruments.part_models import Part
from repairs.treatment.refusals import AsFoundMissingError, IrreversibleError
from tests import factories
from tests.readings import samples
from tests.treatment.beginning import begin

WHEEL_PARTS = ("wheel", "wheel_core", "rim_band")


def set_originality(case: Case, originality: str, *keys: str) -> None:
    case.instrument.parts.filter(key__in=keys).update(originality=originality)


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
