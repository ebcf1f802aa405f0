"""Invented invoices. The numbers of firms, taxes and accounts pass their check digits only."""

from __future__ import annotations

import dataclasses
import datetime as dt
from decimal import Decimal
from typing import Any

from repairs.einvoice.document import (
    CREDIT,
    DEPOSIT,
    EXEMPT,
    EXPORT,
    HOUR,
    OUTSIDE,
    REVERSE,
    SQUARE_METRE,
    STANDARD,
    WITHIN_EU,
    Allowance,
    Deposit,
    Exemption,
    InvoiceDoc,
    Line,
    Note,
    Party,
    Preceding,
)

D = Decimal
ISSUED, DUE, DONE = dt.date(2026, 11, 20), dt.date(2026, 12, 20), dt.date(2026, 11, 18)

WORKSHOP = Party(
    name="Atelier Sautarel",
    legal_name="Sautarel SARL",
    legal_form="SARL au capital de 8 000 EUR, RCS Montbrac 000 123 455",
    address=("1, rue du Puits",),
    postcode="99001",
    city="Montbrac",
    country="FR",
    siren="000123455",
    siret="00012345500016",
    vat_id="FR31000123455",
    contact="Hélène Sautarel",
    email="atelier@example.org",
    phone="+33 1 99 00 11 22",
    iban="FR7699999000010000000004286",
)
MUSEUM = Party(
    name="Musée des instruments de Valfroide",
    address=("10, quai du Nord", "Bâtiment B"),
    postcode="99750",
    city="Valfroide",
    country="FR",
    siren="000543215",
    siret="00054321500016",
    vat_id="FR57000543215",
    email="achats@example.com",
)
PLAYER = Party(
    name="Garance Ollivant",
    address=("3, chemin des Aulnes",),
    postcode="99002",
    city="Montbrac",
    country="FR",
    email="garance@example.org",
    is_business=False,
)
GERMAN = Party(
    name="Orchesterhaus Beispiel GmbH",
    address=("Am Anger 4",),
    postcode="99999",
    city="Musterstadt",
    country="DE",
    vat_id="DE999000009",
    email="einkauf@example.de",
)
SWISS = Party(
    name="Klanghaus Beispiel AG",
    address=("Seeweg 2",),
    postcode="9999",
    city="Beispielen",
    country="CH",
    registration="CHE999000002",
    email="atelier@example.ch",
)
NOTES = (
    Note(code="PMT", text="Indemnité forfaitaire pour frais de recouvrement : 40 EUR."),
    Note(code="PMD", text="Pénalités de retard : trois fois le taux d’intérêt légal."),
    Note(code="AAB", text="Pas d’escompte pour paiement anticipé."),
)


def line(number: str = "1", **fields: Any) -> Line:
    given: dict[str, Any] = {
        "description": "Rectification de la roue",
        "quantity": D("7.25"),
        "unit": HOUR,
        "unit_price": D("48.00"),
        "rate_pct": D("20"),
    }
    return Line(number=number, **(given | fields))


