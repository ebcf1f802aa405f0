"""From a draft, the house and the client to the frozen invoice; and what it still lacks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.errors import WorkshopError, YearClosedError
from repairs.identifiers import (
    bic_fault,
    country_fault,
    iban_fault,
    siren_fault,
    siret_fault,
    vat_fault,
)
from repairs.invoices.case_checks import case_problems, supplied_on
from repairs.invoices.document import (
    GOODS,
    NEEDS_REASON,
    OF_PAYING,
    PENALTY,
    REVERSE,
    SERVICES,
    TRANSFER,
    Allowance,
    Deposit,
    Exemption,
    InvoiceDoc,
    Line,
    Note,
    Party,
    Preceding,
    TaxGroup,
)
from repairs.invoices.doubts import MOST_DAYS_TO_PAY
from repairs.invoices.lawful import tax_problems
from repairs.invoices.models import DraftLine, Invoice, InvoiceDraft
from repairs.invoices.receipts import operation_of
from repairs.invoices.remaining import (
    discount_left,
    gross_left,
    groups_left,
    require_not_more_than_invoiced,
)
from repairs.invoices.taxes import debits_words, mentions_on
from repairs.invoices.taxing import exemptions_of
from repairs.invoices.totals import group_under, line_net, totals_of
from repairs.invoices.years import closing_of
from repairs.money import NOTHING, money_words, share, total
from repairs.people.models import Client, House
from repairs.rates import rate_fault
from repairs.text import decimal_words

NOTE = ""
MOST_DAYS_AHEAD = 31  # sold today, fetched within the month


def document_of(draft: InvoiceDraft, *, number: str, at: dt.datetime) -> InvoiceDoc:
    """The invoice that the draft would make at that moment, under that number."""
    house, day = House.present(), timezone.localtime(at).date()
    rows = list(draft.lines.all())
    lines = tuple(_line(row) for row in rows)
    left = tuple(groups_left(draft.credits)) if draft.credits else ()
    deposits = () if draft.is_credit else tuple(draft.deposits.order_by("issued_on", "pk"))
    with translation.override(draft.language):
        return InvoiceDoc(
            kind=draft.kind,
            number=number,
            issued_on=day,
            due_on=None if draft.is_credit else day + dt.timedelta(days=draft.payment_days),
            delivery_on=supplied_on(draft, day),
            currency=house.currency,
            language=draft.language,
            operation=operation_of(draft.credits) if draft.credits else _operation(rows),
            seller=seller_party(house, names_vat=_names_vat(house, lines)),
            buyer=buyer_party(draft.client),
            buyer_reference=draft.buyer_reference,
            order_reference=draft.order_reference,
            case_number=draft.case.number if draft.case else "",
            lines=lines,
            allowances=tuple(_allowances(draft, lines, left)),
            deposits=tuple(_deposit(deposit) for deposit in deposits),
            preceding=_preceding(draft),
            tax_left=left,
            exemptions=_exemptions(draft, house, lines, day),
            notes=tuple(_notes(draft, house, deposits, day)),
            payment_terms=_terms(draft),
            payment_means=draft.means,
            penalty_rate_pct=house.penalty_rate_pct if draft.client.is_business else None,
        )


def _names_vat(house: House, lines: Iterable[Line]) -> bool:
    """A small business names its VAT number only where the client accounts for the VAT, or where
    it credits VAT that it charged before."""
    return house.pays_vat or any(line.rate_pct or line.category == REVERSE for line in lines)


def seller_party(house: House, *, names_vat: bool) -> Party:
    number = digits(house.company_number)
    return Party(
        name=house.name,
        legal_name=house.legal_name,
        legal_form=house.legal_form,
        address=_address(house.address),
        postcode=house.postcode,
        city=house.city,
        country=house.country,
        siren=number[:9] if house.country == "FR" else "",
        siret=number if house.country == "FR" and len(number) == 14 else "",
        registration="" if house.country == "FR" else house.company_number,
        vat_id=house.vat_id if names_vat else "",
        tax_number=house.tax_number,
        email=house.email,
        phone=house.phone,
        iban=house.iban.replace(" ", ""),
        bic=house.bic,
    )


def buyer_party(client: Client) -> Party:
    is_french = client.country == "FR"
    number = digits(client.company_number)
    if is_french and not number:  # a French VAT number ends with the SIREN
        number = digits(client.vat_id)[2:]
    return Party(
        name=client.name,
        address=_address(client.address),
        postcode=client.postcode,
        city=client.city,
        country=client.country,
        siren=number[:9] if is_french else "",
        siret=number if is_french and len(number) == 14 else "",
        registration="" if is_french else client.company_number,
        vat_id=client.vat_id,
        contact=client.contact,
        e_address=client.e_address,
        email=client.email,
        phone=client.phone,
        is_business=client.is_business,
    )


def digits(words: str) -> str:
    return "".join(sign for sign in words if sign.isdigit())


def _address(text: str) -> tuple[str, ...]:
    """Three lines at most: that is all that an e-invoice holds."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return (*lines[:2], ", ".join(lines[2:])) if len(lines) > 3 else tuple(lines)


