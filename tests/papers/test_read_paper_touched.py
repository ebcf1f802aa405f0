"""A report in whose data something was touched: ``read_paper`` names the figure and the row."""

from __future__ import annotations

from typing import Any

import pytest

from repairs.papers.carried import moved
from repairs.papers.carried.told import Told, told_of
from tests.papers.carrying import condition, read, reading_of, reports, spoilt, with_file

__all__ = ["condition", "read", "reports"]

pytestmark = pytest.mark.django_db
DIAL = "dial (1/100 mm)"  # the column with the unit that was chosen for it


def said_of(pdf: bytes) -> Told:
    return told_of(pdf, "report.pdf")


def move_dial(data: dict[str, Any], *, by: float = 5.0, row: int = 6) -> str:
    """Move one dial reading, typed in hundredths of a millimetre; return what it was."""
    cells = reading_of(data, "wheel")["raw"]["rows"][row]
    typed = str(cells["reading"])
    cells["reading"] = f"{float(typed.replace(',', '.')) + by:.1f}".replace(".", ",")
    return typed


def test_a_raw_row_that_was_moved_by_five_hundredths_is_named(condition, read):
    was = []
    code, said, err = read(spoilt(condition, lambda data: was.append(move_dial(data))))

    (one,) = said["moved"]
    number = reading_of(said["paper"], "wheel")["number"]
    assert code == 1
    assert (one["reading"], one["row"], one["cell"], one["label"]) == (number, 7, "reading", DIAL)
    assert one["printed"] == one["follows"] == was[0] != one["carried"]
    assert {row["reading"] for row in said["figures"] if row["result"] == "differ"} == {number}
    assert said["counts"]["differ"] >= 4
    assert f"reading {number} (wheel, dial readings), row 7: {DIAL} – “{one['carried']}”" in err
    assert (
        "run-out in one turn – stated 0.2007 ± 0.002988\u00a0mm, outside, computed here 0.2087"
        in err
    )


def test_it_is_named_by_the_figures_alone_when_the_annex_was_moved_too(condition):
    def both(data: dict[str, Any]) -> None:
        number, was = reading_of(data, "wheel")["number"], move_dial(data)
        now = reading_of(data, "wheel")["raw"]["rows"][6]["reading"]
        for block in data["content"]["annex"]:
            for line in block["typed"]["columns"]:
                if block["number"] == number and line["key"] == "reading":
                    assert line["words"][6] == was
                    line["words"][6] = now

    told = said_of(spoilt(condition, both))

    (one,) = told.moved
    assert (one.row, one.cell, one.printed) == (7, "reading", None)
    assert one.follows is not None
    assert float(one.carried.replace(",", ".")) == pytest.approx(
        float(one.follows.replace(",", ".")) + 5.0
    )
    assert not told.is_good


@pytest.mark.parametrize(
    ("gauge", "row", "cell"),
    [("correction", 3, "first"), ("string_set", 1, "pitch_hz"), ("action", 2, "gap_1")],
)
def test_a_row_of_any_table_is_named(condition, gauge, row, cell):
    def change(data: dict[str, Any]) -> None:
        cells = reading_of(data, gauge)["raw"]["rows"][row - 1]
        cells[cell] = f"{float(cells[cell].replace(',', '.')) + 1:.2f}"

    told = said_of(spoilt(condition, change))

    assert [(one.gauge, one.row, one.cell) for one in told.moved] == [(gauge, row, cell)]
    assert not told.is_good


def test_a_single_value_that_was_moved_is_named(condition):
    def change(data: dict[str, Any]) -> None:
        reading_of(data, "crack_joint")["raw"]["fields"]["gap_mm"] = "0,35"

    told = said_of(spoilt(condition, change))

    (one,) = told.moved
    assert (one.row, one.cell, one.carried, one.printed) == (None, "gap_mm", "0,35", "0,3")
    assert one.follows == "0,3"


def test_a_row_that_was_taken_out_is_named(condition):
    def change(data: dict[str, Any]) -> None:
        cells = reading_of(data, "wheel")["raw"]["rows"][3]
        cells["reading"] = ""

    told = said_of(spoilt(condition, change))

    assert {(one.row, one.cell, one.carried) for one in told.moved} == {
        (4, "reading", ""),
        (4, "angle_deg", ""),
    }
    assert told.counts["differ"] > 0


def test_a_figure_that_was_made_better_is_named_and_no_row_is_blamed(condition, read):
    def change(data: dict[str, Any]) -> None:
        for figure in reading_of(data, "wheel")["figures"]:
            if figure["key"] == "tir_mm":
                figure |= {"value": 0.012, "verdict": "inside"}

    code, said, err = read(spoilt(condition, change))

    (one,) = [row for row in said["figures"] if row["result"] == "differ"]
    assert code == 1
    assert (one["figure"], one["stated"]["value"]) == ("tir_mm", 0.012)
    assert one["recomputed"]["verdict"] == "outside"
    assert said["moved"] == []
    assert [row["figure"] for row in said["unlike_printed"]] == ["tir_mm"]
    assert "run-out in one turn – stated 0.012 ± 0.002988\u00a0mm, inside, computed" in err


