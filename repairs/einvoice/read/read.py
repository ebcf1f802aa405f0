"""Reading an e-invoice, ours or another's: CII or UBL, alone or inside a PDF."""

from __future__ import annotations

import base64

from django.utils.translation import gettext as _

from repairs.einvoice.read.cii import read_cii
from repairs.einvoice.read.parsing import Part, parse
from repairs.einvoice.read.received import ReadInvoice
from repairs.einvoice.read.ubl import read_ubl
from repairs.einvoice.refusals import ReceivedUnreadableError, RulesNotRunError
from repairs.einvoice.rules.process import PROCESS
from repairs.einvoice.write import ubl as build_ubl
from repairs.einvoice.write.cii_parties import NAMESPACES

MOST_PDF_BYTES = 20_000_000
PDF_HEAD = b"%PDF-"
PDF_LIMIT_S = 20.0
CII_ROOT = f"{{{NAMESPACES['rsm']}}}CrossIndustryInvoice"
UBL_ROOTS = {
    f"{{{build_ubl.INVOICE_ROOT}}}Invoice": "Invoice",
    f"{{{build_ubl.CREDIT_ROOT}}}CreditNote": "CreditNote",
}


def xml_of(data: bytes, name: str) -> bytes:
    """The XML itself; out of a PDF it is taken by the process apart, never by this one."""
    if PDF_HEAD not in data[:1024]:
        return data
    if len(data) > MOST_PDF_BYTES:
        raise ReceivedUnreadableError(name=name, why=_("the PDF is larger than 20 MB."))
    request = {"task": "extract", "pdf": base64.b64encode(data).decode()}
    try:
        answer = PROCESS.ask(request, limit_s=PDF_LIMIT_S)
    except RulesNotRunError as fault:
        raise ReceivedUnreadableError(name=name, why=_("the PDF is damaged.")) from fault
    if answer.get("encrypted"):
        raise ReceivedUnreadableError(name=name, why=_("the PDF is locked with a password."))
    if answer["xml"] is None:
        why = _("the PDF holds no e-invoice, it is only a picture of one.")
        raise ReceivedUnreadableError(name=name, why=why)
    return base64.b64decode(answer["xml"])


def read_xml(xml: bytes, name: str) -> ReadInvoice:
    """Raises ReceivedUnreadableError when it is neither CII nor UBL, or a number is none."""
    root = parse(xml, name)
    if root.tag == CII_ROOT:
        return read_cii(Part(root, NAMESPACES, name))
    if kind_of_root := UBL_ROOTS.get(root.tag):
        return read_ubl(Part(root, build_ubl.COMMON, name), kind_of_root)
    why = _("its root element is “%(tag)s”, which is neither CII nor UBL.") % {"tag": root.tag}
    raise ReceivedUnreadableError(name=name, why=why)
