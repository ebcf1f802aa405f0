"""The set-up sheet: the last reading of each kind, and honest words where there is none."""

from __future__ import annotations

import pytest

from repairs.papers.kinds import compile_paper
from repairs.papers.needs.refusals import PaperEmptyError
from repairs.readings.actions import set_withdrawn
from tests import factories
from tests.papers import working
from tests.papers.conftest import NOW, printed, sheet
from tests.readings import samples

KIND = "setup_sheet"


@pytest.fixture
def read(house, case, armand):
    """Takes a reading of that gauge after the work."""

    def take(gauge, words=None, **fields):
        said = {"phase": "after", "taken_at": working.AFTER} | fields
        return samples.reading(case, by=armand, gauge=gauge, words=words, **said)

    return take


def test_the_last_reading_of_each_kind_counts(read, case, helene):
    read("wheel", samples.wheel(samples.wheel_rows(10.0)), taken_at=working.BEFORE)
    read("wheel", samples.wheel(samples.wheel_rows(2.0)))

    wheel = sheet(KIND, case, helene).body.wheel

    rows = {row.label: row for row in wheel.rows}
    assert rows["Run-out in one turn"].value.startswith("0.040 mm")
    assert (rows["Eccentricity"].value[:5], rows["Eccentricity"].word) == ("0.020", "inside")
    assert wheel.taken.startswith("reading 2 · after work")


def test_each_string_has_pitch_gauge_material_and_tension(read, case, helene):
    """47.8 N: 345 mm gut of 0.80 mm and 1300 kg/m³ at 392 Hz, T = (2 L f)² μ, by hand."""
    read("string_set")

    first = sheet(KIND, case, helene).body.string_lines[0]

    assert (first.name, first.pitch, first.diameter) == (
        "Chanterelle",
        "392.0\u00a0Hz",
        "0.80\u00a0mm",
    )
    assert (first.material, first.tension, first.length) == ("gut", "47.8\u00a0N", "345\u00a0mm")


def test_keys_stand_twelve_to_a_row(read, case, helene):
    read("correction", samples.keys(dict.fromkeys(range(1, 24), "1,0")))

    lines = sheet(KIND, case, helene).body.key_lines

    assert [len(line.cells) for line in lines] == [12, 11]
    assert (lines[0].cells[0].cents, lines[0].cells[0].sign) == ("+1.0", "●")
    assert lines[1].cells[0].key == "13"


def test_voicing_cards_stand_side_by_side_the_last_of_each_string(read, case, helene):
    for name, cotton in (("Mouche", "thick"), ("Trompette", "thin"), ("Mouche", "thin")):
        read("voicing_card", samples.card("voicing_card", string=name, cotton=cotton))

    table = sheet(KIND, case, helene).body.voicing_tables[0]

    assert table.strings == ("Mouche", "Trompette")
    assert dict(table.rows)["Cotton"] == ("thin", "thin")


def test_the_dog_is_told_as_it_was_noted(read, case, helene):
    read("dog_card")

    rows = {row.label: row.value for row in sheet(KIND, case, helene).body.dog.rows}

    assert rows["Onset of the buzz"] == "late"


def test_the_action_says_up_to_where_it_plays_and_what_fails(read, case, helene):
    read("action")

    rows = {row.label: row for row in sheet(KIND, case, helene).body.action.rows}

    assert rows["Playable up to key"].value == "2"
    assert any(row.word == "outside" for row in rows.values())


@pytest.mark.share(2)
@pytest.mark.parametrize("language", ["en", "fr"])
def test_what_was_not_measured_is_said(read, case, helene, language):
    read("string_set")

    body = sheet(KIND, case, helene, language).body

    assert body.wheel.missing
    assert body.keys.missing
    assert not body.strings.missing
    if language == "en":
        assert printed(KIND, case, helene).count("Not measured.") == 5


def test_what_was_not_permitted_is_said_with_its_reason(read, case, armand, helene):
    read("string_set")
    factories.string_reading(
        case, by=armand, gauge="wheel", not_permitted="the owner forbids it", raw={}
    )

    assert "Not done: not permitted. the owner forbids it" in printed(KIND, case, helene)


def test_the_air_advised_follows_from_the_instruments_own_record(read, case, helene, armand):
    read("string_set", room_t_c="18.5", room_rh_pct="47")
    without = dict(sheet(KIND, case, helene).body.climate)
    read("climate_log")

    known = dict(sheet(KIND, case, helene).body.climate)

    assert without["Air at the set-up"] == "18.5\u00a0°C, 47 % RH"
    assert without["Air advised"].startswith("no climate was recorded")
    # 37 to 59 % by its own record, of which the cautious band is handed out.
    assert known["Air advised"].startswith("from 45 to 55 % RH, resting at 48 %")


def test_a_violin_has_no_wheel_and_no_keys(house, owner, armand, helene):
    violin = factories.instrument(owner, by=helene, kind="violin")
    case = factories.case(violin, by=armand)
    factories.string_reading(case, by=armand)

    body = sheet(KIND, case, helene).body

    assert (body.wheel, body.keys, body.voicing, body.dog, body.action) == (None,) * 5
    assert "dial" not in printed(KIND, case, helene)


def test_a_withdrawn_reading_does_not_count(read, case, armand):
    row = read("string_set")
    set_withdrawn(row, True, by=armand, at=NOW)

    with pytest.raises(PaperEmptyError, match="Take one of them first"):
        compile_paper(KIND, case, language="en", made_at=NOW)
