"""The small papers of a case: the intake receipt and the label."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from repairs.cases.entries import GROUPS
from repairs.cases.models import Case
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.instruments.consumables import is_cottoned
from repairs.instruments.entries import GROUPS as OF_INSTRUMENTS
from repairs.instruments.hazards import label_words
from repairs.language.dates import day_words, moment_words
from repairs.language.text import lines_of, semicolons
from repairs.money import money_words
from repairs.people.block import house_block
from repairs.people.house_models import House
from repairs.press.document import Picture, Seal, Sheet
from repairs.screens.entries import facts


@dataclass(frozen=True, kw_only=True)
class IntakeReceipt:
    """What the owner takes home instead of the instrument."""

    case_number: str
    instrument_number: str
    instrument: tuple[tuple[str, str], ...]
    owner: tuple[str, ...]
    bringer: str
    bringer_may_agree: bool
    received_at: str
    received_by: str
    reason: str
    owner_words: str
    state: tuple[str, ...]
    received_items: tuple[str, ...]
    declared_value: str
    insured_value: str
    liability: str
    leaves: tuple[tuple[str, str], ...]
    leave_decided_by: str
    consumables: str
    consumables_kept: bool
    promised_on: str
    review_on: str
    more: tuple[tuple[str, str], ...]
    terms: tuple[str, ...]
    face: Picture | None = None


@dataclass(frozen=True, kw_only=True)
class CaseLabel:
    """What stands on the label that hangs on the instrument: no price, no address of a person."""

    case_number: str
    instrument: str
    instrument_number: str
    owner: str
    received_on: str
    address: str
    hazards: tuple[str, ...]


def intake_receipt(
    case: Case, *, language: str, made_at: dt.datetime, seal: Seal | None = None
) -> Sheet:
    """Compile the receipt in the wanted language; every word of it is in the sheet."""
    with translation.override(language):
        return Sheet(
            kind=INTAKE_RECEIPT,
            template="cases/intake_receipt.html",
            subject=case.log_key,
            language=language,
            title=_("Intake receipt %(number)s") % {"number": case.number},
            reference=case.instrument.number,
            house=house_block(),
            made_at=made_at,
            seal=seal,
            body=_receipt_body(case),
        )


def _receipt_body(case: Case) -> IntakeReceipt:
    instrument, owner, face = case.instrument, case.owner, case.photos.face()
    return IntakeReceipt(
        case_number=case.number,
        instrument_number=instrument.number,
        instrument=_instrument_rows(case),
        owner=(owner.name, *owner.address_lines),
        bringer=case.bringer_name,
        bringer_may_agree=case.bringer_may_agree,
        received_at=moment_words(case.received_at),
        received_by=str(case.received_by),
        reason=case.reason_label,
        owner_words=case.owner_words,
        state=lines_of(case.state_at_intake),
        received_items=lines_of(case.received_items),
        declared_value=money_words(instrument.declared_value, instrument.currency),
        insured_value=money_words(case.insured_value, instrument.currency),
        liability=case.liability,
        leaves=case.leaves,
        leave_decided_by=case.leave_decided_by,
        consumables=consumables_words(case),
        consumables_kept=case.consumables_kept,
        promised_on=day_words(case.promised_on),
        review_on=day_words(case.review_on),
        more=tuple((label, said) for _name, label, said in facts(case, GROUPS, "receipt")),
        terms=lines_of(House.present().terms),
        face=face.on_paper if face else None,
    )


def consumables_words(case: Case) -> str:
    """What is used up and may go back to the owner, in a few words."""
    if is_cottoned(case.instrument.pattern):
        return _("Old strings and cotton")
    return _("Old strings")


def _instrument_rows(case: Case) -> tuple[tuple[str, str], ...]:
    instrument = case.instrument
    rows = (
        (_("Instrument"), instrument.name),
        (_("Kind"), instrument.kind_label),
        (_("Maker"), maker_words(case)),
        (
            _("Place and date"),
            ", ".join(part for part in (instrument.place_made, instrument.date_text) if part),
        ),
        (_("Serial or inventory number"), instrument.serial),
        (_("Accessories"), semicolons(instrument.accessory_lines)),
        (_("Missing parts"), semicolons(instrument.missing_lines)),
        *((label, said) for _name, label, said in facts(instrument, OF_INSTRUMENTS, "receipt")),
    )
    return tuple((label, value) for label, value in rows if value)


def maker_words(case: Case) -> str:
    """The maker with how sure it is: “É. Roussillat (attributed)”."""
    instrument = case.instrument
    if not instrument.maker:
        return _("maker unknown")
    return f"{instrument.maker} ({instrument.get_maker_surety_display()})"


def case_label(case: Case, *, language: str, made_at: dt.datetime) -> Sheet:
    """The label that hangs on the instrument; its QR code opens the case on a phone."""
    with translation.override(language):
        body = CaseLabel(
            case_number=case.number,
            instrument=str(case.instrument),
            instrument_number=case.instrument.number,
            owner=case.owner.name,
            received_on=day_words(case.received_at),
            address=settings.SITE_ADDRESS + case.get_absolute_url(),
            hazards=label_words(case.instrument.standing_hazards, most=2),
        )
        return Sheet(
            kind="label",
            template="cases/label.html",
            subject=case.log_key,
            language=language,
            title=_("Label of case %(number)s") % {"number": case.number},
            reference=case.number,
            house=house_block(),
            made_at=made_at,
            body=body,
        )
