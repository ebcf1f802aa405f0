"""A house with one of everything, for the tests that walk every address."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone

from repairs.cases.models import Case
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.consent.links import make_link
from repairs.instruments.models import Instrument
from repairs.jobs.actions import enqueue
from repairs.papers.actions import draft_of
from repairs.people.actions import give_data_consent
from repairs.people.models import User
from repairs.photos.actions import open_upload
from repairs.photos.upload_models import Upload
from repairs.press.models import Paper
from repairs.press.proofs import Proof, Sort, keep
from repairs.procedures.versions import pin
from repairs.storage import files as store
from repairs.treatment import parts as things
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.models import AgreedWork
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from tests import factories
from tests.readings import samples


def work_in_progress(case: Case, *, by: User) -> dict[str, Any]:
    """Work agreed and not begun, and work begun with one of everything that can be in it.

    In an emergency, so that the case stays where its other addresses need it.
    """
    now = timezone.now()
    wanted = [Wanted(version=pin(key, at=now)) for key in ("open_seam", "free")]
    terms = Terms(basis=AgreedWork.Basis.EMERGENCY, because="It falls apart.")
    begun, waiting = write_agreed(case, wanted, terms, by=by, at=now)
    work = factories.begun_work(begun, by=by)
    material = MaterialUse(intervention=work, name="hide glue")
    bag = RemovedPart(intervention=work, case=case, description="old glue")
    part = NewPart(intervention=work, description="peg", origin="bought", material="boxwood")
    wheel = samples.reading(case, by=by)
    return {
        "agreed": waiting.number,
        "work": work.number,
        "material": things.use_material(material, by=by, at=now).pk,
        "bag": things.remove_part(bag, by=by, at=now).number,
        "part": things.fit_new_part(part, None, by=by, at=now).pk,
        "prescription": samples.result_of(wheel).prescriptions.get(code="wheel.shift").pk,
        "key": "free",
    }


@pytest.fixture
def world(case, photo, finding, armand, helene) -> Callable[[User], dict[str, Any]]:
    """One of everything; for each person, the arguments of every address."""
    factories.billing_house()
    last_year = timezone.now() - dt.timedelta(days=366)
    payer = factories.payer(by=helene, name="Odon Perrachon")
    invoice = factories.issued(factories.draft(payer, by=helene), by=helene, at=last_year)
    payment = factories.payment(invoice, "10.00", by=helene)
    bill = factories.draft(payer, by=helene)
    tag = factories.tag(photo, finding, by=armand)
    consent = give_data_consent(case.owner, "keep", "spoken", by=helene, at=timezone.now())
    digest, name = store.keep(b"%PDF-1.7 of a test", "papers", ".pdf")
    paper = Paper.objects.create(
        kind="intake_receipt",
        subject=case.log_key,
        title="Intake receipt",
        language="en",
        version=1,
        code="ABCD-EFGH-JKMN",
        sha256=digest,
        file_name=name,
        size_bytes=18,
        pages=1,
        data={"format": "test"},
        renderer="test",
        issued_at=timezone.now(),
        issued_by=helene,
    )
    proof = keep(paper, Proof(Sort.STAMP, b"a token", timezone.now(), "A clock", ""))
    reading = factories.string_reading(case, by=armand)
    factories.hazard(case.instrument, by=armand)
    piece = factories.piece(by=armand)
    withdrawal = factories.withdrawal(piece, by=armand)
    work = work_in_progress(case, by=helene)
    draft = draft_of(case, "setup_sheet", "en", by=helene, at=timezone.now())
    draft.file_name = name
    draft.save()
    offered = offers(case.instrument, armand)

    def arguments(person: User) -> dict[str, Any]:
        upload = Upload(
            case=case, by=person, name="IMG_3.jpg", size_bytes=999, phase="arrival", view=""
        )
        return {
            "number": case.number,
            "instrument": case.instrument.number,
            "owner": case.owner_id,
            "consent": consent.pk,
            "person": armand.pk,
            "photo": photo.number,
            "size": 320,
            "finding": finding.number,
            "tag": tag.pk,
            "upload": open_upload(upload, at=timezone.now()).uuid,
            "paper": paper.uuid,
            "proof": proof.pk,
            "draft": draft.uuid,
            "reading": reading.number,
            "hazard": "lead",
            "piece": piece.number,
            "withdrawal": withdrawal.number,
            "gauge": "string_set",
            "figure": "load_n",
            "code": paper.code,
            "kind": "setup_sheet",
            **offered,
            "invoice": invoice.number,
            "payment": payment.pk,
            "money_paper": invoice.paper.uuid,
            "bill": bill.pk,
            "what": "xml",
            "year": last_year.year,
            "export": "fec",
            "map": "front",
            "job": enqueue("keep.sweep", by=person).uuid,
            **work,
        }

    return arguments


def offers(instrument: Instrument, by: User) -> dict[str, Any]:
    """Another stay: an issued estimate, declined once, and the next one being written."""
    case = factories.case(instrument, by=by)
    factories.photo(case, by=by, data=factories.jpeg(seed=4))
    issued = factories.estimate(case, by=by)
    declined = factories.consent(issued, by=by, decision="declined", option=None)
    _link, token = make_link(issued, by=by, at=timezone.now())
    written = factories.estimate(case, by=by, issued=False)
    sheet = estimate_sheet(written, language="en", made_at=timezone.now())
    return {
        "offered_case": case.number,
        "version": issued.version,
        "version_written": written.version,
        "decision": declined.number,
        "token": token,
        "which": 1,
        "fingerprint": sheet.fingerprint(),
    }
