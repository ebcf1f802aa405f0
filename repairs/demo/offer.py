"""Plays the offer and the owner's decision: an estimate with its options, a consent, its record."""

from __future__ import annotations

from decimal import Decimal

from repairs.cases.models import Case
from repairs.demo.cast import Cast, Row, day, moment, with_decimals
from repairs.estimates import actions as estimate_actions
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.consent.decide import decide
from repairs.estimates.consent.paper_kinds import CONSENT_RECORD
from repairs.estimates.consent.record import issue_record
from repairs.estimates.consent.said import Said
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Estimate, OptionLine
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.findings.models import Finding
from repairs.press.models import Paper

WORDS = ("kind", "title", "promise", "risk", "reversibility", "left_out")


def agree(cast: Cast, stay: Row, case: Case) -> None:
    estimate = case.estimates.exclude(paper=None).first() or _offer(cast, stay["estimate"], case)
    said = stay["consent"]
    consent = case.consents.first() or _decide(cast, said, estimate)
    if Paper.objects.current(CONSENT_RECORD, case.log_key) is None:
        issue_record(consent, by=cast.people[said["by"]], at=moment(said["record_at"]))
    case.refresh_from_db()


def _offer(cast: Cast, said: Row, case: Case) -> Estimate:
    by, written, at = (
        cast.people[said["by"]],
        moment(said["written_at"]),
        moment(said["issued_at"]),
    )
    estimate = estimate_actions.write_estimate(case, by=by, at=written)
    fields = with_decimals(said["fields"], "tax_pct", "survey_fee")
    fields["valid_until"] = day(fields["valid_until"])
    for name, value in fields.items():
        setattr(estimate, name, value)
    findings = {finding.number: finding for finding in case.findings.all()}
    wishes = [_option(option, findings) for option in said["options"]]
    estimate_actions.change_estimate(estimate, wishes, seen=estimate.revision, by=by, at=written)
    language = said["language"]
    sheet = estimate_sheet(estimate, language=language, made_at=at)
    estimate_actions.issue_estimate(
        estimate, language=language, fingerprint=sheet.fingerprint(), by=by, at=at
    )
    cast.tell(case, f"estimate with {len(wishes)} options issued")
    return estimate


def _option(said: Row, findings: dict[int, Finding]) -> OptionWish:
    works = [
        LineWish(
            kind=OptionLine.Kind.WORK,
            procedure=procedure,
            findings=[findings[number] for number in numbers],
            words=words,
            minutes_low=low,
            minutes_high=high,
        )
        for procedure, numbers, words, low, high in said["works"]
    ]
    costs = [
        LineWish(kind=kind, words=words, amount=Decimal(amount))
        for kind, words, amount in said["costs"]
    ]
    return OptionWish(**{name: said[name] for name in WORDS}, lines=[*works, *costs])


def _decide(cast: Cast, said: Row, estimate: Estimate) -> Consent:
    words = Said(
        decision=Consent.Decision.AGREED,
        how=said["how"],
        name=said["name"],
        option=estimate.options.get(kind=said["option"]),
        signature=said.get("signature", []),
        irreversible_agreed=said.get("irreversible_agreed", False),
        words=said["words"],
        confirmation=said.get("confirmation", ""),
        said_at=moment(said["said_at"]) if "said_at" in said else None,
    )
    consent = decide(estimate, words, by=cast.people[said["by"]], at=moment(said["at"]))
    cast.tell(estimate.case, f"agreed by {said['name']}")
    return consent
