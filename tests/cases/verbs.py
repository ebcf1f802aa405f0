"""Every verb that changes something of a case, ready to be done by one of two people at once.

A verb is prepared by the test, and gives back what is then done at the same moment as another.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from itertools import count
from uuid import uuid4

from django.utils import timezone

from repairs.cases import actions
from repairs.cases.custody_models import Custody
from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.causes import actions as causes
from repairs.causes.actions import Said
from repairs.estimates.actions import change_estimate, write_estimate
from repairs.estimates.consent.links import make_link
from repairs.estimates.models import Estimate
from repairs.estimates.wishes import OptionWish
from repairs.findings import actions as findings
from repairs.findings.look_models import Examination, PartLook
from repairs.invoices.models import Invoice
from repairs.papers.actions import draft_of, issue_paper
from repairs.people.models import User
from repairs.photos.actions import describe
from repairs.photos.models import Tag
from repairs.procedures.versions import pin
from repairs.treatment import actions as works
from repairs.treatment import clocks, parts
from repairs.treatment.agree import Terms, Wanted, agree_emergency, drop_work, write_agreed
from repairs.treatment.models import AgreedWork, Intervention, WorkSpell
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.wood.actions import withdraw
from repairs.wood.models import Piece, Withdrawal
from tests import factories

Deed = Callable[[], object]
Verb = Callable[[Case, User], Deed]
VERBS: dict[str, Verb] = {}  # all of them
RACED: dict[str, Verb] = {}  # one of each way through the rows of a case: two by two they are many
_turn = count(1)


def verb(prepare: Verb) -> Verb:
    VERBS[prepare.__name__] = prepare
    return prepare


def raced(prepare: Verb) -> Verb:
    RACED[prepare.__name__] = prepare
    return verb(prepare)


def now() -> dt.datetime:
    return timezone.now()


def again(case: Case) -> Case:
    """The case as it stands after the look over, in the shop, whatever was done to it before."""
    HandBack.objects.filter(case=case, done_at=None).delete()
    WorkSpell.objects.filter(ended_at=None).update(ended_at=now(), minutes=0)
    Case.objects.filter(pk=case.pk).update(step=Case.Step.LOOKED_OVER, ended_at=None, waits_for="")
    link = Custody.objects.filter(case=case, until=None).get()
    Custody.objects.filter(pk=link.pk).update(holder=Custody.Holder.WORKSHOP, place="Shelf")
    return fresh(case)


def fresh(case: Case) -> Case:
    """The case as somebody else has it before them."""
    return Case.objects.with_names().get(pk=case.pk)


@raced
def move(case: Case, by: User) -> Deed:
    return lambda: actions.move(case, Case.Step.AGREED, because="", by=by, at=now())


@verb
def end_unworked(case: Case, by: User) -> Deed:
    return lambda: actions.end_unworked(case, because="sold", by=by, at=now())


@raced
def wait(case: Case, by: User) -> Deed:
    return lambda: actions.wait(case, "part", f"peg {next(_turn)}", by=by, at=now())


@raced
def put_in_place(case: Case, by: User) -> Deed:
    return lambda: actions.put_in_place(case, f"Shelf {next(_turn)}", by=by, at=now())


@raced
def change_intake(case: Case, by: User) -> Deed:
    case.place = f"Rack {next(_turn)}"
    return lambda: actions.change_intake(case, by=by, at=now())


def going_home(case: Case) -> HandBack:
    return HandBack(
        case=case,
        ending=Case.Step.HANDED_BACK,
        received_name=case.owner.name,
        returned_at=now(),
        state_at_return="As it came.",
        why_unworked="The owner sells it.",
    )


@raced
def write_hand_back(case: Case, by: User) -> Deed:
    row = going_home(case)
    return lambda: actions.write_hand_back(row, by=by, at=now())


@raced
def hand_back(case: Case, by: User) -> Deed:
    row = actions.write_hand_back(going_home(case), by=by, at=now())
    return lambda: actions.hand_back(row, by=by, at=now())


@raced
def issue_condition_report(case: Case, by: User) -> Deed:
    draft = draft_of(case, "condition_report", "en", by=by, at=now())
    return lambda: issue_paper(draft, by=by, at=now())


@verb
def issue_intake_receipt(case: Case, by: User) -> Deed:
    return lambda: factories.receipt(case, by=by)


@raced
def note_finding(case: Case, by: User) -> Deed:
    return lambda: factories.finding(case, by=by)


@raced
def change_finding(case: Case, by: User) -> Deed:
    row = case.findings.get(number=1)
    return lambda: findings.change_finding(row, seen=row.revision, by=by, at=now())


@raced
def draw_tag(case: Case, by: User) -> Deed:
    tag = Tag(photo=case.photos.get(), shape="point", points=[[0.5, 0.5]], drawn_by=by)
    return lambda: findings.draw_tag(tag, case.findings.get(number=1), at=now())


@verb
def note_looks(case: Case, by: User) -> Deed:
    rows = case.instrument.parts.all()[:3]
    looks = {part.pk: (PartLook.State.NOT_EXAMINED.value, "closed") for part in rows}
    return lambda: findings.note_looks(case, looks, by=by, at=now())


@verb
def judge(case: Case, by: User) -> Deed:
    row = Examination.objects.get(case=case)
    return lambda: findings.save_examination(row, seen=row.revision, by=by, at=now())


@verb
def describe_photo(case: Case, by: User) -> Deed:
    photo = case.photos.get()
    return lambda: describe(photo, by=by, at=now())


@raced
def keep_reading(case: Case, by: User) -> Deed:
    return lambda: factories.string_reading(case, by=by)


@verb
def say_what_it_was(case: Case, by: User) -> Deed:
    standing = case.what_it_was.last()
    known = standing.pk if standing else 0
    said = Said(frozenset({"wheel_eccentric"}), uuid4(), known)
    return lambda: causes.say_what_it_was(case, said, by=by, at=now())


def wanted(key: str = "free") -> Wanted:
    return Wanted(version=pin(key, at=now()))


def agreed(case: Case, by: User) -> AgreedWork:
    terms = Terms(basis=AgreedWork.Basis.EMERGENCY, because="It falls apart.")
    return write_agreed(case, [wanted()], terms, by=by, at=now())[0]


def begun(case: Case) -> Intervention:
    """The work that both have to do with."""
    return case.interventions.get(number=1)


@verb
def agree(case: Case, by: User) -> Deed:
    return lambda: agree_emergency(case, wanted(), because="It falls.", by=by, at=now())


@raced
def begin_work(case: Case, by: User) -> Deed:
    work = Intervention(case=case, agreed=agreed(case, by))
    return lambda: works.open_work(work, findings=[], parts=[], by=by, at=now())


@verb
def give_up_work(case: Case, by: User) -> Deed:
    row = agreed(case, by)
    return lambda: drop_work(row, because="sold", by=by, at=now())


@raced
def tick_step(case: Case, by: User) -> Deed:
    return lambda: factories.ticked(begun(case), by=by)


@raced
def start_clock(case: Case, by: User) -> Deed:
    return lambda: clocks.start_clock(begun(case), by=by, at=now())


@raced
def stop_clock(case: Case, by: User) -> Deed:
    spell = clocks.start_clock(begun(case), by=by, at=now())
    return lambda: clocks.stop_clock(spell, by=by, at=now())


@verb
def use_material(case: Case, by: User) -> Deed:
    use = MaterialUse(intervention=begun(case), name="hide glue")
    return lambda: parts.use_material(use, by=by, at=now())


@raced
def remove_part(case: Case, by: User) -> Deed:
    bag = RemovedPart(intervention=begun(case), case=case, description="old glue")
    return lambda: parts.remove_part(bag, by=by, at=now())


@verb
def say_fate(case: Case, by: User) -> Deed:
    bag = case.removed_parts.get(number=1)
    return lambda: parts.set_fate(bag, "given_back", str(next(_turn)), by=by, at=now())


@raced
def sign_off(case: Case, by: User) -> Deed:
    work = factories.ticked(factories.begun_work(agreed(case, by), by=by), by=by)
    return lambda: factories.signed_off(work, by=by)


def cut() -> Withdrawal:
    sizes = {"length_mm": Decimal(1), "width_mm": Decimal(1), "thickness_mm": Decimal(1)}
    return Withdrawal(piece=Piece.objects.get(), **sizes)


@raced
def fit_new_part(case: Case, by: User) -> Deed:
    part = NewPart(intervention=begun(case), description="bar", origin=NewPart.Origin.WOOD_STORE)
    return lambda: parts.fit_new_part(part, cut(), by=by, at=now())


@verb
def take_wood(case: Case, by: User) -> Deed:
    row = cut()
    row.subject, row.case_number, row.purpose = case.log_key, case.number, "cleats"
    return lambda: withdraw(row, by=by, at=now())


def estimate(case: Case, by: User) -> Estimate:
    row = write_estimate(case, by=by, at=now())
    row.hourly_rate, row.tax_pct = Decimal(60), Decimal(20)
    change_estimate(row, wishes(), seen=row.revision, by=by, at=now())
    return row


def wishes() -> list[OptionWish]:
    return [OptionWish(kind="safe", lines=[factories.work_line()])]


@verb
def change_the_estimate(case: Case, by: User) -> Deed:
    row = write_estimate(case, by=by, at=now())
    return lambda: change_estimate(row, wishes(), seen=row.revision, by=by, at=now())


@raced
def issue_estimate(case: Case, by: User) -> Deed:
    row = estimate(case, by)
    row.case = case
    return lambda: factories.issue_estimate(case, row, by=by)


def offer(case: Case) -> Estimate:
    row = case.estimates.issued().order_by("-version").first()
    assert row is not None
    return row


@raced
def decide(case: Case, by: User) -> Deed:
    return lambda: factories.consent(offer(case), by=by)


@verb
def make_a_link(case: Case, by: User) -> Deed:
    return lambda: make_link(offer(case), by=by, at=now())


@verb
def draft_invoice(case: Case, by: User) -> Deed:
    return lambda: factories.draft(case.owner, case=case, by=by)


@raced
def note_payment(case: Case, by: User) -> Deed:
    invoice = Invoice.objects.get(case=case)
    return lambda: factories.payment(invoice, "0.01", by=by)
