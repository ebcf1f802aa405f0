"""An e-invoice that somebody sent: its five totals as stated and as recomputed, and its faults."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.einvoice.check.findings import FATAL, TOLERATED, WARNING, Finding
from repairs.einvoice.check.validate import RuleReport, check_rules
from repairs.einvoice.document import CREDIT
from repairs.einvoice.read.read import read_xml, xml_of
from repairs.einvoice.read.received import ReadInvoice
from repairs.einvoice.rules.process import PROCESS, RulesProcess
from repairs.einvoice.rules.rule_sets import FRENCH_NAME
from repairs.language.text import decimal_words, language
from repairs.money import NOTHING, exact_words
from repairs.press.document import plain

FIVE: dict[str, str | Promise] = {
    "lines_net": gettext_lazy("Sum of the lines (BT-106)"),
    "net": gettext_lazy("Total before VAT (BT-109)"),
    "vat": gettext_lazy("VAT (BT-110)"),
    "gross": gettext_lazy("Total with VAT (BT-112)"),
    "due": gettext_lazy("To be paid (BT-115)"),
}
SETS: dict[str, str | Promise] = {
    "XSD": gettext_lazy("schema of the format (XSD)"),
    FRENCH_NAME: gettext_lazy("French rules (FR-CTC)"),
}


@dataclass(frozen=True, kw_only=True)
class ReceivedCheck:
    """All that can be told of a received file; ``xml`` is kept for showing it."""

    name: str
    invoice: ReadInvoice
    report: RuleReport
    xml: bytes
    is_inside_pdf: bool

    @property
    def passed(self) -> bool:
        """Whether all rules of its profile were tried and none is broken."""
        return self.report.passed

    @property
    def what_was_read(self) -> str:
        """Said of a PDF alone: its page is for people, and nobody compared it with the XML."""
        if not self.is_inside_pdf:
            return ""
        return _(
            "Only the XML inside the PDF was read and checked, not the page that people see. The "
            "page may say something else, or the file may have been changed: compare them."
        )

    @property
    def sums(self) -> list[tuple[str, Decimal | None, Decimal | None]]:
        """The five totals: what each is, as stated, as recomputed."""
        stated, anew = self.invoice.stated, self.invoice.recomputed()
        return [
            (str(label), getattr(stated, name), getattr(anew, name)) for name, label in FIVE.items()
        ]

    @property
    def checked_words(self) -> str:
        """The sets of rules that were really tried, by names that a reader knows."""
        return ", ".join(str(SETS.get(name, name)) for name in self.report.checked)

    @property
    def ours(self) -> list[Finding]:
        """What the program says itself; what is broken comes first."""
        return [one for one in self._by_weight() if one.is_ours]

    @property
    def published(self) -> list[Finding]:
        """What the published rules say; what is broken comes first."""
        return [one for one in self._by_weight() if not one.is_ours]

    def _by_weight(self) -> list[Finding]:
        return sorted(self.report.findings, key=lambda one: not one.is_fatal)

    def data(self) -> dict[str, Any]:
        """As the command prints it."""
        read, found = self.invoice, self.report.findings
        return {
            "file": self.name,
            "syntax": read.syntax,
            "profile": read.guideline,
            "kind": read.kind,
            "number": read.number,
            "issued_on": plain(read.issued_on),
            "seller": read.seller,
            "buyer": read.buyer,
            "currency": read.currency,
            "stated": _amounts(plain(read.stated)),
            "recomputed": _amounts(plain(read.recomputed())),
            "checked": list(self.report.checked),
            "rules_tried": self.report.tried,
            "findings": [{**plain(one), "language": one.language or language()} for one in found],
            "passed": self.passed,
            "only_xml_inside_pdf": self.is_inside_pdf,
            "note": self.what_was_read,
        }


def _amounts(five: dict[str, str | None]) -> dict[str, str | None]:
    return {
        name: None if amount is None else format(Decimal(amount), ".2f")
        for name, amount in five.items()
    }


def check_received(data: bytes, name: str, *, process: RulesProcess = PROCESS) -> ReceivedCheck:
    """Read the file and hold it against the rules of its profile.

    Raises ReceivedUnreadableError when there is nothing to read, RulesNotRunError when the rules
    could not be tried; neither is a pass.
    """
    xml = xml_of(data, name)
    read = read_xml(xml, name)
    official = check_rules(read, xml, french=read.seller_country == "FR", process=process)
    own = (*_sums(read), *_bases(read), *_lines(read), *_mentions(read))
    findings = (*official.findings, *own)
    report = RuleReport(checked=official.checked, tried=official.tried, findings=findings)
    return ReceivedCheck(
        name=name, invoice=read, report=report, xml=xml, is_inside_pdf=xml is not data
    )


def _sums(read: ReadInvoice) -> Iterator[Finding]:
    """What the sums ought to be; within the tolerance of the standard it is a warning only.

    So the last credit note of an invoice may take exactly the tax that is left, which need not be
    base × rate (EN 16931, BR-CO-17).
    """
    recomputed = read.recomputed()
    for name, label in FIVE.items():
        stated, ought = getattr(read.stated, name), getattr(recomputed, name)
        if stated is None or ought is None or stated == ought:
            continue
        flag = _weight(stated, ought)
        why = _("%(sum)s: %(stated)s is stated, but computed from the lines it is %(ought)s.")
        said = {"stated": exact_words(stated), "ought": exact_words(ought)}
        text = why % {"sum": label, **said}
        yield Finding(rule="OWN-TOTALS", flag=flag, text=text)


def _bases(read: ReadInvoice) -> Iterator[Finding]:
    """The base of each tax group is what its lines come to, less allowances; short profiles have
    no lines. One tax may be told in several groups, for several reasons."""
    ought = read.bases() if read.lines else {}
    stated: dict[tuple[str, Decimal], Decimal] = {}
    for group in read.groups:
        key = (group.category, group.rate_pct)
        stated[key] = stated.get(key, NOTHING) + group.amount
    for key, base in stated.items():
        if read.lines and base != (found := ought.get(key, NOTHING)):
            why = _(
                "Tax group %(category)s %(rate)s %%: its base is stated as %(stated)s, but its "
                "lines, less allowances, come to %(ought)s."
            )
            figures = {"stated": exact_words(base), "ought": exact_words(found)}
            text = why % {"category": key[0], "rate": decimal_words(key[1]), **figures}
            yield Finding(rule="OWN-BASE", flag=_weight(base, found), text=text)


def _weight(stated: Decimal, ought: Decimal) -> str:
    return WARNING if abs(stated - ought) <= TOLERATED else FATAL


def _lines(read: ReadInvoice) -> Iterator[Finding]:
    """A warning only: published examples, too, have lines that are not quantity × price."""
    for line in read.lines:
        if line.net is not None and line.expected_net not in (None, line.net):
            why = _("Line %(number)s is stated as %(net)s, but quantity × price is %(ought)s.")
            said = {"net": exact_words(line.net), "ought": exact_words(line.expected_net)}
            text = why % {"number": line.number, **said}
            yield Finding(rule="OWN-LINE-NET", flag=WARNING, text=text)


def _mentions(read: ReadInvoice) -> Iterator[Finding]:
    if read.kind == CREDIT and not read.references:
        text = _("The credit note does not name the invoice it corrects.")
        yield Finding(rule="OWN-CREDIT", flag=WARNING, text=text)
    owes = read.kind != CREDIT and (read.stated.due or 0) > 0
    if owes and not read.due_on and not read.payment_terms:
        text = _("An amount is due, but no date by which it is to be paid.")
        yield Finding(rule="OWN-DUE", flag=WARNING, text=text)
