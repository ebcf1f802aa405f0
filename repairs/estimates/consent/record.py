"""The consent record: a decision as a paper, made from what was shown when it was taken."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from functools import partial
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.audit.actions import deed
from repairs.cases.locks import locked_case
from repairs.estimates.consent.decide import shown_option
from repairs.estimates.consent.paper_kinds import CONSENT_RECORD
from repairs.estimates.consent.signature import signature_svg
from repairs.estimates.consent_models import Consent
from repairs.estimates.document import ConsentContent
from repairs.estimates.models import OptionLine
from repairs.language.dates import moment_words
from repairs.language.text import folded, labelled, semicolons
from repairs.people.block import house_block
from repairs.people.models import User
from repairs.press.actions import issue as issue_paper
from repairs.press.actions import propose_seal
from repairs.press.document import Seal, Sheet
from repairs.press.models import Paper
from repairs.press.refusals import PreviewOutdatedError

Block = Mapping[str, Any]


def consent_sheet(consent: Consent, *, made_at: dt.datetime, seal: Seal | None = None) -> Sheet:
    """Compile the record, in the language of the estimate that was shown."""
    case = consent.case
    language = str(consent.shown["language"])
    with translation.override(language):
        return Sheet(
            kind=CONSENT_RECORD,
            template="estimates/consent/consent_record.html",
            subject=case.log_key,
            language=language,
            title=_("Consent record %(number)s, decision %(decision)s")
            % {"number": case.number, "decision": consent.number},
            reference=case.instrument.number,
            house=house_block(),
            made_at=made_at,
            seal=seal,
            body=_content(consent),
        )


def _content(consent: Consent) -> ConsentContent:
    shown, option = consent.shown, shown_option(consent) or {}
    content, seal = shown["content"], shown["seal"]
    signature = signature_svg(
        consent.signature, _("Signature of %(name)s") % {"name": consent.name}
    )
    return ConsentContent(
        case_number=content["case_number"],
        instrument_number=content["instrument_number"],
        instrument=content["instrument"],
        owner=content["owner"][0],
        number=consent.number,
        is_agreed=consent.decision == Consent.Decision.AGREED,
        decision=consent.get_decision_display(),
        how=consent.get_how_display(),
        name=consent.name,
        authority=authority_words(consent),
        said_at=moment_words(consent.said_at),
        noted=_noted_words(consent),
        **_agreed_option(option),
        words=consent.words,
        confirmation=consent.confirmation,
        estimate_title=shown["title"],
        estimate_version=content["version"],
        estimate_code=seal["code"],
        estimate_issued=moment_words(dt.datetime.fromisoformat(seal["issued_at"])),
        estimate_sha256=consent.shown_sha256,
        signature=signature,
        signed_by_typing=not signature and consent.how in ("premises", "link"),
    )


def _agreed_option(option: Mapping[str, Any]) -> dict[str, Any]:
    """The fields about the option, out of the estimate's own snapshot: never of today's rows."""
    lines = list(option.get("lines", []))
    works = [line for line in lines if line["kind"] == OptionLine.Kind.WORK]
    return {
        "option": option_name(option),
        "works": tuple((line["title"], work_words(line)) for line in works),
        "others": tuple(labelled(one["title"], one["amount"]) for one in lines if one not in works),
        "sums": _sums(option),
        "total": option.get("total", ""),
        "irreversible": tuple(option.get("irreversible", [])),
        "sampling": tuple(option.get("sampling", [])),
        "left_out": option.get("left_out", ""),
    }


def option_name(option: Block) -> str:
    """“Option 1: make it playable (with the old bridge)”; empty when there is none."""
    if not option:
        return ""
    number = _("Option %(number)s") % {"number": option["number"]}
    name = labelled(number, option["kind_label"])
    return f"{name} ({option['title']})" if option["title"] else name


def work_words(line: Block) -> str:
    """The words of the line, and the findings that it answers, by number."""
    findings = ", ".join(f"{number} ({words})" for number, words in line["findings"])
    count = len(line["findings"])
    answers = (
        ngettext("for finding %(which)s", "for findings %(which)s", count) % {"which": findings}
        if count
        else _("for no finding in particular")
    )
    return semicolons(part for part in (line["words"], answers) if part)


def authority_words(consent: Consent) -> str:
    """As whom the person decided."""
    case, name = consent.case, folded(consent.name)
    if name in (folded(case.owner.name), folded(case.owner.contact)):
        return _("owner")
    if name == folded(case.bringer_name):
        return _("brought the instrument, and may agree to work and cost")
    return _("said that they may decide for the owner")


def _noted_words(consent: Consent) -> str:
    when = moment_words(consent.noted_at)
    if consent.noted_by is None:
        return _("%(when)s, by the person themselves") % {"when": when}
    return _("%(when)s, by %(who)s") % {"when": when, "who": consent.noted_by}


def _sums(option: Block) -> tuple[tuple[str, str], ...]:
    if not option:
        return ()
    rows = (
        (_("Hours"), option["hours"]),
        (_("Before tax"), option["net"]),
        (_("Tax"), option["tax"]),
        (_("Total"), option["total"]),
        (_("Never more without a new consent"), option["ceiling"]),
        (_("Deposit"), option["deposit"]),
    )
    return tuple((label, value) for label, value in rows if value)


def issue_record(consent: Consent, *, by: User, at: dt.datetime) -> Paper:
    """Print and seal the record of the newest decision of the case.

    Raises PreviewOutdatedError when another decision was noted meanwhile.
    """
    seal = propose_seal(CONSENT_RECORD, consent.case.log_key, by=by, at=at)
    sheet = consent_sheet(consent, made_at=at, seal=seal)
    hold, also = partial(locked_case, consent.case_id), partial(_check_newest, consent)
    return issue_paper(sheet, by=by, hold=hold, also=also)


@deed()
def _check_newest(consent: Consent, _paper: Paper) -> None:
    if consent.case.consents.filter(number__gt=consent.number).exists():
        raise PreviewOutdatedError
