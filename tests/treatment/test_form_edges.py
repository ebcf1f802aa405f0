"""What the forms of the bench take, at the last minute, the last letter and the last choice."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.forms import Field
from django.utils import timezone

from repairs.cases.models import Case
from repairs.treatment.begin_form import BeginForm, PartGroup
from repairs.treatment.forms import (
    LONGEST_WAIT_MS,
    AgreeForm,
    MinutesForm,
    StopForm,
    TapForm,
    climate_fields,
    minutes_field,
)
from repairs.treatment.models import Intervention, WorkSpell

NOON = dt.datetime(2026, 11, 25, 12, 0, tzinfo=dt.UTC)


def minutes_form(work: Intervention, start: dt.datetime, minutes: str) -> MinutesForm:
    blank = WorkSpell(intervention=work, person=work.opened_by, started_at=start)
    said = {
        "person": work.opened_by_id,
        "started_at": timezone.localtime(start).strftime("%Y-%m-%dT%H:%M"),
        "minutes": minutes,
    }
    return MinutesForm(said, instance=blank)


@pytest.mark.parametrize(
    ("before_now", "minutes", "is_taken"), [(60, "60", True), (60, "61", False), (60, "59", True)]
)
def test_typed_minutes_end_now_at_the_latest(
    plain_work, monkeypatch, before_now, minutes, is_taken
):
    monkeypatch.setattr(timezone, "now", lambda: NOON)
    form = minutes_form(plain_work, NOON - dt.timedelta(minutes=before_now), minutes)

    assert form.is_valid() is is_taken
    assert ("minutes" in form.errors) is not is_taken


@pytest.mark.parametrize(
    ("hours", "is_taken"), [(0, True), (24, True), (25, False), (-1, True)], ids=str
)
def test_typed_minutes_begin_a_day_before_the_intake_at_the_earliest(
    plain_work, monkeypatch, hours, is_taken
):
    monkeypatch.setattr(timezone, "now", lambda: NOON)
    received_at = plain_work.case.received_at

    form = minutes_form(plain_work, received_at - dt.timedelta(hours=hours), "5")

    assert form.is_valid() is is_taken
    assert ("started_at" in form.errors) is not is_taken


def is_taken_by(field: Field, value: str) -> bool:
    try:
        field.clean(value)
    except ValidationError:
        return False
    return True


@pytest.mark.parametrize(
    ("minutes", "is_taken"),
    [("", False), ("0", False), ("1", True), ("1440", True), ("1441", False)],
)
def test_minutes_are_at_least_one_and_at_most_a_day(minutes, is_taken):
    assert is_taken_by(minutes_field(), minutes) is is_taken
    assert StopForm({"minutes": minutes}).is_valid() is is_taken


@pytest.mark.parametrize("value", ["", "18,5", "-10", "50", "-10.1", "50.1", "18,55"])
def test_a_room_has_minus_ten_to_fifty_degrees_to_a_tenth(value):
    warmth, _humidity = climate_fields()

    assert is_taken_by(warmth, value) is (value not in ("-10.1", "50.1", "18,55"))


@pytest.mark.parametrize("value", ["", "0", "100", "47,5", "-0.1", "100.1", "47,55"])
def test_the_air_of_a_room_holds_nought_to_a_hundred_per_cent(value):
    _warmth, humidity = climate_fields()

    assert is_taken_by(humidity, value) is (value not in ("-0.1", "100.1", "47,55"))


def tapped(work, **said) -> TapForm:
    step = work.version.procedure.steps[0].key
    return TapForm({"step": step, "state": "done", **said}, steps=work.version.procedure.steps)


@pytest.mark.parametrize(
    ("said", "is_taken"),
    [
        ({}, True),
        ({"state": "otherwise", "words": "glued twice"}, True),
        ({"state": "left_out", "words": "x" * 500}, True),
        ({"state": "left_out", "words": "x" * 501}, False),
        ({"state": "otherwise"}, False),
        ({"state": "otherwise", "words": "  "}, False),
        ({"state": "open"}, True),
        ({"state": "burnt"}, False),
        ({"step": "no such step"}, False),
        ({"tap": "no name"}, False),
        ({"waited_ms": "-1"}, False),
        ({"waited_ms": str(LONGEST_WAIT_MS)}, True),
        ({"waited_ms": str(LONGEST_WAIT_MS + 1)}, False),
    ],
)
def test_a_tap_says_one_thing_of_one_step(plain_work, said, is_taken):
    assert tapped(plain_work, **said).is_valid() is is_taken


def test_what_a_tap_says_bears_the_moment_of_the_tap(plain_work):
    form = tapped(plain_work, waited_ms="90000")
    assert form.is_valid()

    note = form.note(NOON)

    assert (note.state, note.words, note.tap) == ("done", "", None)
    assert note.at == NOON - dt.timedelta(seconds=90)


def choices_of(field: Any) -> Any:
    return field.choices


@pytest.mark.parametrize("is_house", [False, True])
def test_only_the_house_decides_alone_what_cannot_be_undone(case, is_house):
    form = AgreeForm(case=case, is_house=is_house)
    keys = {key for key, _label in choices_of(form.fields["procedure"])}

    assert ("wheel_truing" in keys) is is_house
    assert "open_seam" in keys
    assert form.fields["because"].required is not is_house
    assert form.fields["findings"].required is False
    assert form.fields["title"].required is False


# Beginning -----------------------------------------------------------------------------------


def groups_of(case: Case, agreed: Any) -> list[PartGroup]:
    blank = Intervention(case=case, agreed=agreed)
    return BeginForm(instance=blank, findings=agreed.findings.all()).part_groups()


def test_parts_that_stand_alone_are_one_group_at_the_end(case, agreed, finding):
    """Of two groups only the heads are left; of a third the head and one part."""
    whole = groups_of(case, agreed)
    assert "single parts" not in [str(group.label) for group in whole]
    *_others, third, second, last = [one for one in whole if not one.chosen and len(one.ticks) > 2]
    gone = [*third.ticks[2:], *second.ticks[1:], *last.ticks[1:]]
    case.instrument.parts.filter(pk__in=[tick.data["value"].instance.pk for tick in gone]).delete()

    *several, alone = groups_of(case, agreed)

    assert str(alone.label) == "single parts"
    names = [tick.data["value"].instance.label() for tick in alone.ticks]
    assert names == [second.label, last.label]
    assert {len(group.ticks) for group in several} >= {2}
    assert [group.label for group in several] == [
        group.label for group in whole if group not in (second, last)
    ]
    assert [group.chosen for group in several].count(1) == 1


def test_what_was_ticked_is_not_ticked_anew_when_the_page_comes_back(case, agreed, finding):
    blank = Intervention(case=case, agreed=agreed)
    form = BeginForm({"room_t_c": "x"}, instance=blank, findings=agreed.findings.all())

    assert "findings" not in form.initial
    assert sum(group.chosen for group in form.part_groups()) == 0
