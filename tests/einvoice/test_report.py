"""What the process apart answered is believed only as far as every set of rules really ran."""

from __future__ import annotations

import dataclasses
import os
from typing import Any

import pytest

from repairs.einvoice.check import validate as room
from repairs.einvoice.check.findings import Finding
from repairs.einvoice.check.validate import RuleReport, _report, _waive
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.refusals import InvoiceRulesError, RulesNotRunError
from repairs.einvoice.rules import rule_sets
from repairs.einvoice.rules.process import RulesProcess
from repairs.einvoice.rules.rule_sets import rule_set_of
from repairs.einvoice.write.cii import build_cii
from tests.einvoice.heard import heard
from tests.einvoice.samples import PRIVATE, TWO_RATES

XSD, SETS = "a.xsd", {"EN": "en.xslt", "FR": "fr.xslt"}
READ = read_xml(build_cii(TWO_RATES), "x")


def found(rule: str, flag: str = "fatal") -> dict[str, str]:
    return {"rule": rule, "flag": flag, "text": f"text of {rule}", "where": ""}


def answered(ran: dict[str, int], *findings: dict[str, str]) -> RuleReport:
    return _report({"ran": ran, "findings": list(findings)}, XSD, SETS)


def test_every_set_that_ran_is_named_and_its_rules_are_counted():
    report = answered({XSD: 1, "en.xslt": 40, "fr.xslt": 2})

    assert (report.checked, report.tried, report.passed) == (("XSD", "EN", "FR"), 43, True)


@pytest.mark.parametrize(
    ("ran", "names"),
    [
        ({XSD: 1, "en.xslt": 40}, "FR"),
        ({XSD: 1, "en.xslt": 40, "fr.xslt": 0}, "FR"),
        ({XSD: 1}, "EN, FR"),
        ({"en.xslt": 40, "fr.xslt": 2}, "XSD"),
        ({XSD: 0, "en.xslt": 40, "fr.xslt": 2}, "XSD"),
    ],
)
@pytest.mark.parametrize("findings", [[], [found("BR-1")]])
def test_a_set_that_did_not_run_is_named_and_is_no_pass(ran, names, findings):
    with pytest.raises(RulesNotRunError, match=f"no rule of {names} was tried"):
        answered(ran, *findings)


def test_what_the_schema_refused_needs_no_other_set():
    report = answered({XSD: 1}, found("XSD"))

    assert (report.checked, report.tried, report.passed) == (("XSD",), 1, False)
    with pytest.raises(RulesNotRunError, match="no rule of EN, FR was tried"):
        answered({XSD: 0}, found("XSD"))


@pytest.mark.parametrize(
    ("checked", "tried", "flags", "passed"),
    [
        (("XSD",), 1, [], True),
        (("XSD",), 0, [], False),
        ((), 1, [], False),
        (("XSD",), 1, ["warning", "information", "waived"], True),
        (("XSD",), 1, ["warning", "fatal"], False),
    ],
)
def test_when_a_report_is_a_pass(checked, tried, flags, passed):
    findings = tuple(Finding(**found("BR-1", flag)) for flag in flags)
    report = RuleReport(checked=checked, tried=tried, findings=findings)

    assert report.passed is passed
    assert len(report.fatal) == flags.count("fatal")


@pytest.mark.parametrize(
    ("rule", "doc", "flag"),
    [
        ("BR-FR-12_BT-49", PRIVATE, "waived"),
        ("BR-FR-12_BT-49", TWO_RATES, "fatal"),  # between two firms it is wanted
        ("BR-FR-11_BT-47", PRIVATE, "fatal"),
    ],
)
def test_an_address_for_e_invoices_is_asked_of_firms_alone(rule, doc, flag):
    told = _waive(Finding(**found(rule)), doc)

    assert (told.rule, told.flag, told.text) == (rule, flag, f"text of {rule}")


@pytest.mark.parametrize(
    ("findings", "said"),
    [
        ([found(f"BR-{n}") for n in range(1, 8)], "BR-5: text of BR-5 Correct"),
        ([found("BR-1", "warning"), found("BR-2")], "issued: BR-2: text of BR-2 Correct"),
    ],
)
def test_a_refusal_names_the_first_five_broken_rules(monkeypatch, findings, said):
    rows = tuple(Finding(**one) for one in findings)
    report = RuleReport(checked=("XSD",), tried=1, findings=rows)
    monkeypatch.setattr(room, "check_invoice", lambda *_said, **_more: report)

    with pytest.raises(InvoiceRulesError) as refusal:
        room.build_checked(TWO_RATES)
    assert said in str(refusal.value)
    assert "BR-6" not in str(refusal.value)


