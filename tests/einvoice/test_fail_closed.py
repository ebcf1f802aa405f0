"""A check that did not run is an error, never a pass: workers that die, hang, lie or lack rules."""

from __future__ import annotations

import os
import signal
import threading
from pathlib import Path

import pytest

from repairs.einvoice.check.validate import (
    BUILDERS,
    RuleReport,
    build_checked,
    check_rules,
)
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.refusals import RulesNotRunError
from repairs.einvoice.rules import rule_sets
from repairs.einvoice.rules.process import PROCESS, RulesProcess
from repairs.einvoice.write.cii import build_cii
from tests.einvoice.samples import (
    TWO_RATES,
)

XML = build_cii(TWO_RATES)


def hold(process: RulesProcess, *, limit_s: float = 120.0) -> RuleReport:
    read = read_xml(XML, "x")
    try:
        return check_rules(read, XML, french=True, process=process, limit_s=limit_s)
    finally:
        process.stop()


def impostor(tmp_path: Path, body: str) -> RulesProcess:
    """A worker that does something else than its work."""
    script = tmp_path / "impostor.py"
    script.write_text(f"import json, os, sys, time, signal\n{body}\n", encoding="utf-8")
    return RulesProcess(script)


@pytest.mark.parametrize(
    "body",
    [
        "",
        "sys.exit(0)",
        "sys.exit(3)",
        "sys.stdin.readline(); os.kill(os.getpid(), signal.SIGKILL)",
        "sys.stdin.readline(); print('nonsense', flush=True); time.sleep(60)",
        "sys.stdin.readline(); print('[]', flush=True); time.sleep(60)",
        "sys.stdin.readline(); print('{}', flush=True); time.sleep(60)",
        "sys.stdin.readline(); print('null', flush=True); time.sleep(60)",
        "sys.stdin.readline(); print('{\"findings\": []}', flush=True); time.sleep(60)",
        'sys.stdin.readline(); print(\'{"ran": {}, "findings": []}\', flush=True); time.sleep(60)',
        "r = json.loads(sys.stdin.readline()); ran = {r['xsd']: 1}; "
        "print(json.dumps({'ran': ran, 'findings': []}), flush=True); time.sleep(60)",
        "r = json.loads(sys.stdin.readline()); ran = {p: 0 for p in [r['xsd'], *r['xslt']]}; "
        "print(json.dumps({'ran': ran, 'findings': []}), flush=True); time.sleep(60)",
        "r = json.loads(sys.stdin.readline()); ran = {p: 9 for p in [r['xsd'], r['xslt'][0]]}; "
        "print(json.dumps({'ran': ran, 'findings': []}), flush=True); time.sleep(60)",
        "r = json.loads(sys.stdin.readline()); ran = {p: 9 for p in [r['xsd'], *r['xslt']]}; "
        "print(json.dumps({'ran': ran, 'findings': ['?']}), flush=True); time.sleep(60)",
        'sys.stdin.readline(); print(\'{"fault": "out of breath"}\', flush=True); time.sleep(60)',
    ],
)
def test_a_worker_that_does_not_do_its_work_is_no_pass(tmp_path, body):
    with pytest.raises(RulesNotRunError, match="no pass"):
        hold(impostor(tmp_path, body))


@pytest.mark.parametrize("body", ["time.sleep(60)", "sys.stdin.readline(); time.sleep(60)"])
def test_a_worker_that_says_nothing_is_killed_at_the_time_limit(tmp_path, body):
    process = impostor(tmp_path, body)

    with pytest.raises(RulesNotRunError, match="in time"):
        hold(process, limit_s=0.5)

    assert process.pid is None


def test_more_than_the_pipe_holds_to_a_worker_that_does_not_read_ends_at_the_limit(tmp_path):
    process = impostor(tmp_path, "time.sleep(60)")

    with pytest.raises(RulesNotRunError, match="in time"):
        process.ask({"task": "rules", "xml": "x" * 1_000_000}, limit_s=0.5)
    process.stop()


