"""Makes the things of the casebook through the same verbs that the screens use."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.utils import timezone
from PIL import Image

from repairs.cases import actions as case_actions
from repairs.cases.models import Case
from repairs.cases.receipt import issue_receipt
from repairs.estimates import actions as estimate_actions
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.consent.decide import decide
from repairs.estimates.consent.links import make_link
from repairs.estimates.consent.said import Said
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.models import Estimate
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.findings import actions as finding_actions
from repairs.findings.look_models import Examination
from repairs.findings.models import Finding
from repairs.instruments import actions as instrument_actions
from repairs.instruments.hazard_actions import Known, note_hazard
from repairs.instruments.hazard_models import HazardNoted
from repairs.instruments.models import Instrument
from repairs.invoices import actions as invoice_actions
from repairs.invoices.actions import DraftLineSpec
from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.invoices.issuing import fingerprint, issue_invoice
from repairs.invoices.models import Invoice, Payment
from repairs.payments.actions import note_payment
from repairs.people import actions as people_actions
from repairs.people.house_models import House
from repairs.people.models import Client, User
from repairs.photos import actions as photo_actions
from repairs.photos.models import Photo, Tag
from repairs.photos.upload_models import Upload
from repairs.press.models import Paper
from repairs.procedures import versions
from repairs.procedures.models import ProcedureVersion
from repairs.procedures.procedure import content_hash, shipped
from repairs.readings import actions as reading_actions
from repairs.readings.models import Reading
from repairs.treatment import actions as treatment_actions
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.models import AgreedWork, Intervention, SignOff, StepNote
from repairs.treatment.proof import proof_of
from repairs.treatment.signing import sign_off
from repairs.wood import actions as wood_actions
from repairs.wood.models import Piece, Withdrawal
from repairs.wood.tested_models import WoodTest

RECEIVED = dt.datetime(2026, 11, 20, 9, 30, tzinfo=dt.UTC)


def house() -> House:
    return people_actions.change_house(
        House(
            name="Atelier Sautarel",
            trade="Vielles et violons",
            address="1, rue du Puits",
            currency="EUR",
            terms="Ceci est un essai.",
        ),
        by=None,
        at=timezone.now(),
    )


def person(username: str, role: str, language: str = "en") -> User:
    user = User(
        username=username,
        first_name=username.capitalize(),
        last_name="Sautarel",
        role=role,
        language=language,
        email=f"{username}@example.org",
    )
    return people_actions.save_user(user, by=None, at=timezone.now(), password="un-mot-long-1771")


def owner(*, by: User, name: str = "Garance Ollivant", **fields: Any) -> Client:
    client = Client(
        name=name,
        email=fields.pop("email", "garance@example.org"),
        phone=fields.pop("phone", "+33 6 11 22 33 44"),
        language="en",
        **fields,
    )
    return people_actions.enter_client(client, by=by, at=timezone.now())


def instrument(
    owner: Client, *, by: User, kind: str = "vielle_french", **fields: Any
) -> Instrument:
    said = {
        "maker": "Étienne Roussillat",
        "maker_surety": "signed",
        "place_made": "Valbrune",
        "date_text": "1771",
        "year_first": 1771,
        "year_last": 1771,
        "declared_value": Decimal("6800.00"),
    } | fields
    return instrument_actions.enter_instrument(
        Instrument(owner=owner, kind=kind, **said),
        {"body_length": Decimal("402"), "speaking_length": Decimal("345")},
        by=by,
        at=timezone.now(),
    )


def case(instrument: Instrument, *, by: User, **fields: Any) -> Case:
    said = {
        "reason": "repair",
        "owner_words": "It growls once a turn.",
        "state_at_intake": "Crack in the soundboard.\nWheel turns.\nStrings slack.",
        "received_at": RECEIVED,
        "place": "Shelf 2",
        "room_t_c": Decimal("18.5"),
        "room_rh_pct": Decimal("46"),
        "promised_on": dt.date(2026, 12, 18),
    } | fields
    return case_actions.take_in(
        Case(instrument=instrument, owner=instrument.owner, **said), by=by, at=timezone.now()
    )


def jpeg(width: int = 400, height: int = 300, *, seed: int = 1, **save: Any) -> bytes:
    """A small JPEG whose four corners differ, so that a turn of it can be seen."""
    image = Image.new("RGB", (width, height), (seed * 37 % 256, seed * 91 % 256, 120))
    image.paste((220, 30, 30), (0, 0, width // 4, height // 4))
    image.paste((30, 200, 30), (width - width // 4, 0, width, height // 4))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=90, **save)
    return out.getvalue()


def upload(
    case: Case,
    data: bytes,
    *,
    by: User,
    name: str = "IMG_1.jpg",
    view: str = "front",
    phase: str = "arrival",
) -> Upload:
    """A whole upload that waits for the darkroom."""
    row = photo_actions.open_upload(
        Upload(case=case, by=by, name=name, size_bytes=len(data), phase=phase, view=view),
        at=timezone.now(),
    )
    photo_actions.append(row, [data], offset=0)
    photo_actions.complete(row, at=timezone.now())
    return Upload.objects.select_related("photo__case").get(pk=row.pk)


def photo(case: Case, *, by: User, data: bytes | None = None, **fields: Any) -> Photo:
    """A photo that went through the real darkroom."""
    row = upload(case, jpeg() if data is None else data, by=by, **fields)
    return photo_actions.develop(row)


def finding(case: Case, *, by: User, part: str = "soundboard", **fields: Any) -> Finding:
    said = {
        "term": "crack",
        "location": "beside the keybox",
        "extent_value": Decimal("146"),
        "extent_unit": "mm",
        "severity": 3,
        "stability": "active",
        "urgency": 1,
        "cause": "climate",
    } | fields
    row = case.instrument.parts.get(key=part)
    return finding_actions.add_finding(
        Finding(case=case, part=row, **said), by=by, at=timezone.now()
    )


def tag(
    photo: Photo,
    finding: Finding | None,
    *,
    by: User,
    shape: str = "line",
    points: list[list[float]] | None = None,
) -> Tag:
    drawn = photo_actions.draw_tag(
        Tag(photo=photo, shape=shape, points=points or [[0.2, 0.3], [0.4, 0.6]], drawn_by=by),
        at=timezone.now(),
    )
    if finding is not None:
        finding_actions.bind_tag(drawn, finding, by=by, at=timezone.now())
    return drawn


def examination(case: Case, *, by: User, **fields: Any) -> Examination:
    said = {
        "examiner": by,
        "examined_on": dt.date(2026, 11, 21),
        "place": "north bench",
        "methods": "daylight, lens",
        "overall_grade": "3",
        "overall_state": "Sound but cracked.",
        "urgency": "1",
        "playable_state": "Not tried.",
        "advice": "Keep it slack.",
    } | fields
    return finding_actions.save_examination(
        Examination(case=case, **said), seen=0, by=by, at=timezone.now()
    )


def hazard(instrument: Instrument, *, by: User, key: str = "lead", **known: Any) -> HazardNoted:
    return note_hazard(instrument, key, Known(**known), by=by, at=timezone.now())


def string_reading(case: Case, *, by: User, **fields: Any) -> Reading:
    """A reading that every case permits: one string, as it was typed."""
    row = {
        "name": "chanterelle",
        "length_mm": "345",
        "pitch_hz": "392",
        "diameter_mm": "0,81",
        "material": "gut",
        "density_kg_m3": "",
        "break_deg": "",
    }
    said = {
        "gauge": "string_set",
        "taken_at": timezone.now(),
        "raw": {"fields": {}, "rows": [row]},
    } | fields
    return reading_actions.save_reading(Reading(case=case, **said), by=by, at=timezone.now())


def piece(*, by: User, **fields: Any) -> Piece:
    """A spruce board of 400 cm³, quarter-sawn; fields as changed."""
    said = {
        "form": "board",
        "material": "spruce",
        "cut": "quarter",
        "length_mm": Decimal("500"),
        "width_mm": Decimal("200"),
        "thickness_mm": Decimal("4"),
        "place": "Rack 3",
    } | fields
    return wood_actions.enter_piece(Piece(**said), by=by, at=timezone.now())


def withdrawal(piece: Piece, *, by: User, **fields: Any) -> Withdrawal:
    """40 cm³ of the board."""
    said = {
        "length_mm": Decimal("100"),
        "width_mm": Decimal("100"),
        "thickness_mm": Decimal("4"),
        "purpose": "cleats",
    } | fields
    return wood_actions.withdraw(Withdrawal(piece=piece, **said), by=by, at=timezone.now())


def wood_test(piece: Piece, *, by: User, **fields: Any) -> WoodTest:
    """A spruce strip of 400 kg/m³, tapped."""
    said = {
        "taken_on": dt.date(2026, 11, 20),
        "length_mm": Decimal("400"),
        "width_mm": Decimal("50"),
        "thickness_mm": Decimal("2.7"),
        "mass_g": Decimal("21.6"),
        "tap_f_hz": Decimal("92"),
    } | fields
    return wood_actions.test_piece(WoodTest(piece=piece, **said), by=by, at=timezone.now())


PROCEDURES: dict[str, tuple[str, int, int]] = {
    "seam": ("reversible", 60, 90),
    "cleats": ("partly", 120, 180),
    "turning": ("irreversible", 120, 240),
}


def procedure(key: str) -> ProcedureVersion:
    """A procedure of the house for tests, whatever comes with the casebook."""
    grade, low, high = PROCEDURES[key]
    label = {"en": f"the {key} of a test", "fr": f"essai {key}"}
    content = {
        "key": key,
        "label": label,
        "group": "wood",
        "families": [],
        "purpose": {"en": "To try it.", "fr": "Pour essayer."},
        "cautions": [],
        "steps": [{"key": "do", "label": label}],
        "materials": [],
        "readings": [],
        "asks": [],
        "photos": [],
        "reversibility": {
            "grade": grade,
            "words": {"en": f"It is {grade}.", "fr": f"C’est {grade}."},
        },
        "touches": [],
        "minutes": [low, high],
        "source": "of a test",
    }
    known = ProcedureVersion.objects.filter(key=key).first()
    return known or ProcedureVersion.objects.create(
        key=key,
        version=1,
        content=content,
        content_hash=content_hash(content),
        origin=ProcedureVersion.Origin.HOUSE,
        made_at=timezone.now(),
    )


def work_line(key: str = "seam", **said: Any) -> LineWish:
    """A line of work under a procedure of the tests, at its usual minutes."""
    low, high = procedure(key).procedure.minutes
    words: dict[str, Any] = {"minutes_low": low, "minutes_high": high, **said}
    return LineWish(kind="work", procedure=key, **words)


def looked_over(case: Case, *, by: User) -> Case:
    """Move the case to where an estimate may be issued."""
    if case.step == Case.Step.TAKEN_IN:
        case_actions.move(case, Case.Step.LOOKED_OVER, because="", by=by, at=timezone.now())
    return case


def estimate(
    case: Case, *options: OptionWish, by: User, issued: bool = True, **fields: Any
) -> Estimate:
    """A version with its options, at 60.00 an hour and 20 % tax unless said otherwise; issued."""
    now = timezone.now()
    row = estimate_actions.write_estimate(case, by=by, at=now)
    said = {"hourly_rate": Decimal("60.00"), "tax_pct": Decimal("20"), "intro": "As we said."}
    for name, value in (said | fields).items():
        setattr(row, name, value)
    wishes = options or (OptionWish(kind="safe", lines=[work_line()]),)
    estimate_actions.change_estimate(row, wishes, seen=row.revision, by=by, at=now)
    if issued:
        issue_estimate(looked_over(case, by=by), row, by=by)
    return row


def issue_estimate(case: Case, row: Estimate, *, by: User, language: str = "en") -> Paper:
    now = timezone.now()
    row.case = case
    sheet = estimate_sheet(row, language=language, made_at=now)
    return estimate_actions.issue_estimate(
        row, language=language, fingerprint=sheet.fingerprint(), by=by, at=now
    )


def paper_of(row: Estimate) -> Paper:
    """The paper of an issued version."""
    assert row.paper is not None
    return row.paper


def link(estimate: Estimate, *, by: User) -> tuple[ConsentLink, str]:
    """A link to the issued version, with its token."""
    return make_link(estimate, by=by, at=timezone.now())


def consent(estimate: Estimate, *, by: User | None, link: Any = None, **said: Any) -> Consent:
    """The owner agrees to the first option, with a drawn signature on the premises."""
    words: dict[str, Any] = {
        "decision": "agreed",
        "how": "premises",
        "name": estimate.case.owner.name,
        "option": estimate.options.first(),
        "signature": SIGNATURE,
        "replaces": True,
    } | said
    return decide(estimate, Said(**words), link=link, by=by, at=timezone.now())


SIGNATURE = [[[0.1, 0.6], [0.3, 0.2], [0.5, 0.8]], [[0.6, 0.4], [0.9, 0.5]]]


def receipt(case: Case, *, by: User) -> Paper:
    """The intake receipt of a case, issued."""
    return issue_receipt(case, language="en", by=by, at=timezone.now())


# Numbers of published examples, whose check digits fit; nobody's.
BILLING = {
    "address": "1, rue du Puits",
    "postcode": "03000",
    "city": "Valbrune",
    "country": "FR",
    "email": "atelier@example.org",
    "legal_form": "EI",
    "company_number": "73282932000074",
    "vat_id": "FR44732829320",
    "iban": "FR7630006000011234567890189",
    "bic": "AGRIFRPP",
}


def billing_house(**fields: Any) -> House:
    """A workshop that has all that its invoices need."""
    said: dict[str, Any] = {
        "name": "Atelier Sautarel",
        "trade": "Vielles et violons",
        **BILLING,
        **fields,
    }
    return people_actions.change_house(House(**said), by=None, at=timezone.now())


def payer(*, by: User, name: str = "Garance Ollivant", **fields: Any) -> Client:
    """A client with an address to send invoices to."""
    said: dict[str, Any] = {
        "address": "3, rue des Tanneurs",
        "postcode": "03100",
        "city": "Montluçon",
    } | fields
    return owner(by=by, name=name, **said)


def hours(quantity: str = "7.25", unit_price: str = "48.00", **fields: Any) -> DraftLineSpec:
    said: dict[str, Any] = {
        "sort": "hours",
        "description": "Work on the wheel",
        "quantity": Decimal(quantity),
        "unit": "HUR",
        "unit_price": Decimal(unit_price),
    } | fields
    return DraftLineSpec(**said)


def sold(description: str, unit_price: str, **fields: Any) -> DraftLineSpec:
    said: dict[str, Any] = {
        "sort": "material",
        "description": description,
        "quantity": Decimal(1),
        "unit_price": Decimal(unit_price),
    } | fields
    return DraftLineSpec(**said)


def draft(
    client: Client, *lines: DraftLineSpec, by: User, kind: str = Kind.INVOICE, **fields: Any
) -> InvoiceDraft:
    """A draft with the lines given, or with some hours of work."""
    row = invoice_actions.open_draft(
        client,
        case=fields.pop("case", None),
        kind=kind,
        lines=lines or (hours(),),
        by=by,
        at=timezone.now(),
    )
    for name, value in fields.items():
        setattr(row, name, value)
    row.save()
    return row


def issued(row: InvoiceDraft, *, by: User, at: dt.datetime | None = None) -> Invoice:
    """The draft issued as it stands, by the same way as the screen."""
    shown = fingerprint(document_of(facts_of(row, at or timezone.now()), number=""))
    return issue_invoice(row, shown=shown, by=by, clock=lambda: at or timezone.now())


def late(client: Client, *, by: User, rate_pct: str = "12") -> Invoice:
    """417.60, due thirty days ago, with the penalty rate of the house in it."""
    House.objects.update(penalty_rate_pct=Decimal(rate_pct))
    row = draft(client, by=by, payment_days=0)
    return issued(row, by=by, at=timezone.now() - dt.timedelta(days=30))


def payment(
    invoice: Invoice, amount: str, *, by: User, on: dt.date | None = None, **fields: Any
) -> Payment:
    """Money that came; less than nothing is money paid back."""
    value = Decimal(amount)
    said = {"means": "30", "sort": "received" if value > 0 else "refund"} | fields
    row = Payment(invoice=invoice, amount=value, paid_on=on or timezone.localdate(), **said)
    return note_payment(row, by=by, at=timezone.now())


# Work under a procedure -----------------------------------------------------------------------


def procedure_version(key: str = "trial", *, by: User, **changed: Any) -> ProcedureVersion:
    """A procedure of the house: the free one as delivered, but for what is changed."""
    content = dict(shipped()["free"]) | {"key": key} | changed
    return versions.reword(key, content, because="for a test", by=by, at=timezone.now())


def agreed_works(case: Case, *wanted: Wanted, by: User | None, **terms: Any) -> list[AgreedWork]:
    """Pieces of work to which the owner agreed in one go; the case has come so far with them."""
    now = timezone.now()
    said: dict[str, Any] = {
        "basis": AgreedWork.Basis.CONSENT,
        "agreed_name": case.owner.name,
        "hourly_rate": Decimal("60.00"),
    } | terms
    rows = write_agreed(case, wanted, Terms(**said), by=by, at=now)
    case.refresh_from_db()
    for step in (Case.Step.LOOKED_OVER, Case.Step.AGREED):
        if case.path.index(case.step) < case.path.index(step):
            assert by is not None  # a step has always somebody of the house behind it
            case_actions.move(case, step, because="", by=by, at=now)
    return rows


def agreed_work(
    case: Case,
    procedure: str | ProcedureVersion = "open_seam",
    *findings: Finding,
    by: User | None,
    **terms: Any,
) -> AgreedWork:
    version = procedure
    if isinstance(version, str):
        version = versions.pin(version, at=timezone.now())
    return agreed_works(case, Wanted(version=version, findings=findings), by=by, **terms)[0]


def begun_work(
    agreed: AgreedWork,
    *,
    by: User,
    parts: Iterable[str] = (),
    at: dt.datetime | None = None,
    **fields: Any,
) -> Intervention:
    """Begun on the named parts, answering whatever was agreed."""
    case = Case.objects.with_names().get(pk=agreed.case_id)
    row = treatment_actions.open_work(
        Intervention(case=case, agreed=agreed, **fields),
        findings=list(agreed.findings.all()),
        parts=list(case.instrument.parts.filter(key__in=parts)),
        by=by,
        at=at or timezone.now(),
    )
    row.case = case
    return row


def ticked(work: Intervention, *, by: User) -> Intervention:
    """Every step done as written."""
    steps = work.version.procedure.steps
    notes = [StepNote(step=step.key, state=StepNote.State.DONE) for step in steps]
    treatment_actions.note_steps(work, notes, by=by, at=timezone.now())
    return work


def signed_off(work: Intervention, *, by: User, reason: str = "It holds.") -> SignOff:
    """Signed off, with the reason for whatever is not as it must be."""
    reasons = {one.key: reason for one in proof_of(work) if one.asks}
    return sign_off(work, reasons=reasons, words="", by=by, at=timezone.now())
