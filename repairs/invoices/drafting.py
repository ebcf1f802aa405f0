"""From a draft, the house and the client to the frozen invoice; and what it still lacks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.einvoice.document import (
    GOODS,
    NEEDS_REASON,
    OF_PAYING,
    PENALTY,
    REVERSE,
    SERVICES,
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
from repairs.einvoice.totals import group_under, line_net
from repairs.invoices.case_checks import supplied_on
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.models import Invoice, operation_of
from repairs.invoices.remaining import (
    discount_left,
    gross_left,
    groups_left,
)
from repairs.invoices.taxing import exemptions_of
from repairs.language.text import decimal_words
from repairs.law.mentions import debits_words, mentions_on
from repairs.money import NOTHING, money_words, share, total
from repairs.people.models import Client, House

NOTE = ""


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
    for mention in mentions_on(house.country, day, to_business=draft.client.is_business):
        note = Note(code=mention.code, text=mention.text[draft.language])
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