def _line(row: DraftLine) -> Line:
    return Line(
        number=str(row.position),
        description=row.description,
        details=row.details,
        quantity=_short(row.quantity),
        unit=row.unit,
        unit_price=_short(row.unit_price),
        category=row.category,
        rate_pct=_short(row.rate_pct),
        discount=row.discount,
    )


def _short(value: Decimal) -> Decimal:
    """The same number without needless zeros, and never as 2E+1."""
    return Decimal(format(value.normalize(), "f"))


def _operation(rows: Iterable[DraftLine]) -> str:
    """Material alone is a sale of goods; work with its material is a service."""
    return GOODS if {row.sort for row in rows} == {DraftLine.Sort.MATERIAL} else SERVICES


def _allowances(
    draft: InvoiceDraft, lines: tuple[Line, ...], left: tuple[TaxGroup, ...]
) -> Iterator[Allowance]:
    """The discount on the whole, for each tax apart."""
    if not draft.discount_pct:
        return
    bases: dict[tuple[str, Decimal], Decimal] = {}
    for line in lines:
        key = (line.category, line.rate_pct)
        bases[key] = bases.get(key, NOTHING) + line_net(line)
    words = draft.discount_reason or _("Discount")
    reason = _("%(what)s %(pct)s %%") % {"what": words, "pct": decimal_words(draft.discount_pct)}
    for (category, rate_pct), base in bases.items():
        amount = share(base, draft.discount_pct)
        has = group_under(left, (category, rate_pct))
        if draft.credits is not None and has is not None:
            amount = discount_left(draft.credits, has, base, amount)
        if amount:
            yield Allowance(
                amount=abs(amount),
                reason=reason,
                category=category,
                rate_pct=rate_pct,
                is_charge=amount < 0,
            )


def _deposit(deposit: Invoice) -> Deposit:
    return Deposit(amount=gross_left(deposit), number=deposit.number, issued_on=deposit.issued_on)


def _preceding(draft: InvoiceDraft) -> tuple[Preceding, ...]:
    corrected = draft.credits
    if corrected is None:
        return ()
    return (Preceding(number=corrected.number, issued_on=corrected.issued_on),)


def _exemptions(
    draft: InvoiceDraft, house: House, lines: tuple[Line, ...], day: dt.date
) -> tuple[Exemption, ...]:
    categories = frozenset(line.category for line in lines) & frozenset(NEEDS_REASON)
    return exemptions_of(house.country, categories, day, draft.language, pays_vat=house.pays_vat)


def _notes(
    draft: InvoiceDraft, house: House, deposits: Iterable[Invoice], day: dt.date
) -> Iterator[Note]:
    if draft.note:
        yield Note(code=NOTE, text=draft.note)
    for deposit in deposits:
        yield Note(code=NOTE, text=_deposit_words(deposit))
    for note in mentions_on(
        house.country, day, to_business=draft.client.is_business, language=draft.language
    ):
        yield _of_credit(note) if draft.is_credit else _own_rate(note, house, draft.client)
    if house.pays_on_debits and not draft.is_credit:
        yield Note(code=NOTE, text=debits_words())


def _of_credit(note: Note) -> Note:
    """Nothing is paid late of a credit note; the French rules want the three codes all the same."""
    if note.code not in OF_PAYING:
        return note
    return Note(code=note.code, text=_("Not applicable to a credit note."))


def _own_rate(note: Note, house: House, client: Client) -> Note:
    """The house's own penalty rate in the place of the usual sentence."""
    if note.code != PENALTY or house.penalty_rate_pct is None or not client.is_business:
        return note
    text = _(
        "Late payment penalty: %(rate)s %% a year, due from the day after the due date without a "
        "reminder."
    ) % {"rate": decimal_words(house.penalty_rate_pct)}
    return Note(code=PENALTY, text=text)


