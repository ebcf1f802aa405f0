"""A small job while the owner waits: one act from the counter to the door."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from repairs.audit.actions import deed
from repairs.cases.actions import hand_back, move, take_in, write_hand_back
from repairs.cases.because import AT_THE_COUNTER
from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.estimates.refusals import ConsentRefusedError
from repairs.instruments.actions import enter_instrument
from repairs.instruments.models import Instrument
from repairs.invoices.taxing import tax_of
from repairs.people.actions import enter_client
from repairs.people.house_models import House
from repairs.people.models import Client, User
from repairs.procedures.versions import pin
from repairs.treatment.actions import note_steps, open_work
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.clocks import type_minutes
from repairs.treatment.models import AgreedWork, Intervention, StepNote, WorkSpell
from repairs.treatment.signing import sign_off

REASON = "while_you_wait"
SMALL_JOB = "small_job"


@dataclass(frozen=True, kw_only=True)
class SmallJob:
    """What is typed at the counter. Client and instrument may be known already or new.

    ``price`` is what the owner pays, tax included.
    """

    client: Client
    instrument: Instrument
    asked: str
    done: str
    procedure: str
    minutes: int
    price: Decimal
    agreed_words: str
    is_handed_back: bool


@deed()
def serve(job: SmallJob, *, by: User, at: dt.datetime) -> Case:
    """Take in, agree, work, sign off and hand back, all or nothing; the full docket stays.

    Raises ConsentRefusedError when the price is above what the house lets be agreed by word of
    mouth, or when the procedure cannot be undone.
    """
    house = House.present()
    version = pin(job.procedure, at=at)
    if job.price > house.spoken_consent_most:
        raise ConsentRefusedError(why=_("above the house’s ceiling it needs a signed estimate."))
    if version.procedure.is_irreversible:
        raise ConsentRefusedError(why=_("work that cannot be undone needs a signed estimate."))
    began = at - dt.timedelta(minutes=job.minutes)
    case = _take_in(job, began, by=by, at=at)
    terms = Terms(
        basis=AgreedWork.Basis.COUNTER,
        agreed_name=job.client.name,
        because=job.agreed_words,
        ceiling=job.price,
        tax_pct=tax_of(house, job.client).rate_pct,
        currency=house.currency,
    )
    agreed = write_agreed(
        case, [Wanted(version=version, title=job.asked[:200])], terms, by=by, at=at
    )[0]
    move(case, Case.Step.AGREED, because=AT_THE_COUNTER, by=by, at=at)
    _work(case, agreed, job, began, by=by, at=at)
    if job.is_handed_back:
        _hand_back(case, job, by=by, at=at)
    return case


def _take_in(job: SmallJob, began: dt.datetime, *, by: User, at: dt.datetime) -> Case:
    if job.client._state.adding:
        enter_client(job.client, by=by, at=at)
    if job.instrument._state.adding:
        job.instrument.owner = job.client
        enter_instrument(job.instrument, {}, by=by, at=at)
    return take_in(
        Case(
            instrument=job.instrument,
            owner=job.client,
            reason=REASON,
            owner_words=job.asked,
            state_at_intake=_("Looked at together at the counter."),
            received_at=began,
            place=_("counter"),
        ),
        by=by,
        at=at,
    )


def _work(
    case: Case, agreed: AgreedWork, job: SmallJob, began: dt.datetime, *, by: User, at: dt.datetime
) -> None:
    work = open_work(
        Intervention(case=case, agreed=agreed, words=job.done), findings=[], parts=[], by=by, at=at
    )
    type_minutes(
        WorkSpell(intervention=work, person=by, started_at=began, minutes=job.minutes),
        by=by,
        at=at,
    )
    steps = agreed.version.procedure.steps
    notes = [StepNote(step=step.key, state=StepNote.State.DONE) for step in steps]
    note_steps(work, notes, by=by, at=at)
    sign_off(work, reasons={}, words="", by=by, at=at)
    case.refresh_from_db(fields=["step", "ended_at"])


def _hand_back(case: Case, job: SmallJob, *, by: User, at: dt.datetime) -> None:
    row = HandBack(
        case=case,
        ending=Case.Step.HANDED_BACK,
        received_name=job.client.name,
        returned_at=at,
        state_at_return=job.done or job.asked,
    )
    hand_back(write_hand_back(row, by=by, at=at), by=by, at=at)
