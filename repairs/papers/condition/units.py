"""The required units of a condition record, one row each, named by the checklist fixture.

Source: scope of EN 16095:2012 and the units of Spectrum and CIMCIM as the checklist digests them
(clause texts not seen). Every unit has a row, even when nothing is recorded: an empty place that
says so is honest, a missing one is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import cache
from typing import Any

from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from repairs.cases.compile import maker_words
from repairs.cases.entries import GROUPS as OF_CASES
from repairs.cases.models import Case
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.findings.look_models import Examination
from repairs.instruments.models import Instrument
from repairs.instruments.pattern import Kind
from repairs.instruments.scales import scale_label
from repairs.language.dates import day_words, moment_words
from repairs.language.text import in_language, labelled, language
from repairs.money import money_words
from repairs.papers.blocks.document import Row
from repairs.press.models import Paper
from repairs.screens.entries import facts
from repairs.storage.fixtures import read_fixture

HAZARDS = {
    "hazard_pests": "pests",
    "hazard_pesticide": "pesticide",
    "hazard_lead": "lead",
    "hazard_asbestos": "asbestos",
    "hazard_mould": "mould",
    "hazard_sharps": "sharps",
}


@cache
def checklist() -> Mapping[str, Mapping[str, Any]]:
    """The units by their keys, read once."""
    return {unit["key"]: unit for unit in read_fixture("vocabulary/checklist.json")}


def row(key: str, value: object, *, raw: object = "", empty: str = "") -> Row:
    """One unit with its value, or with a word that says that nothing is recorded."""
    return row_of(checklist()[key], value, raw=raw, empty=empty)


def applying(kind: Kind, rows: Iterable[Row]) -> tuple[Row, ...]:
    """The rows but those that the checklist wants of other families: a violin has no wheel.

    A row of the families that apply stays, though nothing is recorded in it.
    """
    known = checklist()
    return tuple(one for one in rows if kind.fits(known.get(one.key, {}).get("families", ())))


def row_of(unit: Mapping[str, Any], value: object, *, raw: object = "", empty: str = "") -> Row:
    """The row of a unit or a point that a fixture names."""
    words = "" if value is None else str(value).strip()
    label = str(capfirst(in_language(unit["label"])))
    said = words or empty or pgettext("of a unit of the report", "not recorded")
    return Row(key=unit["key"], label=label, value=said, raw=str(raw or ""), is_said=bool(words))


def answer_rows(case: Case, look: Examination | None) -> tuple[Row, ...]:
    """The first page's answers: what, whose, why, in what state, what is advised."""
    grade = scale_label("overall_grade", look.overall_grade) if look and look.overall_grade else ""
    state = look.overall_state if look else ""
    instrument = case.instrument
    return (
        row("object_name", object_words(instrument)),
        row("maker", _maker_place_date(case)),
        row("owner_or_agent", case.owner.name),
        row("entry_purpose", case.reason_label),
        row("examination_date", _examined(look)),
        row(
            "overall_grade",
            labelled(grade, state),
            empty=_("not judged yet"),
        ),
        row("playable_state", look.playable_state if look else ""),
        row(
            "urgency",
            scale_label("urgency", look.urgency) if look and look.urgency else "",
            empty=_("not judged yet"),
        ),
        row("recommendations", look.advice if look else ""),
        row("next_check", day_words(look.next_check_on) if look else ""),
    )


def object_words(instrument: Instrument) -> str:
    """What it is: its own name, if it has one, and always its kind."""
    kind = capfirst(instrument.kind_label)
    return labelled(instrument.name, instrument.kind_label) if instrument.name else str(kind)


def _maker_place_date(case: Case) -> str:
    parts = (maker_words(case), case.instrument.place_made, case.instrument.date_text)
    return ", ".join(part for part in parts if part)


def _examined(look: Examination | None) -> str:
    if look is None:
        return ""
    day = day_words(look.examined_on)
    return _("%(day)s, by %(who)s") % {"day": day, "who": look.examiner}


def more(told: Iterable[tuple[str, str, str]]) -> Iterable[Row]:
    """Fields of the house's own, which no checklist asks for: those that say something."""
    for name, label, said in told:
        if said:
            yield row_of({"key": name, "label": {language(): label}}, said)


