"""``manage.py read_paper FILE.pdf``: every figure computed anew, and what was touched is named."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from django.conf import settings
from django.core.management import call_command
from django.utils import translation

from repairs.language.text import LANGUAGES
from repairs.papers.carried import moved
from repairs.papers.carried.schema import SCHEMA_FILE, schema_text
from repairs.papers.carried.told import Told, told_of
from repairs.press.document import EARLIER_FORMATS, FORMAT
from tests.papers.carrying import BOTH, reading_of, reports, spoilt, with_file

__all__ = ["reports"]

pytestmark = pytest.mark.django_db
Said = tuple[int, dict[str, Any], str]


@pytest.fixture
def read(tmp_path: Path, capsys) -> Callable[[bytes], Said]:
    def run(pdf: bytes, *words: str) -> Said:
        path = tmp_path / "report.pdf"
        path.write_bytes(pdf)
        return command(str(path), *words)

    def command(*words: str) -> Said:
        code = 0
        try:
            call_command("read_paper", *words)
        except SystemExit as end:
            code = int(end.code or 0)
        said = capsys.readouterr()
        return code, json.loads(said.out) if said.out else {}, said.err

    return run


@pytest.fixture
def condition(reports) -> bytes:
    return bytes(reports["condition_report", "en"].pdf)


def said_of(pdf: bytes) -> Told:
    return told_of(pdf, "report.pdf")


# A good report -------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", BOTH)
@pytest.mark.parametrize("language", LANGUAGES)
def test_every_figure_of_a_report_as_it_was_issued_agrees(reports, read, kind, language):
    made = reports[kind, language]

    code, said, err = read(made.pdf)

    assert (code, said["counts"]["differ"], said["counts"]["not_recomputed"]) == (0, 0, 0)
    assert said["counts"]["agree"] == len(said["figures"]) > 100
    assert {one["result"] for one in said["figures"]} == {"agree"}
    assert (said["moved"], said["unlike_printed"]) == ([], [])
    assert said["paper"] == made.data
    assert said["seal"]["code"] == made.sheet.seal.code
    assert err.count("\n") == 1


def test_figures_changes_and_promises_are_told_as_stated_and_as_recomputed(reports, read):
    _code, said, _err = read(reports["treatment_report", "en"].pdf)

    kinds = {one["kind"] for one in said["figures"]}
    tir = next(one for one in said["figures"] if one["figure"] == "tir_mm")
    promise = next(one for one in said["figures"] if one["kind"] == "promise")
    assert kinds == {"figure", "change", "promise"}
    assert tir["stated"] == tir["recomputed"]
    assert set(tir["stated"]) == {"value", "u", "verdict"}
    assert (tir["unit"], tir["label"], tir["gauge"]) == ("mm", "run-out in one turn", "wheel")
    assert set(promise["recomputed"]) == {"expected", "expected_u", "got", "got_u"}


def test_the_file_of_a_logger_is_enclosed_and_its_figures_computed_from_it(reports, read):
    pdf = reports["condition_report", "en"].pdf
    _code, said, _err = read(pdf)

    assert {one["result"] for one in said["files"]} == {"agree"}
    assert said["files"][0]["name"].endswith(".csv")
    assert any(one["gauge"] == "climate_log" for one in said["figures"])


def test_an_empty_data_folder_and_no_database_are_enough(condition, tmp_path):
    path = tmp_path / "report.pdf"
    path.write_bytes(condition)
    own = {
        "SAUTEREAU_DATA": str(tmp_path / "empty"),
        "DATABASE_URL": f"sqlite:///{tmp_path}/nowhere/none.sqlite3",
        "SAUTEREAU_LANGUAGE": "en",
    }
    done = subprocess.run(
        [sys.executable, "manage.py", "read_paper", str(path)],
        cwd=settings.BASE_DIR,
        env=os.environ | own,
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["counts"]["differ"] == 0


def test_the_schema_is_printed_and_travels_in_the_report(condition, capsys):
    call_command("read_paper", "--schema")

    assert json.loads(capsys.readouterr().out) == json.loads(schema_text())
    with pikepdf.open(io.BytesIO(condition)) as document:
        enclosed = document.attachments[SCHEMA_FILE.name].get_file().read_bytes()
    assert enclosed.decode() == schema_text()


# A touched one -------------------------------------------------------------------------------


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
    assert (one["reading"], one["row"], one["cell"], one["label"]) == (number, 7, "reading", "dial")
    assert one["printed"] == one["follows"] == was[0] != one["carried"]
    assert {row["reading"] for row in said["figures"] if row["result"] == "differ"} == {number}
    assert said["counts"]["differ"] >= 4
    assert f"reading {number} (wheel, dial readings), row 7: dial – “{one['carried']}”" in err
    assert (
        "run-out in one turn – stated 0.2 ± 0.007071\u00a0mm, outside, computed here 0.237" in err
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
    assert "run-out in one turn – stated 0.012 ± 0.007071\u00a0mm, inside, computed" in err


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
    assert one.why == "Stated by “wheel 99”, computed here by “wheel 1”."


def test_more_rows_than_a_sheet_takes_are_not_computed(condition):
    def change(data: dict[str, Any]) -> None:
        raw = reading_of(data, "wheel")["raw"]
        raw["rows"] = raw["rows"] * 100

    told = said_of(spoilt(condition, change))

    assert told.counts["not_recomputed"] > 5


def test_the_search_for_a_row_gives_up_in_the_end(condition, monkeypatch):
    monkeypatch.setattr(moved, "MOST_RUNS", 5)

    (one,) = said_of(spoilt(condition, lambda data: move_dial(data) and None)).moved

    assert (one.row, one.follows) == (7, None)
    assert one.printed is not None


# Older papers, other papers, bad input ---------------------------------------------------------


def test_a_paper_of_the_first_format_is_read_and_said_to_carry_words_only(condition, read):
    def change(data: dict[str, Any]) -> None:
        data["format"] = EARLIER_FORMATS[0]
        del data["data"]

    code, said, err = read(spoilt(condition, change))

    assert (code, said["figures"], said["format"]) == (1, [], "sautereau-paper/1")
    assert said["paper"]["content"]["readings"]
    assert "no figure of it can be computed anew" in err


def test_a_paper_without_readings_is_read_and_nothing_is_claimed(condition, read):
    def change(data: dict[str, Any]) -> None:
        data["kind"] = "care_sheet"
        del data["data"]

    code, said, err = read(spoilt(condition, change))

    assert (code, said["figures"]) == (0, [])
    assert "there is nothing to compute anew" in err


def encrypted(pdf: bytes) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        document.save(out, encryption=pikepdf.Encryption(owner="o", user="u"))
    return out.getvalue()


def bare(pdf: bytes) -> bytes:
    return with_file(with_file(pdf, lambda _content: None), lambda _content: None, ".json")


def other_json(pdf: bytes) -> bytes:
    return with_file(pdf, lambda _content: b'{"format": "another"}')


def set_to(**values: Any) -> Callable[[bytes], bytes]:
    return lambda pdf: spoilt(pdf, lambda data: data.update(values))


def without(name: str) -> Callable[[bytes], bytes]:
    return lambda pdf: spoilt(pdf, lambda data: data.pop(name))


def twice(pdf: bytes) -> bytes:
    return spoilt(pdf, lambda data: data["data"]["readings"].append(data["data"]["readings"][0]))


BAD: dict[str, tuple[Callable[[bytes], bytes], str, str]] = {
    "empty": (lambda _pdf: b"", "is not a PDF", "n’est pas un PDF"),
    "words": (lambda _pdf: b"plain words", "is not a PDF", "n’est pas un PDF"),
    "a picture": (lambda _pdf: b"\xff\xd8\xff\xe0JFIF", "is not a PDF", "n’est pas un PDF"),
    "cut short": (lambda pdf: pdf[: len(pdf) // 2], "is damaged", "est abîmé"),
    "a head only": (lambda _pdf: b"%PDF-1.7\n", "is damaged", "est abîmé"),
    "encrypted": (encrypted, "is encrypted", "est chiffré"),
    "nothing inside": (bare, "carries no data", "n’emporte pas de données"),
    "another's data": (other_json, "carries no data", "n’emporte pas de données"),
    "no JSON": (
        lambda pdf: with_file(pdf, lambda content: content[:-40]),
        "cannot be read as JSON",
        "ne se lit pas comme du JSON",
    ),
    "not UTF-8": (
        lambda pdf: with_file(pdf, lambda _content: b"\xff\xfe{}"),
        "cannot be read as JSON",
        "ne se lit pas comme du JSON",
    ),
    "not a number": (
        lambda pdf: with_file(pdf, lambda _content: b'{"x": NaN}'),
        "cannot be read as JSON: NaN",
        "ne se lit pas comme du JSON",
    ),
    "endless brackets": (
        lambda pdf: with_file(pdf, lambda _content: b"[" * 200_000),
        "cannot be read as JSON",
        "ne se lit pas comme du JSON",
    ),
    "a later format": (
        set_to(format="sautereau-paper/9"),
        "in the format “sautereau-paper/9”, and this program reads “sautereau-paper/2”",
        "au format « sautereau-paper/9 »",
    ),
    "a report without data": (
        without("data"),
        "the data it carries is not whole: “data” is no object",
        "ne sont pas entières",
    ),
    "an empty object": (set_to(data={}), "“data.case” is missing", "« data.case » manque"),
    "a number twice": (twice, "“data.readings” has number", "« data.readings » a deux fois"),
}


@pytest.mark.parametrize("case", BAD)
@pytest.mark.parametrize("language", LANGUAGES)
def test_what_cannot_be_read_is_told_in_one_sentence(condition, read, case, language):
    spoil, english, french = BAD[case]

    with translation.override(language):
        code, said, err = read(spoil(condition))

    words = err.replace("\u00a0", " ").replace("\u202f", " ")
    assert (code, said) == (2, {})
    assert words.startswith(("“report.pdf”", "« report.pdf »"))
    assert (english if language == "en" else french) in words
    assert err.count("\n") == 1


def test_a_file_that_is_not_there_and_no_file_at_all_are_told(tmp_path, capsys):
    for words, said in (
        ([str(tmp_path / "none.pdf")], "there is no such file."),
        ([str(tmp_path)], "it is a folder."),
        ([], "Name the PDF of a report."),
    ):
        with pytest.raises(SystemExit) as end:
            call_command("read_paper", *words)
        assert end.value.code == 2
        assert said in capsys.readouterr().err


def test_the_format_is_the_second_and_the_first_is_known():
    assert FORMAT == "sautereau-paper/2"
    assert EARLIER_FORMATS == ("sautereau-paper/1",)