def test_a_refusal_of_what_was_not_tried_says_so(monkeypatch):
    report = RuleReport(checked=(), tried=0, findings=())
    monkeypatch.setattr(room, "check_invoice", lambda *_said, **_more: report)

    with pytest.raises(InvoiceRulesError, match=r"issued: no rule was tried\."):
        room.build_checked(TWO_RATES)


@pytest.mark.parametrize(("french", "sets"), [(True, 2), (False, 1)])
def test_the_rules_of_france_are_asked_for_only_where_they_apply(french, sets):
    asked: list[Any] = []

    class Echo:
        def ask(self, request: Any, *, limit_s: float) -> Any:
            asked.append((request, limit_s))
            return {"ran": dict.fromkeys([request["xsd"], *request["xslt"]], 1), "findings": []}

    echo: Any = Echo()
    report = room.check_rules(READ, b"<a/>", french=french, process=echo, limit_s=3.0)

    [(request, limit_s)] = asked
    assert (request["task"], len(request["xslt"]), limit_s) == ("rules", sets, 3.0)
    assert ("FR-CTC" in report.checked) is french


@pytest.mark.parametrize(
    ("syntax", "guideline", "root", "name"),
    [
        ("ubl", "", "Invoice", rule_sets.UBL_INVOICE),
        ("ubl", "", "CreditNote", rule_sets.UBL_CREDIT),
        ("ubl", "urn:factur-x.eu:1p0:minimum", "Invoice", rule_sets.UBL_INVOICE),
        ("cii", "urn:factur-x.eu:1p0:minimum", "", rule_sets.MINIMUM),
        ("cii", "urn:another", "", rule_sets.EN16931),
    ],
)
def test_each_profile_has_its_set_of_rules(syntax, guideline, root, name):
    assert rule_set_of(syntax, guideline, root) is name


@pytest.mark.parametrize("places", [None, []])
def test_without_the_package_of_the_rules_nothing_passes(monkeypatch, places):
    spec = None if places is None else type("Spec", (), {"submodule_search_locations": places})
    monkeypatch.setattr(rule_sets, "find_spec", lambda _name: spec)

    with pytest.raises(FileNotFoundError, match="not installed"):
        rule_sets.folder.__wrapped__()


class Started:
    """Stands for a process that was started; it runs until ``over`` says how it ended."""

    over: int | None = None
    stdin = stdout = None

    def __init__(self, *_said: Any, **more: Any) -> None:
        self.more = more

    def poll(self) -> int | None:
        return self.over

    def kill(self) -> None:
        self.over = -9

    def wait(self) -> None:
        assert self.over is not None


def test_a_process_is_started_once_and_again_when_it_has_ended(monkeypatch):
    blocking: list[Any] = []
    monkeypatch.setattr("repairs.einvoice.rules.process.subprocess.Popen", Started)
    monkeypatch.setattr(
        "repairs.einvoice.rules.process.os.set_blocking", lambda *said: blocking.append(said)
    )
    monkeypatch.setattr(RulesProcess, "_pipe", staticmethod(lambda _pipe: 5))
    house: Any = RulesProcess()

    first = house._running()
    assert house._running() is first
    assert first.more["bufsize"] == 0
    first.over = 3
    second = house._running()
    assert second is not first
    assert first.over == -9  # what had ended was cleared away
    house._owner = os.getpid() + 1  # as a copy of the server sees it
    third = house._running()
    assert third is not second
    assert second.over is None
    assert blocking == [(5, False)] * 3


@pytest.mark.parametrize(("country", "french"), [("FR", True), ("BE", False)])
def test_the_rules_of_france_are_for_a_seller_in_france(monkeypatch, country, french):
    asked: list[Any] = []
    report = RuleReport(checked=("XSD",), tried=1, findings=())
    monkeypatch.setattr(
        room, "check_rules", lambda *_said, **more: heard(asked, more["french"], report)
    )
    seller = dataclasses.replace(TWO_RATES.seller, country=country)
    doc = dataclasses.replace(TWO_RATES, seller=seller)

    room.check_invoice(doc, build_cii(doc))
    assert asked == [french]
