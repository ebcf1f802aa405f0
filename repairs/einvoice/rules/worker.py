"""A process apart that holds e-invoices against the official rules: ``python -I rules_worker.py``.

Saxon can take a whole process down, and a hostile file can keep one busy; neither may happen to
the server. It reads one JSON request a line and answers each with one JSON line: what it found,
or ``fault`` when it could not do its work. It ends when nobody asks for a while, or its asker ends.
It needs neither Django nor the rest of the house; ``rules_process`` is its other end.
"""

from __future__ import annotations

import base64
import io
import json
import os
import resource
import signal
import sys
from collections.abc import Callable
from functools import cache
from typing import Any

from lxml import etree  # type: ignore[import-untyped]

IDLE_S = 900
SVRL = "{http://purl.oclc.org/dsdl/svrl}"
# Style sheets may name addresses: checking an invoice must tell nobody that it exists.
NO_NETWORK = ("http://saxon.sf.net/feature/allowedProtocols", "file")
ATTACHED = ("factur-x.xml", "xrechnung.xml", "zugferd-invoice.xml")
Answer = dict[str, Any]


def rules(request: Answer) -> Answer:
    """Hold the XML against a schema, then against each set of rules.

    What the schema refuses is not judged further. Raises when a set did not really run.
    """
    # A received file is anybody's: entities could name files of this machine, or grow without end.
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False)
    root = etree.fromstring(base64.b64decode(request["xml"]), parser)
    if root.getroottree().docinfo.internalDTD is not None:
        raise ValueError("a document type declaration")
    schema = _schema(request["xsd"])
    if not schema.validate(root):
        findings = [
            {"rule": "XSD", "flag": "fatal", "text": error.message, "where": f"line {error.line}"}
            for error in schema.error_log
        ]
        return {"ran": {request["xsd"]: 1}, "findings": findings}
    text = etree.tostring(root, encoding="unicode")
    answer: Answer = {"ran": {request["xsd"]: 1}, "findings": []}
    for path in request["xslt"]:
        fired, findings = _schematron(path, text)
        answer["ran"][path] = fired
        answer["findings"] += findings
    return answer


@cache
def _schema(path: str) -> Any:
    return etree.XMLSchema(etree.parse(path))


@cache
def _saxon() -> tuple[Any, Any]:
    from saxonche import PySaxonProcessor  # noqa: PLC0415 - reading a PDF needs no Saxon

    processor = PySaxonProcessor(license=False)
    processor.set_configuration_property(*NO_NETWORK)
    return processor, processor.new_xslt30_processor()


@cache
def _stylesheet(path: str) -> Any:
    return _saxon()[1].compile_stylesheet(stylesheet_file=path)


def _schematron(path: str, text: str) -> tuple[int, list[Answer]]:
    """How many rules were tried, and what they found. An empty result is no result."""
    processor, _compiler = _saxon()
    stylesheet = _stylesheet(path)
    node = processor.parse_xml(xml_text=text)
    stylesheet.set_global_context_item(xdm_item=node)
    report = etree.fromstring((stylesheet.transform_to_string(xdm_node=node) or "").encode())
    if report.tag != f"{SVRL}schematron-output":
        raise ValueError(f"no report of rules, but {report.tag}")
    fired = sum(1 for _rule in report.iter(f"{SVRL}fired-rule"))
    if not fired:
        raise ValueError("no rule was tried")
    found = report.iter(f"{SVRL}failed-assert", f"{SVRL}successful-report")
    return fired, [_finding(one) for one in found]


def _finding(one: Any) -> Answer:
    """What is not marked as a mere warning is fatal: one set leaves the mark of the fatal empty."""
    mark = one.get("flag") or one.get("role") or ""
    return {
        "rule": one.get("id") or "?",
        "flag": mark if mark in ("warning", "information") else "fatal",
        "text": " ".join((one.findtext(f"{SVRL}text") or "").split()),
        "where": one.get("location") or "",
    }


def extract(request: Answer) -> Answer:
    """The e-invoice inside a PDF; ``xml`` is None when there is none."""
    from pypdf import PdfReader  # noqa: PLC0415 - most requests bring no PDF

    reader = PdfReader(io.BytesIO(base64.b64decode(request["pdf"])))
    if reader.is_encrypted:
        return {"xml": None, "encrypted": True}
    for name, contents in reader.attachments.items():
        if name.lower() in ATTACHED and contents:
            return {"xml": base64.b64encode(contents[0]).decode()}
    return {"xml": None}


TASKS: dict[str, Callable[[Answer], Answer]] = {"rules": rules, "extract": extract}


def main() -> None:
    """Answer requests, one JSON object a line, until standard input ends."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # what a library prints must not be taken for an answer
    while True:
        signal.alarm(IDLE_S)
        line = sys.stdin.readline()
        signal.alarm(0)
        if not line:
            return
        try:
            request = json.loads(line)
            answer = TASKS[request["task"]](request)
        except Exception as fault:  # whatever it is, the asker must be told
            answer = {"fault": f"{type(fault).__name__}: {fault}"}
        answer["peak_mb"] = _peak_mb()
        answers.write(json.dumps(answer) + "\n")
        answers.flush()


def _peak_mb() -> int:
    """The most memory that this program held. What getrusage says counts the parent's as well:
    Linux hands it on through fork and exec."""
    try:
        with open("/proc/self/status", encoding="ascii") as status:  # noqa: PTH123
            peak = next(line for line in status if line.startswith("VmHWM:"))
        return int(peak.split()[1]) // 1024
    except (OSError, StopIteration, ValueError):
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


if __name__ == "__main__":
    main()
