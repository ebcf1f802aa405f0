"""An invoice as plain frozen data: what is billed, by whom, to whom, under which tax.

Codes are those of EN 16931: BT-3 kinds, UNTDID 5305 tax categories, UN/ECE Rec 20 units, UNTDID
4461 payment means, UNTDID 4451 notes. Amounts are positive, in credit notes too. What follows
from the lines is computed by ``totals.totals_of`` and stored nowhere here.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from decimal import Decimal

INVOICE, CREDIT, DEPOSIT = "380", "381", "386"
KINDS = (INVOICE, CREDIT, DEPOSIT)

STANDARD, ZERO, EXEMPT, REVERSE, EXPORT, WITHIN_EU, OUTSIDE = "S", "Z", "E", "AE", "G", "K", "O"
CATEGORIES = (STANDARD, ZERO, EXEMPT, REVERSE, EXPORT, WITHIN_EU, OUTSIDE)
NEEDS_REASON = (EXEMPT, REVERSE, EXPORT, WITHIN_EU, OUTSIDE)

PIECE, HOUR, MINUTE, DAY = "C62", "HUR", "MIN", "DAY"
METRE, SQUARE_METRE, GRAM, KILOGRAM, LITRE = "MTR", "MTK", "GRM", "KGM", "LTR"

TRANSFER, CASH, CHEQUE, CARD, SET_OFF = "30", "10", "20", "48", "97"
SERVICES, GOODS, MIXED = "S", "B", "M"  # what is billed, as the French rules name it
RECOVERY_FEE, PENALTY, DISCOUNT_TERMS, LEGAL_TEXT = "PMT", "PMD", "AAB", "REG"
OF_PAYING = frozenset({RECOVERY_FEE, PENALTY, DISCOUNT_TERMS})


@dataclasses.dataclass(frozen=True, kw_only=True)
class Party:
    """Seller or buyer, frozen at the moment of issue."""

    name: str
    legal_name: str = ""  # as registered, when it differs from the name used
    legal_form: str = ""  # form, capital, register: what the law wants printed about a seller
    address: tuple[str, ...] = ()  # up to three lines, without postcode and city
    postcode: str = ""
    city: str = ""
    country: str
    siren: str = ""
    siret: str = ""
    registration: str = ""  # number in the register of companies of another country
    vat_id: str = ""
    tax_number: str = ""
    contact: str = ""
    e_address: str = ""  # for e-invoices, with its scheme: 0225:732829320
    email: str = ""
    phone: str = ""
    iban: str = ""
    bic: str = ""
    is_business: bool = True

    @property
    def registered_name(self) -> str:
        """The name in the register (BT-27, BT-44); the name used where none other was given."""
        return self.legal_name or self.name


@dataclasses.dataclass(frozen=True, kw_only=True)
class Line:
    """One thing billed. Its net is quantity × price, rounded, less its discount."""

    number: str  # BT-126
    description: str  # BT-153
    details: str = ""  # BT-154
    quantity: Decimal  # BT-129
    unit: str = PIECE  # BT-130
    unit_price: Decimal  # BT-146: before tax
    category: str = STANDARD  # BT-151
    rate_pct: Decimal  # BT-152
    discount: Decimal = Decimal("0.00")  # BT-136
    discount_reason: str = ""  # BT-139
    gross: Decimal | None = None  # agreed with its tax; counts while the net is what lies in it
    is_flat: bool = False  # one price for the whole: said on the page alone, no term has it


@dataclasses.dataclass(frozen=True, kw_only=True)
class Allowance:
    """Something taken off the whole invoice, or added to it, before tax."""

    amount: Decimal  # BT-92; of a charge BT-99
    reason: str  # BT-97; BT-104
    category: str = STANDARD  # BT-95; BT-102
    rate_pct: Decimal  # BT-96; BT-103
    is_charge: bool = False


@dataclasses.dataclass(frozen=True, kw_only=True)
class Exemption:
    """Why no tax is charged in a category: a sentence, and a VATEX code where there is one."""

    category: str
    text: str  # BT-120
    code: str = ""  # BT-121


@dataclasses.dataclass(frozen=True, kw_only=True)
class Deposit:
    """Paid already, tax included; the number is that of its deposit invoice, if it had one."""

    amount: Decimal  # part of BT-113
    number: str = ""
    issued_on: dt.date | None = None


@dataclasses.dataclass(frozen=True, kw_only=True)
class Preceding:
    """The invoice that a credit note corrects."""

    number: str  # BT-25
    issued_on: dt.date | None = None  # BT-26


@dataclasses.dataclass(frozen=True, kw_only=True)
class Note:
    """A mention of the whole invoice; the code says of what sort it is, or is empty."""

    code: str  # BT-21
    text: str  # BT-22


@dataclasses.dataclass(frozen=True, kw_only=True)
class TaxGroup:
    """All that bears one category and rate, and the tax on its sum."""

    category: str  # BT-118
    rate_pct: Decimal  # BT-119
    base: Decimal  # BT-116
    tax: Decimal  # BT-117


@dataclasses.dataclass(frozen=True, kw_only=True)
class Totals:
    """``gross`` is with tax; ``due`` is what remains to be paid."""

    line_nets: tuple[Decimal, ...]  # BT-131 of each line
    lines_net: Decimal  # BT-106
    allowances: Decimal  # BT-107
    charges: Decimal  # BT-108
    net: Decimal  # BT-109
    vat: Decimal  # BT-110
    gross: Decimal  # BT-112
    prepaid: Decimal  # BT-113
    due: Decimal  # BT-115
    groups: tuple[TaxGroup, ...]  # BG-23


@dataclasses.dataclass(frozen=True, kw_only=True)
class InvoiceDoc:
    """A whole invoice, credit note or deposit invoice, ready to be written in any syntax."""

    kind: str = INVOICE  # BT-3
    number: str  # BT-1
    issued_on: dt.date  # BT-2
    due_on: dt.date | None = None  # BT-9
    delivery_on: dt.date | None = None  # BT-72
    paid_on: dt.date | None = None  # of a deposit; said on the page alone, no term has it
    currency: str = "EUR"  # BT-5
    language: str = "fr"
    operation: str = SERVICES  # part of BT-23
    seller: Party  # BG-4
    buyer: Party  # BG-7
    buyer_reference: str = ""  # BT-10
    order_reference: str = ""  # BT-13
    case_number: str = ""
    lines: tuple[Line, ...]
    allowances: tuple[Allowance, ...] = ()
    deposits: tuple[Deposit, ...] = ()
    preceding: tuple[Preceding, ...] = ()
    tax_left: tuple[TaxGroup, ...] = ()  # what the invoice that is credited has left
    exemptions: tuple[Exemption, ...] = ()
    notes: tuple[Note, ...] = ()
    payment_terms: str = ""  # BT-20
    payment_means: str = TRANSFER  # BT-81
    penalty_rate_pct: Decimal | None = None  # the seller's own, which its note states in words

    @property
    def categories(self) -> frozenset[str]:
        """Those of all lines and of all that is taken off or added."""
        taxed: tuple[Line | Allowance, ...] = (*self.lines, *self.allowances)
        return frozenset(one.category for one in taxed)

    @property
    def references(self) -> tuple[Preceding, ...]:
        """Earlier invoices to name: the one corrected, and the deposit invoices deducted."""
        deposits = (Preceding(number=one.number, issued_on=one.issued_on) for one in self.deposits)
        return tuple(named for named in (*self.preceding, *deposits) if named.number)

    @property
    def is_credit(self) -> bool:
        """Whether it gives money back (381): its amounts are positive all the same."""
        return self.kind == CREDIT

    @property
    def penalty_words(self) -> str:
        """What it says of the penalty for late payment; empty when it says nothing."""
        return next((note.text for note in self.notes if note.code == PENALTY), "")

    def exemption(self, category: str) -> Exemption | None:
        """Why no VAT is charged in that category (BT-120, BT-121); None when no reason is given."""
        return next((one for one in self.exemptions if one.category == category), None)
