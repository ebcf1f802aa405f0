"""The process apart, piece by piece and without Saxon: what it answers, and what it never does."""

from __future__ import annotations

import base64
import io
import json
import sys
import types
from typing import Any

import pypdf
import pytest
from lxml import etree  # type: ignore[import-untyped]

from repairs.einvoice.rules import worker
from repairs.einvoice.rules.rule_sets import EN16931, path_of
from repairs.einvoice.write.cii import build_cii
from tests.einvoice.heard import heard
from tests.einvoice.samples import TWO_RATES

CII = build_cii(TWO_RATES)
SVRL = 'xmlns:svrl="http://purl.oclc.org/dsdl/svrl"'


def b64(data: bytes) -> str:
    return base64.b64encode(data).decode()


def asked(xml: bytes, *xslt: str) -> dict[str, Any]:
    return {"task": "rules", "xml": b64(xml), "xsd": path_of(EN16931.xsd), "xslt": list(xslt)}


def test_what_the_schema_lets_pass_is_held_against_each_set_of_rules(monkeypatch):
    monkeypatch.setattr(worker, "_schematron", lambda path, text: (len(path), [{"rule": path}]))
    request = asked(CII, "one", "three")

    answer = worker.rules(request)

    assert answer["ran"] == {request["xsd"]: 1, "one": 3, "three": 5}
    assert answer["findings"] == [{"rule": "one"}, {"rule": "three"}]


def test_what_the_schema_refuses_is_not_judged_further(monkeypatch):
    monkeypatch.setattr(worker, "_schematron", lambda path, text: (1, []))
    request = asked(CII.replace(b"ram:CityName>", b"ram:Town>"), "one")

    answer = worker.rules(request)

    assert answer["ran"] == {request["xsd"]: 1}
    assert {(one["rule"], one["flag"]) for one in answer["findings"]} == {("XSD", "fatal")}
    assert answer["findings"][0]["where"].startswith("line ")


def test_a_document_type_is_refused_before_anything_of_it_is_looked_up(tmp_path):
    broken = tmp_path / "broken.dtd"
    broken.write_text("<!ELEMENT", encoding="utf-8")

    with pytest.raises(ValueError, match="a document type declaration"):
        worker.rules(asked(f'<!DOCTYPE a SYSTEM "{broken.as_uri()}"><a/>'.encode()))


def test_the_parser_follows_nothing_out_of_the_file(monkeypatch):
    told: list[dict[str, bool]] = []
    made = etree.XMLParser
    monkeypatch.setattr(
        "repairs.einvoice.rules.worker.etree.XMLParser",
        lambda **said: heard(told, said, made(**said)),
    )

    worker.rules(asked(CII))

    assert told == [{"resolve_entities": False, "no_network": True, "load_dtd": False}]


class Sheet:
    """A compiled set of rules that says the same whatever it is asked."""

    def __init__(self, says: str | None) -> None:
        self.says, self.context = says, ""

    def set_global_context_item(self, *, xdm_item: str) -> None:
        self.context = xdm_item

    def transform_to_string(self, *, xdm_node: str) -> str | None:
        assert self.context == xdm_node == "node of <a/>"
        return self.says


def schematron(monkeypatch, says: str | None) -> tuple[int, list[dict[str, Any]]]:
    processor = types.SimpleNamespace(parse_xml=lambda *, xml_text: f"node of {xml_text}")
    monkeypatch.setattr(worker, "_saxon", lambda: (processor, None))
    monkeypatch.setattr(worker, "_stylesheet", lambda path: Sheet(says))
    return worker._schematron("rules.xslt", "<a/>")


def test_tried_rules_are_counted_and_what_they_found_is_told(monkeypatch):
    fired, found = schematron(
        monkeypatch,
        f"<svrl:schematron-output {SVRL}><svrl:fired-rule/><svrl:fired-rule/><svrl:fired-rule/>"
        '<svrl:failed-assert id="BR-1" location="/a"><svrl:text> It\n is </svrl:text>'
        '</svrl:failed-assert><svrl:successful-report id="BR-2" flag="warning"/>'
        "</svrl:schematron-output>",
    )

    assert fired == 3
    assert found == [
        {"rule": "BR-1", "flag": "fatal", "text": "It is", "where": "/a"},
        {"rule": "BR-2", "flag": "warning", "text": "", "where": ""},
    ]


@pytest.mark.parametrize(
    ("says", "why"),
    [
        (None, "Document is empty"),
        ("<nothing/>", "no report of rules, but nothing"),
        (f"<svrl:schematron-output {SVRL}/>", "no rule was tried"),
    ],
)
def test_an_empty_report_is_no_report(monkeypatch, says, why):
    with pytest.raises((ValueError, etree.XMLSyntaxError), match=why):
        schematron(monkeypatch, says)