def _deposit_words(deposit: Invoice) -> str:
    """The VAT of a deposit was invoiced with it: the paper must say so, or it seems owed twice."""
    groups = groups_left(deposit)
    return _(
        "Deducted: deposit invoice %(number)s of %(day)s, %(net)s before VAT and %(vat)s VAT, "
        "which were invoiced with it."
    ) % {
        "number": deposit.number,
        "day": date_format(deposit.issued_on, "DATE_FORMAT"),
        "net": money_words(total(group.base for group in groups), deposit.currency),
        "vat": money_words(total(group.tax for group in groups), deposit.currency),
    }


def _terms(draft: InvoiceDraft) -> str:
    if draft.is_credit:
        return ""
    days = draft.payment_days
    if not days:
        return _("On receipt")
    words = ngettext(
        "%(days)s day from the date of the invoice",
        "%(days)s days from the date of the invoice",
        days,
    )
    return words % {"days": days}


def problems_of(draft: InvoiceDraft, doc: InvoiceDoc) -> list[str]:
    """What stands in the way of issuing, as sentences; none when nothing does."""
    if not doc.lines:
        return [_("It has no line yet. Add at least one.")]
    try:
        totals = totals_of(doc)
        require_not_more_than_invoiced(draft, totals)
    except WorkshopError as refusal:
        return [str(refusal)]
    found = [*_of_seller(doc), *_of_buyer(doc), *_of_lines(doc), *tax_problems(draft, doc)]
    found += [*_of_days(draft, doc), *case_problems(draft, doc, totals.gross)]
    if totals.due < 0:
        found.append(
            _("The deposits are more than the invoice. Leave one out and credit what is too much.")
        )
    if draft.credits is not None and draft.credits.currency != doc.currency:
        found.append(
            _("The invoice to be credited is in %(theirs)s, but the workshop invoices in %(ours)s.")
            % {"theirs": draft.credits.currency, "ours": doc.currency}
        )
    return [problem for problem in found if problem]


def house_lacks(doc: InvoiceDoc) -> bool:
    """Whether something of the workshop's own data stands in the way."""
    return any(_of_seller(doc))


def _of_seller(doc: InvoiceDoc) -> Iterator[str]:
    seller = doc.seller
    if not (seller.address and seller.postcode and seller.city):
        yield _("The workshop’s address, postcode or town is missing.")
    if not (seller.siren or seller.registration or seller.country != "FR"):
        yield _("The workshop’s company number is missing.")
    if doc.payment_means == TRANSFER and not doc.is_credit and not seller.iban:
        yield _("It is to be paid by transfer, but the workshop’s IBAN is missing.")
    yield country_fault(seller.country)
    yield iban_fault(seller.iban)
    yield bic_fault(seller.bic)
    yield siren_fault(seller.siren)
    yield siret_fault(seller.siret, seller.siren)
    yield vat_fault(seller.vat_id, seller.country)


def _of_buyer(doc: InvoiceDoc) -> Iterator[str]:
    buyer = doc.buyer
    if not buyer.country:
        yield _("The client’s country is missing.")
        return
    yield country_fault(buyer.country)
    if not (buyer.address or buyer.city):
        yield _("The client’s address is missing.")
    yield siren_fault(buyer.siren)
    yield siret_fault(buyer.siret, buyer.siren)
    yield vat_fault(buyer.vat_id, buyer.country)


def _of_days(draft: InvoiceDraft, doc: InvoiceDoc) -> Iterator[str]:
    if closing_of(doc.issued_on.year) is not None:
        yield str(YearClosedError(year=doc.issued_on.year))
    if doc.is_credit:
        return
    last = doc.issued_on + dt.timedelta(days=MOST_DAYS_AHEAD)
    if doc.delivery_on and doc.delivery_on > last:
        yield _(
            "“Done or delivered on” is %(day)s, which is far ahead. An invoice is for what was "
            "done; to be paid before, draft a deposit invoice."
        ) % {"day": date_format(doc.delivery_on, "DATE_FORMAT")}
    if draft.payment_days > MOST_DAYS_TO_PAY and doc.buyer.is_business:
        yield _(
            "It gives %(days)s days to pay, but the law allows businesses %(most)s at most from "
            "the day of the invoice. Lower “days to pay”."
        ) % {"days": draft.payment_days, "most": MOST_DAYS_TO_PAY}


def _of_lines(doc: InvoiceDoc) -> Iterator[str]:
    """A rate that the law of the house's country does not know; not for credit notes, whose
    rates are those of the invoice that they correct."""
    if not doc.is_credit:
        for rate_pct in dict.fromkeys(line.rate_pct for line in doc.lines if line.rate_pct):
            yield rate_fault(doc.seller.country, rate_pct, doc.issued_on)
