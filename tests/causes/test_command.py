"""``manage.py causes``: one case in, an answer out; what cannot be is refused with a sentence."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

HERE = Path(__file__).parent
CASE = json.loads((HERE / "worked_faults.json").read_text("utf-8"))["cases"][8]


def said(case: Any, monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(case)))
    out = io.StringIO()
    call_command("causes", "-", stdout=out)
    return dict(json.loads(out.getvalue()))


def refused(case: Any, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setattr(
        "sys.stdin", io.StringIO(case if isinstance(case, str) else json.dumps(case))
    )
    complaint = io.StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("causes", "-", stderr=complaint)
    assert ended.value.code == 2
    return complaint.getvalue()


def test_a_case_in_a_file_and_on_standard_input_get_the_same_answer(tmp_path, monkeypatch):
    file, out = tmp_path / "case.json", io.StringIO()
    file.write_text(json.dumps(CASE), encoding="utf-8")
    call_command("causes", str(file), stdout=out)

    answer = said(CASE, monkeypatch)

    assert json.loads(out.getvalue()) == answer
    assert answer["causes"][0]["key"] == "tirant_slack"
    assert "Heard: the dog never buzzes (odds × 63)." in answer["causes"][0]["for"]
    assert "Read: onset of the buzz never (odds × 22)." in answer["causes"][0]["for"]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"kind": "spoon"}, "kind is spoon, which is not known"),
        ({"kind": None}, "kind is missing"),
        ({"heard": ["humming"]}, "heard (row 1) is humming, which is not known"),
        (
            {"heard": ["dog_late"], "asked_not_heard": ["dog_late"]},
            "heard is dog_late, which cannot",
        ),
        ({"readings": [{"gauge": "ear"}]}, "readings.gauge (row 1) is ear"),
        ({"readings": [{"gauge": "wheel"}]}, "readings.given is missing (row 1)"),
        (
            {"readings": [{"gauge": "wheel", "given": {"readings_mm": ["x"]}}]},
            "readings 1 (wheel).",
        ),
        ({"history": [{"what": "strings", "days": -2}]}, "history.days (row 1) is -2"),
        ({"history": [{"days": 2}]}, "history.what is missing (row 1)"),
        ({"history": [{"what": "strings", "days": 2, "weeks": 1}]}, "Leave out exactly one"),
        ({"findings": [{"part": "wheel"}]}, "findings.term is missing (row 1)"),
        ({"findings": "crack"}, "findings is missing"),
        ({"looked": "tirant_slack"}, "looked is missing"),
        ({"looked": ["tirant_slack"]}, "looked.cause is missing (row 1)"),
        ({"looked": [{"cause": "spoon", "found": True}]}, "looked.cause (row 1) is spoon"),
        ({"looked": [{"cause": "tirant_slack", "found": 1}]}, "looked.found is missing (row 1)"),
        (
            {"looked": [{"cause": "dog_gap", "found": found} for found in (True, False)]},
            "looked.cause (row 2) is dog_gap, which stands there twice",
        ),
        ({"undone": [{"cause": "peg_worn"}]}, "undone.cause (row 1) is peg_worn"),
        ({"undone": ["tirant_slack"]}, "undone.cause is missing (row 1)"),
        (
            {"undone": [{"cause": "tirant_slack", "symptom": "gritty", "stays": True}]},
            "undone.symptom (row 1) is gritty",
        ),
        (
            {"undone": [{"cause": "tirant_slack", "symptom": "dog_silent"}]},
            "undone.stays is missing (row 1)",
        ),
        (
            {
                "undone": [
                    {"cause": "tirant_slack", "symptom": "dog_silent", "stays": stays}
                    for stays in (True, False)
                ]
            },
            "undone.symptom (row 2) is dog_silent, which stands there twice",
        ),
        ({"hearrd": ["dog_late"]}, "case is hearrd, which is not known"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(change, sentence, monkeypatch):
    assert sentence in refused({**CASE, **change}, monkeypatch)


@pytest.mark.parametrize("text", ["", "[1, 2]", "{", '"word"'])
def test_what_is_no_case_is_refused(text, monkeypatch):
    assert "input" in refused(text, monkeypatch)


def test_a_check_that_was_made_counts_and_says_so(monkeypatch):
    plain = said(CASE, monkeypatch)
    denied = said({**CASE, "looked": [{"cause": "tirant_slack", "found": False}]}, monkeypatch)

    def row(answer):
        return next(one for one in answer["causes"] if one["key"] == "tirant_slack")

    assert row(denied)["probability"] < row(plain)["probability"]
    assert "Looked at, and it is not so (odds ÷ 9.5)." in row(denied)["against"]
    assert set(plain) >= {"causes", "next"} and plain["version"] == "causes 3"


def test_what_stays_when_a_cause_is_put_out_of_the_way_counts_and_says_so(monkeypatch):
    def told(*, stays: bool) -> tuple[float, list[str]]:
        undone = [{"cause": "tirant_slack", "symptom": "dog_silent", "stays": stays}]
        answer = said({**CASE, "undone": undone}, monkeypatch)
        row = next(one for one in answer["causes"] if one["key"] == "tirant_slack")
        return row["probability"], [*row["for"], *row["against"]]

    stays, gone = told(stays=True), told(stays=False)

    assert stays[0] < gone[0] and gone[0] > 0.95
    again = "Heard again with a cause put out of the way: the dog never buzzes (odds "
    assert all(any(words.startswith(again) for words in rows) for _p, rows in (stays, gone))


def test_notes_of_somebody_are_passed_over(monkeypatch):
    assert said({**CASE, "diary": "wet", "truth": ["peg_dry"]}, monkeypatch) == said(
        CASE, monkeypatch
    )