def test_a_worker_killed_between_two_invoices_is_replaced():
    process = RulesProcess()
    read = read_xml(XML, "x")
    try:
        check_rules(read, XML, french=True, process=process)
        first = process.pid
        assert first
        os.kill(first, signal.SIGKILL)
        os.waitid(os.P_PID, first, os.WEXITED | os.WNOWAIT)

        report = check_rules(read, XML, french=True, process=process)

        assert report.passed
        assert process.pid != first
    finally:
        process.stop()


def test_a_large_server_does_not_count_as_memory_of_the_worker():
    """Through fork and exec a child inherits its parent's peak; the worker must not be replaced."""
    ballast = bytearray(900 * 1024 * 1024)
    ballast[::4096] = b"x" * len(ballast[::4096])
    process = RulesProcess()
    try:
        check_rules(read_xml(XML, "x"), XML, french=True, process=process)

        assert process.pid is not None
    finally:
        process.stop()
        del ballast


def stylesheet(tmp_path: Path, body: str) -> str:
    path = tmp_path / "rules.xslt"
    path.write_text(
        '<xsl:stylesheet version="2.0" xmlns:xsl="http://www.w3.org/1999/XSL/Transform" '
        'xmlns:svrl="http://purl.oclc.org/dsdl/svrl">'
        f'<xsl:template match="/">{body}</xsl:template>'
        '<xsl:template name="on"><xsl:call-template name="on"/></xsl:template></xsl:stylesheet>',
        encoding="utf-8",
    )
    return str(path)


@pytest.mark.parametrize(
    "body",
    [
        "",
        "<nothing/>",
        "<svrl:schematron-output/>",
        "<svrl:schematron-output><svrl:active-pattern/></svrl:schematron-output>",
        '<xsl:message terminate="yes">no</xsl:message>',
        "<xsl:no-such-thing/>",
    ],
)
def test_a_set_of_rules_that_tries_nothing_is_no_pass(tmp_path, monkeypatch, body):
    empty = stylesheet(tmp_path, body)
    monkeypatch.setitem(rule_sets.FRENCH_FILES, "cii", empty)

    with pytest.raises(RulesNotRunError, match="no pass"):
        hold(RulesProcess())


def test_a_set_of_rules_without_an_end_is_killed(tmp_path, monkeypatch):
    endless = stylesheet(tmp_path, '<xsl:call-template name="on"/>')
    monkeypatch.setitem(rule_sets.FRENCH_FILES, "cii", endless)

    with pytest.raises(RulesNotRunError):
        hold(RulesProcess(), limit_s=5)


def test_a_missing_file_of_rules_is_no_pass(monkeypatch):
    monkeypatch.setitem(rule_sets.FRENCH_FILES, "cii", "cii-schematron-fr-ctc/gone.xslt")

    with pytest.raises(RulesNotRunError, match=r"gone\.xslt is missing"):
        hold(RulesProcess())


def test_a_report_of_nothing_is_no_pass():
    assert not RuleReport(checked=(), tried=0, findings=()).passed
    assert not RuleReport(checked=("XSD",), tried=0, findings=()).passed


def test_several_threads_share_one_worker():
    reports: list[RuleReport] = []
    threads = [
        threading.Thread(target=lambda: reports.append(build_checked(TWO_RATES).report))
        for _ in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert [report.passed for report in reports] == [True] * 4


def test_a_copy_of_the_server_does_not_use_its_parents_worker():
    build_checked(TWO_RATES)
    parents = PROCESS.pid
    copy = os.fork()
    if not copy:  # the copy says by its exit code whether it got a worker of its own
        passed = build_checked(TWO_RATES).report.passed and PROCESS.pid != parents
        PROCESS.stop()
        os._exit(0 if passed else 1)

    assert os.waitstatus_to_exitcode(os.waitpid(copy, 0)[1]) == 0
    assert build_checked(TWO_RATES).report.passed
    assert PROCESS.pid == parents


def test_the_server_never_loads_saxon():
    assert set(BUILDERS) == {"cii", "ubl"}
    room = Path(rule_sets.__file__).parents[1]
    users = [path.name for path in room.rglob("*.py") if "saxonche" in path.read_text("utf-8")]

    assert users == ["worker.py"]
