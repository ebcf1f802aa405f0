"""``manage.py check_invoice FILE``: one JSON object, and an exit code that a script can trust."""

from __future__ import annotations

import json

import pytest
from django.core.management import call_command

from repairs.einvoice.rules import rule_sets
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.ubl import build_ubl
from tests.einvoice.samples import CREDITED, TWO_RATES


def run(path, capsys) -> tuple[int, dict, str]:
    code = 0
    try:
        call_command("check_invoice", str(path))
    except SystemExit as end:
        code = int(end.code or 0)
    said = capsys.readouterr()
    return code, json.loads(said.out) if said.out else {}, said.err


@pytest.fixture
def file(tmp_path):
    def write(data: bytes, name: str = "theirs.xml"):
        path = tmp_path / name
        path.write_bytes(data)
        return path

    return write


@pytest.mark.parametrize("build", [build_cii, build_ubl])
@pytest.mark.parametrize("doc", [TWO_RATES, CREDITED])
def test_a_good_file_exits_with_zero(file, capsys, build, doc):
    code, said, _err = run(file(build(doc)), capsys)

    assert code == 0
    assert said["passed"] is True
    assert set(said["stated"]) == {"lines_net", "net", "vat", "gross", "due"}
    assert said["stated"] == said["recomputed"]
    assert "FR-CTC" in said["checked"]
    assert said["findings"] == []


def test_a_fatal_rule_exits_with_one_and_is_named(file, capsys):
    code, said, _err = run(file(build_cii(TWO_RATES).replace(b"357.75", b"507.75")), capsys)

    assert code == 1
    assert said["passed"] is False
    assert (said["stated"]["due"], said["recomputed"]["due"]) == ("507.75", "357.75")
    assert "BR-CO-16" in {one["rule"] for one in said["findings"]}
    assert all(one["text"] for one in said["findings"])
    assert {one["language"] for one in said["findings"]} == {"en"}


@pytest.mark.parametrize("junk", [b"", b"plain words", b"%PDF-1.4", b"<x/>"])
def test_junk_exits_with_two_and_a_sentence(file, capsys, junk):
    code, said, err = run(file(junk), capsys)

    assert (code, said) == (2, {})
    assert err.startswith("“theirs.xml” cannot be read as an e-invoice: ")


def test_a_missing_file_exits_with_two_and_a_sentence(tmp_path, capsys):
    code, said, err = run(tmp_path / "gone.xml", capsys)

    assert (code, said) == (2, {})
    assert "gone.xml” cannot be read: there is no such file." in err


def test_a_folder_exits_with_two_and_a_sentence(tmp_path, capsys):
    code, said, err = run(tmp_path, capsys)

    assert (code, said) == (2, {})
    assert "it is a folder." in err


def test_rules_that_did_not_run_are_no_pass(file, capsys, monkeypatch):
    monkeypatch.setitem(rule_sets.FRENCH_FILES, "cii", "gone.xslt")

    code, said, err = run(file(build_cii(TWO_RATES)), capsys)

    assert (code, said) == (2, {})
    assert "no pass" in err
