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
from repairs.findings import actions as finding_actions
from repairs.findings.models import Examination, Finding
from repairs.instruments import actions as instrument_actions
from repairs.instruments.models import Instrument
from repairs.people import actions as people_actions
from repairs.people.models import Client, House, User
from repairs.photos import actions as photo_actions
from repairs.photos.models import Photo, Tag, Upload
from repairs.readings import actions as reading_actions
from repairs.readings.models import Reading
from repairs.treatment import actions as treatment_actions
from repairs.treatment import versions
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.models import AgreedWork, Intervention, ProcedureVersion, SignOff, StepNote
from repairs.treatment.procedure import shipped
from repairs.treatment.proof import proof_of
from repairs.treatment.signing import sign_off

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
