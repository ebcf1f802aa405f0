"""The small house in which processes are killed: laid once through the verbs of the screens."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.utils import timezone

from repairs.cases import actions as cases
from repairs.cases.models import Case
from repairs.estimates import actions as estimates
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.models import Estimate
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.instruments.actions import enter_instrument
from repairs.instruments.kinds import kinds
from repairs.instruments.models import Instrument
from repairs.invoices.actions import DraftLineSpec, open_draft
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.invoices.issuing import fingerprint, issue_invoice
from repairs.invoices.models import Invoice
from repairs.measures.issue_once import CLIENT, HOUSE
from repairs.people import actions as people
from repairs.people.house_models import House
from repairs.people.models import Client, User
from repairs.procedures import versions
from repairs.treatment.actions import open_work
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.models import AgreedWork, Intervention
from repairs.wood.actions import enter_piece
from repairs.wood.models import Piece

WORK = "free"
PERSON, PASSWORD = "killed", "only-for-measuring-1771"
OWNER = CLIENT["name"]


@dataclass(frozen=True)
class Laid:
    """What deeds are done to; by primary keys, since children ask their own database."""

    person: int
    session: str
    case: str
    work: int
    estimate: int
    invoice: str
    piece: str
    client: int


def lay() -> Laid:
    """Set the house up, or find it as it was set up before."""
    known = User.objects.filter(username=PERSON).first()
    person = known or people.save_user(
        User(username=PERSON, role="principal", language="en"),
        by=None, at=timezone.now(), password=PASSWORD,
    )  # fmt: skip
    if known is None:
        _fill(person)
    case = Case.objects.get(owner_words="of the bench")
    return Laid(
        person.pk,
        _visit(person),
        case.number,
        Intervention.objects.get(case=case).number,
        Estimate.objects.get(case__owner_words="of the offer").pk,
        Invoice.objects.earliest("issued_at").number,
        Piece.objects.earliest("pk").number,
        Client.objects.get(name=OWNER).pk,
    )


def _fill(by: User) -> None:
    at = timezone.now()
    people.change_house(House(**HOUSE), by=by, at=at)
    owner = people.enter_client(Client(**CLIENT), by=by, at=at)
    enter_piece(_board(), by=by, at=at)
    _work_begun(_stay(owner, "of the bench", by), by)
    _offered(_stay(owner, "of the offer", by), by)
    invoice(draft(owner, by, "9999.00"), by)


def _stay(owner: Client, words: str, by: User) -> Case:
    at = timezone.now()
    kind = next(iter(kinds()))
    row = enter_instrument(Instrument(owner=owner, kind=kind), {}, by=by, at=at)
    stay = Case(
        instrument=row, owner=owner, reason="repair", owner_words=words, place="shelf",
        received_at=at - dt.timedelta(days=30),
    )  # fmt: skip
    case = cases.take_in(stay, by=by, at=at)
    cases.move(case, Case.Step.LOOKED_OVER, because="", by=by, at=at)
    return case


def _work_begun(case: Case, by: User) -> None:
    at = timezone.now()
    terms = Terms(basis=AgreedWork.Basis.CONSENT, agreed_name=OWNER, hourly_rate=Decimal(60))
    (agreed,) = write_agreed(case, [Wanted(version=versions.pin(WORK, at=at))], terms, by=by, at=at)
    cases.move(case, Case.Step.AGREED, because="", by=by, at=at)
    open_work(Intervention(case=case, agreed=agreed), findings=[], parts=[], by=by, at=at)


def _offered(case: Case, by: User) -> None:
    at = timezone.now()
    row = estimates.write_estimate(case, by=by, at=at)
    row.hourly_rate, row.tax_pct, row.intro = Decimal(60), Decimal(20), "As we said."
    line = LineWish(kind="work", procedure=WORK, words="Free it.", minutes_low=60, minutes_high=90)
    option = OptionWish(kind="safe", title="Make it turn", lines=[line])
    row = estimates.change_estimate(row, [option], seen=row.revision, by=by, at=at)
    seen = estimate_sheet(row, language="en", made_at=at).fingerprint()
    estimates.issue_estimate(row, language="en", fingerprint=seen, by=by, at=at)


def _board() -> Piece:
    """So much spruce that all the kills together do not use it up."""
    sizes = {"length_mm": Decimal(3000), "width_mm": Decimal(400), "thickness_mm": Decimal(80)}
    return Piece(form="board", material="spruce", cut="quarter", place="rack", **sizes)


def draft(client: Client, by: User, price: str = "48.00") -> InvoiceDraft:
    """One line of hours, ready to be issued."""
    line = DraftLineSpec(
        sort="hours", description="Rectification de la roue", quantity=Decimal("7.25"),
        unit="HUR", unit_price=Decimal(price),
    )  # fmt: skip
    return open_draft(client, case=None, kind="380", lines=[line], by=by, at=timezone.now())


def invoice(row: InvoiceDraft, by: User) -> Invoice:
    """The draft, issued."""
    shown = fingerprint(document_of(facts_of(row, timezone.now()), number=""))
    return issue_invoice(row, shown=shown, by=by, clock=timezone.now)


def _visit(person: User) -> str:
    """The key of a session in which the person is signed in."""
    from django.conf import settings  # noqa: PLC0415 - one word of it

    visit = SessionStore()
    visit[SESSION_KEY] = str(person.pk)
    visit[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    visit[HASH_SESSION_KEY] = person.get_session_auth_hash()
    visit.create()
    return str(visit.session_key)