@pytest.mark.parametrize(
    ("marks", "flag"),
    [
        ('flag="warning"', "warning"),
        ('flag="information"', "information"),
        ('role="warning"', "warning"),
        ('flag="" role="information"', "information"),
        ('flag="fatal" role="warning"', "fatal"),
        ('flag="error"', "fatal"),
        ("", "fatal"),
    ],
)
def test_what_is_not_marked_as_a_mere_warning_is_fatal(marks, flag):
    found = worker._finding(etree.fromstring(f"<failed-assert {marks}/>"))

    assert found == {"rule": "?", "flag": flag, "text": "", "where": ""}


def test_saxon_is_started_without_a_licence_and_reads_files_alone(monkeypatch):
    told: list[Any] = []

    class Processor:
        def __init__(self, *, license: bool) -> None:
            told.append(license)

        def set_configuration_property(self, name: str, value: str) -> None:
            told.append((name, value))

        def new_xslt30_processor(self) -> Any:
            return types.SimpleNamespace(compile_stylesheet=lambda *, stylesheet_file: "compiled")

    fake = types.SimpleNamespace(PySaxonProcessor=Processor)
    monkeypatch.setitem(sys.modules, "saxonche", fake)
    pair = worker._saxon.__wrapped__()
    monkeypatch.setattr(worker, "_saxon", lambda: pair)

    assert told == [False, ("http://saxon.sf.net/feature/allowedProtocols", "file")]
    assert worker._stylesheet.__wrapped__("rules.xslt") == "compiled"


def pdf(*names: str, password: str = "") -> str:
    writer = pypdf.PdfWriter()
    writer.add_blank_page(200, 200)
    for name in names:
        writer.add_attachment(name, f"<{name}/>".encode())
    if password:
        writer.encrypt(password, algorithm="RC4-128")
    written = io.BytesIO()
    writer.write(written)
    return b64(written.getvalue())


@pytest.mark.parametrize(
    ("names", "xml"),
    [
        (["factur-x.xml"], b"<factur-x.xml/>"),
        (["notes.txt", "ZUGFeRD-invoice.XML"], b"<ZUGFeRD-invoice.XML/>"),
        (["notes.txt"], None),
        ([], None),
    ],
)
def test_the_invoice_is_taken_out_by_its_name(names, xml):
    answer = worker.extract({"pdf": pdf(*names)})

    assert answer == {"xml": None if xml is None else b64(xml)}


def test_a_locked_file_is_not_opened():
    answer = worker.extract({"pdf": pdf("factur-x.xml", password="sésame")})

    assert answer == {"xml": None, "encrypted": True}


class Out(io.StringIO):
    """What was really handed over: only what was flushed."""

    sent = ""

    def flush(self) -> None:
        self.sent = self.getvalue()


def test_each_line_is_answered_with_one_line_until_nobody_asks_any_more(monkeypatch):
    out, alarms, copied = Out(), list[int](), list[tuple[int, ...]]()
    monkeypatch.setattr(
        "repairs.einvoice.rules.worker.os.dup", lambda *said: heard(copied, said, 77)
    )
    monkeypatch.setattr("repairs.einvoice.rules.worker.os.dup2", lambda *said: copied.append(said))
    monkeypatch.setattr(
        "repairs.einvoice.rules.worker.os.fdopen",
        lambda file, *_said, **_more: out if file == 77 else 0,
    )
    monkeypatch.setattr("repairs.einvoice.rules.worker.signal.alarm", alarms.append)
    monkeypatch.setattr(worker, "_peak_mb", lambda: 12)
    monkeypatch.setitem(worker.TASKS, "echo", lambda request: {"said": request["words"]})
    asked_lines = '{"task": "echo", "words": "ah"}\n{"task": "none"}\nnonsense\n'
    monkeypatch.setattr("sys.stdin", io.StringIO(asked_lines))

    worker.main()

    assert copied == [(1,), (2, 1)]  # errors go where answers went; answers have a way of their own
    assert alarms == [900, 0] * 4
    first, second, third = (json.loads(line) for line in out.sent.splitlines())
    assert first == {"said": "ah", "peak_mb": 12}
    assert second == {"fault": "KeyError: 'none'", "peak_mb": 12}
    assert third["fault"].startswith("JSONDecodeError: ")


def test_the_most_memory_is_told_in_megabytes(monkeypatch):
    """2,096,128 kB are 2,047 times 1,024 kB (by hand)."""
    status = "VmPeak:\t 1 kB\nVmHWM:\t 2096128 kB\nVmRSS:\t 5 kB\n"
    monkeypatch.setattr(worker, "open", lambda *_a, **_k: io.StringIO(status), raising=False)
    assert worker._peak_mb() == 2047

    monkeypatch.setattr(worker, "open", lambda *_a, **_k: io.StringIO(""), raising=False)
    used = types.SimpleNamespace(ru_maxrss=2096128)
    monkeypatch.setattr("repairs.einvoice.rules.worker.resource.getrusage", lambda _who: used)
    assert worker._peak_mb() == 2047