TWO_RATES = InvoiceDoc(
    number="FA-2026-0042",
    issued_on=ISSUED,
    due_on=DUE,
    delivery_on=DONE,
    seller=WORKSHOP,
    buyer=MUSEUM,
    buyer_reference="CASE-2026-017",
    order_reference="BC-117",
    lines=(
        line("1"),
        line(
            "2",
            description="Cuir de veau",
            details="tannage végétal",
            quantity=D("0.35"),
            unit=SQUARE_METRE,
            unit_price=D("129.90"),
        ),
        line("3", description="Fil de lin", quantity=D(3), unit="C62", unit_price=D("4.333")),
        line(
            "4",
            description="Méthode de vielle (livre)",
            quantity=D(1),
            unit="C62",
            unit_price=D("18.95"),
            rate_pct=D("5.5"),
        ),
    ),
    deposits=(Deposit(amount=D("150.00")),),
    notes=NOTES,
    payment_terms="30 jours date de facture",
)
DISCOUNTED = dataclasses.replace(
    TWO_RATES,
    number="FA-2026-0044",
    lines=(
        line("1", discount=D("18.00"), discount_reason="geste commercial"),
        *TWO_RATES.lines[1:],
    ),
    allowances=(
        Allowance(amount=D("25.00"), reason="remise de fidélité", rate_pct=D(20)),
        Allowance(amount=D("12.50"), reason="transport", rate_pct=D(20), is_charge=True),
    ),
    deposits=(Deposit(amount=D("100.00"), number="AC-2026-0007", issued_on=dt.date(2026, 10, 1)),),
)
EXEMPTED = dataclasses.replace(
    TWO_RATES,
    number="FA-2026-0043",
    seller=dataclasses.replace(WORKSHOP, vat_id="", legal_form="EI", legal_name="H. Sautarel EI"),
    lines=(
        line("1", quantity=D("5.5"), unit_price=D(42), category=EXEMPT, rate_pct=D(0)),
        line("2", quantity=D(4), unit_price=D("3.275"), category=EXEMPT, rate_pct=D(0)),
    ),
    deposits=(Deposit(amount=D("80.00")),),
    exemptions=(
        Exemption(
            category=EXEMPT,
            code="VATEX-FR-FRANCHISE",
            text="TVA non applicable, art. 293 B du CGI",
        ),
    ),
)
CREDITED = dataclasses.replace(
    TWO_RATES,
    kind=CREDIT,
    number="AV-2026-0003",
    due_on=None,
    lines=(
        line("1", description="Main-d’œuvre facturée en trop", quantity=D("1.25")),
        TWO_RATES.lines[3],
    ),
    deposits=(),
    preceding=(Preceding(number="FA-2026-0042", issued_on=ISSUED),),
)
DEPOSITED = dataclasses.replace(
    TWO_RATES,
    kind=DEPOSIT,
    number="AC-2026-0007",
    delivery_on=None,
    lines=(line("1", description="Acompte", quantity=D(1), unit="C62", unit_price=D("125")),),
    deposits=(),
)
PRIVATE = dataclasses.replace(TWO_RATES, number="FA-2026-0045", buyer=PLAYER, order_reference="")
REVERSED = dataclasses.replace(
    TWO_RATES,
    number="FA-2026-0046",
    buyer=GERMAN,
    lines=(line(category=REVERSE, rate_pct=D(0)),),
    deposits=(),
    exemptions=(
        Exemption(category=REVERSE, code="VATEX-EU-AE", text="Autoliquidation par le preneur"),
    ),
)
SENT_WITHIN_EU = dataclasses.replace(
    REVERSED,
    number="FA-2026-0047",
    operation="B",
    lines=(line(category=WITHIN_EU, rate_pct=D(0)),),
    exemptions=(
        Exemption(category=WITHIN_EU, code="VATEX-EU-IC", text="Livraison intracommunautaire"),
    ),
)
EXPORTED = dataclasses.replace(
    REVERSED,
    number="FA-2026-0048",
    buyer=SWISS,
    lines=(line(category=EXPORT, rate_pct=D(0)),),
    exemptions=(
        Exemption(category=EXPORT, code="VATEX-EU-G", text="Exonération, art. 262 I du CGI"),
    ),
)
NOT_SUBJECT = dataclasses.replace(
    REVERSED,
    number="FA-2026-0049",
    buyer=SWISS,
    lines=(line(category=OUTSIDE, rate_pct=D(0)),),
    exemptions=(
        Exemption(category=OUTSIDE, code="VATEX-EU-O", text="Hors champ, art. 259-1° du CGI"),
    ),
)
MIXED = dataclasses.replace(
    TWO_RATES,
    number="FA-2026-0050",
    operation="M",
    lines=(*TWO_RATES.lines, line("5", category=EXEMPT, rate_pct=D(0))),
    exemptions=(Exemption(category=EXEMPT, text="Exonération, art. 261 du CGI"),),
)
PAID = dataclasses.replace(
    TWO_RATES, number="FA-2026-0051", deposits=(Deposit(amount=D("507.75")),), payment_means="48"
)
FOREIGN_HOUSE = dataclasses.replace(
    TWO_RATES,
    number="R-2026-1",
    seller=dataclasses.replace(GERMAN, iban="DE53999999990000000042", tax_number="99/999/00009"),
    buyer=MUSEUM,
    lines=(line(category=STANDARD, rate_pct=D(19)),),
    deposits=(),
    notes=(),
)
ALL = (
    TWO_RATES,
    DISCOUNTED,
    EXEMPTED,
    CREDITED,
    DEPOSITED,
    PRIVATE,
    REVERSED,
    SENT_WITHIN_EU,
    EXPORTED,
    NOT_SUBJECT,
    MIXED,
    PAID,
    FOREIGN_HOUSE,
)
