"""Holding an e-invoice against schema and rules, and saying which ones it breaks. Fails closed."""

from __future__ import annotations

import base64
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from repairs.einvoice.check.findings import FATAL, WAIVED, Finding
from repairs.einvoice.check.own import check_document, check_written
from repairs.einvoice.document import InvoiceDoc
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.read.received import ReadInvoice
from repairs.einvoice.refusals import InvoiceRulesError, RulesNotRunError
from repairs.einvoice.rules.process import LIMIT_S, PROCESS, RulesProcess
from repairs.einvoice.rules.rule_sets import (
    CII,
    FRENCH_FILES,
    FRENCH_NAME,
    UBL,
    path_of,
    rule_set_of,
)
from repairs.einvoice.write import terms
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.ubl import build_ubl

BUILDERS: dict[str, Callable[[InvoiceDoc], bytes]] = {CII: build_cii, UBL: build_ubl}
NO_ADDRESS = ("BR-FR-12_BT-49",)
MOST_SAID = 5


@dataclass(frozen=True, kw_only=True)
class RuleReport:
    """What was checked, how many rules of each set were tried, and what they found."""

    checked: tuple[str, ...]
    tried: int
    findings: tuple[Finding, ...]

    @property
    def fatal(self) -> tuple[Finding, ...]:
        """The findings with which no invoice may go out."""
        return tuple(one for one in self.findings if one.flag == FATAL)

    @property
    def passed(self) -> bool:
        """Whether rules were tried and none is broken; nothing tried is no pass."""
        return bool(self.checked) and self.tried > 0 and not self.fatal


@dataclass(frozen=True, kw_only=True)
class Checked:
    """An e-invoice that passed, with the bytes that did."""

    xml: bytes
    syntax: str
    report: RuleReport


def build_checked(doc: InvoiceDoc, syntax: str = CII, *, limit_s: float = LIMIT_S) -> Checked:
    """Write the invoice and check what was written.

    Raises InvoiceFigureError on figures that cannot be, InvoiceRulesError when a rule is broken,
    and its RulesNotRunError when the rules could not be tried.
    """
    xml = BUILDERS[syntax](doc)
    report = check_invoice(doc, xml, limit_s=limit_s)
    if not report.passed:
        raise InvoiceRulesError(why=_said(report))
    return Checked(xml=xml, syntax=syntax, report=report)


def check_invoice(doc: InvoiceDoc, xml: bytes, *, limit_s: float = LIMIT_S) -> RuleReport:
    """Official rules and our own, for an invoice of ours."""
    read = read_xml(xml, doc.number)
    official = check_rules(read, xml, french=doc.seller.country == "FR", limit_s=limit_s)
    own = (*check_document(doc), *check_written(doc, read))
    findings = (*(_waive(one, doc) for one in official.findings), *own)
    return RuleReport(checked=official.checked, tried=official.tried, findings=findings)


def check_rules(
    read: ReadInvoice,
    xml: bytes,
    *,
    french: bool,
    process: RulesProcess = PROCESS,
    limit_s: float = LIMIT_S,
) -> RuleReport:
    """Schema, EN 16931 in its profile, and the French rules where they apply.

    Raises RulesNotRunError unless every set of rules really ran.
    """
    rules = rule_set_of(read.syntax, read.guideline, read.root)
    names = {rules.name: rules.xslt}
    if french:
        names[FRENCH_NAME] = FRENCH_FILES[read.syntax]
    try:
        xsd, sets = path_of(rules.xsd), {name: path_of(file) for name, file in names.items()}
    except FileNotFoundError as missing:
        raise RulesNotRunError(
            why=_("the file of rules %(name)s is missing") % {"name": missing}
        ) from missing
    request = {
        "task": "rules",
        "xml": base64.b64encode(xml).decode(),
        "xsd": xsd,
        "xslt": list(sets.values()),
    }
    answer = process.ask(request, limit_s=limit_s)
    return _report(answer, xsd, sets)


def _report(answer: dict[str, Any], xsd: str, sets: dict[str, str]) -> RuleReport:
    """Trusts nothing: each set must have tried rules, or the schema must have refused the file."""
    try:
        ran = {str(path): int(tried) for path, tried in answer["ran"].items()}
        findings = tuple(Finding(**one) for one in answer["findings"])
    except (KeyError, TypeError, ValueError, AttributeError) as fault:
        raise RulesNotRunError(why=_("the checking process ended or spoke nonsense")) from fault
    refused = any(one.rule == "XSD" for one in findings)
    missing = [name for name, path in sets.items() if not ran.get(path)]
    if not ran.get(xsd) or (missing and not refused):
        raise RulesNotRunError(
            why=_("no rule of %(names)s was tried") % {"names": ", ".join(missing) or "XSD"}
        )
    checked = ("XSD", *(name for name in sets if name not in missing))
    return RuleReport(checked=checked, tried=sum(ran.values()), findings=findings)


def _waive(one: Finding, doc: InvoiceDoc) -> Finding:
    """The electronic address is for the exchange between businesses in France: a player who has
    no e-mail, or a client abroad, gets a lawful invoice all the same."""
    if one.rule in NO_ADDRESS and terms.treatment(doc.buyer) != terms.BETWEEN_BUSINESSES:
        return Finding(rule=one.rule, flag=WAIVED, text=one.text, where=one.where)
    return one


def _said(report: RuleReport) -> str:
    said = [f"{one.rule}: {one.text}" for one in report.fatal[:MOST_SAID]]
    return " ".join(said) or _("no rule was tried.")