def test_a_verdict_that_does_not_follow_from_its_limit_differs(condition):
    def change(data: dict[str, Any]) -> None:
        figure = reading_of(data, "wheel")["figures"][0]
        figure["upper"] = 9.0

    told = said_of(spoilt(condition, change))

    (one,) = [row for row in told.figures if row.result == "differ"]
    assert one.recomputed is not None
    assert (one.stated["verdict"], one.recomputed["verdict"]) == ("outside", "inside")


def test_a_figure_that_was_left_out_is_missed(condition):
    def change(data: dict[str, Any]) -> None:
        del reading_of(data, "wheel")["figures"][0]

    told = said_of(spoilt(condition, change))

    (one,) = [row for row in told.figures if row.result == "differ"]
    assert (one.figure, one.stated["value"]) == ("tir_mm", None)
    assert "it is not stated" in one.why


def test_a_page_that_says_another_value_than_the_data_is_named(condition, read):
    def change(data: dict[str, Any]) -> None:
        block = next(one for one in data["content"]["readings"] if one["gauge"] == "wheel")
        block["figures"][0]["value"] = "0.020 mm"

    code, said, err = read(spoilt(condition, change))

    assert (code, said["counts"]["differ"]) == (1, 0)
    assert "run-out in one turn: the page says “0.020 mm" in err


def test_changes_and_promises_are_computed_anew(reports):
    def change(data: dict[str, Any]) -> None:
        data["data"]["changes"][0]["change"] = -40.0
        data["data"]["promises"][0]["got"] = 0.0

    told = said_of(spoilt(reports["treatment_report", "en"].pdf, change))

    assert [one.kind for one in told.figures if one.result == "differ"] == ["change", "promise"]
    assert told.moved == []
    assert told.sentences[0].startswith("work ")


def test_a_logger_s_file_that_was_changed_or_taken_out_is_named(condition):
    changed = said_of(with_file(condition, lambda content: content + b"\n", ".csv"))
    gone = said_of(with_file(condition, lambda _content: None, ".csv"))

    assert "differ" in {one["result"] for one in changed.files}
    assert "missing" in {one["result"] for one in gone.files}
    for told, words in ((changed, "is not the file"), (gone, "is not enclosed any more")):
        left = [one for one in told.figures if one.result == "not_recomputed"]
        assert {one.gauge for one in left} == {"climate_log"}
        assert all(words in one.why for one in left)
        assert not told.is_good


def test_values_that_the_gauge_refuses_are_said_in_its_words(condition):
    def change(data: dict[str, Any]) -> None:
        reading_of(data, "wheel")["raw"]["fields"]["mean_diameter_mm"] = "17"

    told = said_of(spoilt(condition, change))

    left = [one for one in told.figures if one.result == "not_recomputed"]
    assert left and {one.gauge for one in left} == {"wheel"}
    assert "17 is less than 60" in left[0].why
    assert [one.cell for one in told.moved] == ["mean_diameter_mm"]


def test_a_gauge_that_nobody_knows_is_no_pass(condition):
    def change(data: dict[str, Any]) -> None:
        reading_of(data, "wheel")["gauge"] = "hurdy"

    told = said_of(spoilt(condition, change))

    assert told.counts["not_recomputed"] > 5
    assert "knows no gauge of that name" in told.sentences[0]
    assert not told.is_good


def test_another_version_of_the_gauge_is_computed_and_named_where_it_differs(condition):
    def change(data: dict[str, Any]) -> None:
        reading = reading_of(data, "wheel")
        reading["version"] = "wheel 99"
        reading["figures"][0]["value"] += 0.001

    told = said_of(spoilt(condition, change))

    (one,) = [row for row in told.figures if row.result == "differ"]
    assert one.why == (
        "Stated by version 99 of the gauge, computed here by version 3 of the gauge."
    )


def test_more_rows_than_a_sheet_takes_are_not_computed(condition):
    def change(data: dict[str, Any]) -> None:
        raw = reading_of(data, "wheel")["raw"]
        raw["rows"] = raw["rows"] * 100

    told = said_of(spoilt(condition, change))

    assert told.counts["not_recomputed"] > 5


def test_the_search_for_a_row_gives_up_in_the_end(condition, monkeypatch):
    monkeypatch.setattr(moved, "MOST_RUNS", 5)

    def change(data: dict[str, Any]) -> None:
        move_dial(data)

    (one,) = said_of(spoilt(condition, change)).moved

    assert (one.row, one.follows) == (7, None)
    assert one.printed is not None