def stay_rows(case: Case) -> tuple[Row, ...]:
    """How and when it came, for what, and at what value it is insured."""
    receipt = Paper.objects.current(INTAKE_RECEIPT, case.log_key)
    issued = (
        _("%(day)s, code %(code)s") % {"day": day_words(receipt.issued_at), "code": receipt.code}
        if receipt
        else ""
    )
    value = (
        case.insured_value if case.insured_value is not None else (case.instrument.declared_value)
    )
    return (
        row("case_number", case.number),
        row("entry_date", moment_words(case.received_at), raw=case.received_at.isoformat()),
        row("received_by", case.received_by),
        row("owner_or_agent", _owner_and_bringer(case)),
        row("proof_of_title", case.title_proof),
        row("entry_purpose", case.reason_label),
        row(
            "return_date",
            day_words(case.promised_on),
            raw=case.promised_on,
            empty=_("not promised"),
        ),
        row("receipt_issued", issued, empty=_("no")),
        row("insurance_value", money_words(value, case.instrument.currency), raw=value),
        row("liability", case.liability),
        *more(facts(case, OF_CASES, "report")),
    )


def _owner_and_bringer(case: Case) -> str:
    if not case.bringer_name:
        return case.owner.name
    power = (
        _("may agree to work and cost")
        if case.bringer_may_agree
        else (_("may not agree to work and cost"))
    )
    return _("%(owner)s; brought by %(bringer)s, who %(power)s") % {
        "owner": case.owner.name,
        "bringer": case.bringer_name,
        "power": power,
    }


def examination_rows(
    look: Examination | None, *, photographers: str = "", former: str = ""
) -> tuple[Row, ...]:
    """By whom, where, by which light and in which air it was looked at."""
    return (
        row("examiner", look.examiner if look else ""),
        row("examiner_qualification", look.examiner.qualification if look else ""),
        row("photographer", photographers),
        row(
            "examination_date",
            day_words(look.examined_on) if look else "",
            raw=look.examined_on if look else "",
        ),
        row("examination_place", look.place if look else ""),
        row("light_and_methods", look.methods if look else ""),
        row("temperature", _with_unit(look.room_t_c, "°C") if look else ""),
        row("humidity", _with_unit(look.room_rh_pct, "%") if look else ""),
        row("humidity_history", look.rh_history if look else ""),
        row("playable_state", look.playable_state if look else ""),
        row("played_by", look.played_by if look else ""),
        row("previous_repairs", look.previous_repairs if look else ""),
        row("alterations", look.alterations if look else ""),
        row("former_report", former, empty=_("no earlier stay here")),
    )


def _with_unit(value: Decimal | None, unit: str) -> str:
    return f"{number_format(value, 1)}\u00a0{unit}" if value is not None else ""


def judgement_rows(look: Examination | None) -> tuple[Row, ...]:
    """The general state, what is advised and what is proposed with its risk."""
    grade = scale_label("overall_grade", look.overall_grade) if look and look.overall_grade else ""
    return (
        row(
            "overall_grade",
            labelled(grade, look.overall_state if look else ""),
            empty=_("not judged yet"),
        ),
        row(
            "urgency",
            scale_label("urgency", look.urgency) if look and look.urgency else "",
            empty=_("not judged yet"),
        ),
        row("recommendations", look.advice if look else ""),
        row("handling", look.handling if look else ""),
        row("packing_transport", look.transport if look else ""),
        row("light_limits", look.light if look else ""),
        row("treatment_proposal", look.proposal if look else ""),
        row("alternatives", look.alternatives if look else ""),
        row("risk", look.risk if look else ""),
        row("reversibility", look.reversibility if look else ""),
        row(
            "next_check",
            day_words(look.next_check_on) if look else "",
            raw=look.next_check_on if look else "",
        ),
    )


def hazard_rows(keys: Iterable[str]) -> tuple[Row, ...]:
    """Each hazard of the checklist: noted or not; “not noted” claims no test."""
    noted = set(keys)
    said, empty = _("noted: see the caution"), _("not noted; not tested for")
    return tuple(
        row(key, said if hazard in noted else "", empty=empty) for key, hazard in HAZARDS.items()
    )
