"""``manage.py read_paper FILE.pdf``: every figure of a report as it was issued, computed anew."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys

import pikepdf
import pytest
from django.conf import settings
from django.core.management import call_command

from repairs.language.text import LANGUAGES
from repairs.papers.carried.schema import SCHEMA_FILE, schema_text
from tests.papers.carrying import BOTH, condition, read, reports

__all__ = ["condition", "read", "reports"]

pytestmark = pytest.mark.django_db


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
