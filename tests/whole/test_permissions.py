"""Every address stands in one table with the deed it wants, and answers each role accordingly."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import Client as Browser
from django.test.client import MULTIPART_CONTENT
from django.urls import URLResolver, get_resolver, reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.consent.links import make_link
from repairs.instruments.models import Instrument
from repairs.papers.actions import draft_of
from repairs.people.access import DEEDS
from repairs.people.actions import give_data_consent
from repairs.people.models import Role, User
from repairs.photos.actions import open_upload
from repairs.photos.models import Upload
from repairs.press.models import Paper
from repairs.procedures.versions import pin
from repairs.storage import files as store
from repairs.treatment import parts as things
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.models import AgreedWork
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from tests import factories
from tests.readings import samples

NOBODY = "nobody"
TODAY = timezone.localdate().isoformat()
OPEN = "open"


@dataclass(frozen=True)
class Route:
    """What one address wants, and how it answers someone who may: method, status, what is sent."""

    deed: str
    method: str = "GET"
    status: int = 200
    sent: tuple[tuple[str, Any], ...] = ()


def page(deed: str) -> Route:
    return Route(deed)


def post(deed: str, status: int = 302, **sent: Any) -> Route:
    return Route(deed, "POST", status, tuple(sent.items()))


TABLE = {
    "people:sign_in": page(OPEN),
    "people:sign_out": post(OPEN),
    "people:language": post(OPEN, language="en"),
    "people:clients": page("view"),
    "people:client_add": page("people"),
    "people:client": page("view"),
    "people:client_edit": page("people"),
    "people:consent_add": post("people", purpose="keep", how="spoken"),
    "people:consent_withdraw": post("people"),
    "people:house_as_owner": post("take_in"),
    "people:house": page("house"),
    "people:house_billing": page("house"),
    "people:user_add": page("house"),
    "people:user": page("house"),
    "press:verify": page(OPEN),
    "press:verify_code": page(OPEN),
    "instruments:list": page("view"),
    "instruments:add": page("take_in"),
    "instruments:detail": page("view"),
    "instruments:edit": page("take_in"),
    "instruments:parts": page("record"),
    "instruments:part_add": post("record", label="Crank flange"),
    "instruments:usual": post("record"),
    "instruments:hazards": page("record"),
    "instruments:hazard_lift": Route("examine", "POST", 302, (("lead-because", "None found."),)),
    "wood:list": page("view"),
    "wood:add": page("record"),
    "wood:piece": page("view"),
    "wood:edit": page("record"),
    "wood:test": page("record"),
    "wood:take": page("record"),
    "wood:put_back": post("record"),
    "wood:offcut": page("record"),
    "wood:used_up": post("record"),
    "cases:choose": page("take_in"),
    "cases:take_in": page("take_in"),
    "cases:edit": page("take_in"),
    "cases:wait": post("record", waits_for="part"),
    "cases:place": post("record", place="North bench"),
    "cases:receipt": page("receipt"),
    "cases:receipt_preview": page("view"),
    "cases:label": page("view"),
    "photos:add": page("record"),
    "photos:begin": post("record", 200, name="IMG_2.jpg", size=10, phase="arrival"),
    "photos:send": post("record", 200),
    "photos:states": page("view"),
    "photos:picture": page("view"),
    "photos:describe": post("record", phase="before", caption="The wheel"),
    "photos:withdraw": post("record", 200),
    "photos:restore": post("record"),
    "findings:add": page("record"),
    "findings:edit": page("record"),
    "findings:withdraw": post("record", 200),
    "findings:restore": post("record"),
    "findings:look_over": page("record"),
    "findings:parts": page("record"),
    "findings:finish": post("examine"),
    "findings:photo": page("view"),
    "findings:annotations": page("view"),
    "findings:tag_create": post("record", 201, shape="point", points=[[0.5, 0.5]]),
    "findings:tag_change": post("record", 200, points=[[0.1, 0.1], [0.2, 0.2]]),
    "findings:tag_withdraw": post("record", 200),
    "findings:tag_restore": post("record", 200),
    "readings:choose": page("record"),
    "readings:take": page("record"),
    "readings:try": post("record", status=200),
    "readings:detail": page("view"),
    "readings:recompute": post("record"),
    "readings:withdraw": post("record"),
    "readings:diagnosis": page("view"),
    "readings:tools": page("record"),
    "readings:limits": page("house"),
    "readings:limit_edit": page("house"),
    "estimates:list": page("view"),
    "estimates:new": post("estimate"),
    "estimates:detail": page("view"),
    "estimates:edit": page("estimate"),
    "estimates:preview": page("view"),
    "estimates:issue": post("estimate", language="en"),
    "estimates:withdraw": post("estimate"),
    "estimates:link": post("estimate"),
    "estimates:link_shown": Route("estimate", status=302),  # nothing was made to be shown
    "estimates:revoke": post("estimate"),
    "estimates:premises": page("estimate"),
    "estimates:spoken": page("estimate"),
    "estimates:consent": page("view"),
    "estimates:record_preview": page("view"),
    "estimates:record": post("estimate"),
    "estimates:decide": page(OPEN),
    "estimates:decide_file": page(OPEN),
    "estimates:thanks": Route(OPEN, status=410),
    "invoices:money": page("see_money"),
    "invoices:draft_add": page("bill"),
    "invoices:draft": page("bill"),
    "invoices:draft_discard": post("bill"),
    "invoices:issue": page("bill"),
    "invoices:preview": page("bill"),
    "invoices:invoice": page("see_money"),
    "invoices:pay": post("bill", sort="received", amount="1", means="30", paid_on=TODAY),
    "invoices:reverse": post("bill"),
    "invoices:credit": post("bill"),
    "invoices:remind": page("bill"),
    "invoices:send": page("bill"),
    "invoices:xml": page("see_money"),
    "invoices:file": page("see_money"),
    "invoices:paper": page("see_money"),
    "invoices:statement": page("see_money"),
    "invoices:books": page("books"),
    "invoices:export": page("books"),
    "invoices:closing": page("books"),
    "invoices:close": post("books"),
    "invoices:check": page("see_money"),
    "treatment:agree": page("agree"),
    "treatment:begin": page("record"),
    "treatment:drop": post("sign_off", because="sold"),
    "treatment:work": page("view"),
    "treatment:clock": post("record", do="start"),
    "treatment:minutes": page("record"),
    "treatment:steps": post("record"),
    "treatment:describe": post("record", words="Tight again."),
    "treatment:proof": page("sign_off"),
    "treatment:follow": post("record", amount="0,05"),
    "treatment:material_add": post("record", name="hide glue"),
    "treatment:material_back": post("record"),
    "treatment:removed_add": post("record", description="key 4"),
    "treatment:new_part": page("record"),
    "treatment:new_part_back": post("record"),
    "treatment:bag": page("view"),
    "treatment:fate": post("record", fate="given_back"),
    "treatment:bag_label": page("view"),
    "treatment:procedures": page("view"),
    "treatment:procedure": page("view"),
    "treatment:procedure_edit": page("house"),
    "papers:list": page("view"),
    "papers:detail": page("view"),
    "papers:file": page("view"),
    "papers:data": page("view"),
    "papers:make": page("view"),
    "papers:make_preview": post("record"),
    "papers:make_issue": post("receipt"),
    "papers:preview_file": page("view"),
    "papers:return": page("receipt"),
    "bench:home": page("view"),
    "bench:counter": page("take_in"),
    "bench:search": page("view"),
    "bench:case": page("view"),
}
JSON_ROUTES = {"photos:begin", "findings:tag_create", "findings:tag_change"}
ROLES = [*Role.values, NOBODY]


@dataclass(frozen=True)
class Found:
    """An address as the URLconf has it: its view, and the parts of it that vary."""

    view: Any
    arguments: tuple[str, ...]


def walk(
    patterns: list[Any], spaces: tuple[str, ...] = (), outer: tuple[str, ...] = ()
) -> Iterator[tuple[str, Found]]:
    for row in patterns:
        arguments = (*outer, *row.pattern.converters)
        if isinstance(row, URLResolver):
            inner = (*spaces, row.namespace) if row.namespace else spaces
            yield from walk(row.url_patterns, inner, arguments)
        else:
            name = ":".join((*spaces, row.name or f"unnamed {row.pattern}"))
            yield name, Found(row.callback, arguments)


ADDRESSES = dict(walk(get_resolver().url_patterns))


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
    _digest, name = store.keep(b"%PDF-1.7 of a test", "papers", ".pdf")
    paper = Paper.objects.create(
        kind="intake_receipt",
        subject=case.log_key,
        title="Intake receipt",
        language="en",
        version=1,
        code="ABCD-EFGH-JKMN",
        sha256="0" * 64,
        file_name=name,
        size_bytes=18,
        pages=1,
        data={"format": "test"},
        renderer="test",
        issued_at=timezone.now(),
        issued_by=helene,
    )
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
            **work,
        }

    return arguments


def offers(instrument: Instrument, by: User) -> dict[str, Any]:
    """Another stay: an issued estimate, declined once, and the next one being written."""
    case = factories.case(instrument, by=by)
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
        "fingerprint": sheet.fingerprint(),
    }


# How an address names what stands under another name in the world.
MEANT = {
    "people": {"pk": "owner"},
    "people:user": {"pk": "person"},
    "instruments": {"number": "instrument"},
    "wood": {"number": "piece"},
    "photos:send": {"uuid": "upload"},
    "invoices": {"draft": "bill", "paper": "money_paper"},
    "invoices:export": {"what": "export"},
    "treatment:material_back": {"pk": "material"},
    "treatment:new_part_back": {"pk": "part"},
    "papers": {"uuid": "paper"},
    "papers:preview_file": {"uuid": "draft"},
    "estimates": {"number": "offered_case", "consent": "decision"},
    "estimates:edit": {"number": "offered_case", "version": "version_written"},
    "estimates:issue": {"number": "offered_case", "version": "version_written"},
}


def address(name: str, known: dict[str, Any]) -> str:
    meant = MEANT.get(name) or MEANT.get(name.partition(":")[0]) or {}
    wanted = {key: known[meant.get(key, key)] for key in ADDRESSES[name].arguments}
    return reverse(name, kwargs=wanted)


def ask(
    name: str, known: dict[str, Any], person: User | None, method: str = "", **options: Any
) -> Any:
    """Send the request of the table and undo whatever it changed."""
    route = TABLE[name]
    browser: Any = Browser(raise_request_exception=False, **options)
    sent = dict(route.sent)
    place = address(name, known)
    if name == "photos:send":
        place += "?offset=0"
    if name == "papers:make_issue":
        sent = {"draft": known["draft"]}
    if name == "estimates:issue":
        sent["fingerprint"] = known["fingerprint"]
    kind = "application/json" if name in JSON_ROUTES else MULTIPART_CONTENT
    with transaction.atomic():
        if person is not None:
            browser.force_login(person)
        method = method or route.method
        answer = browser.post(place, sent, kind) if method == "POST" else browser.get(place)
        transaction.set_rollback(True)
    if answer.streaming:
        list(answer.streaming_content)  # to its end, where the file is closed
    return answer


def person_of(role: str) -> User | None:
    return None if role == NOBODY else factories.person("basile", role)


def expected(name: str, role: str) -> int:
    route = TABLE[name]
    if route.deed == OPEN:
        return 302 if name == "people:sign_in" and role != NOBODY else route.status
    if role == NOBODY:
        return 302
    return route.status if route.deed in DEEDS[role] else 403


def test_every_address_stands_in_the_table_and_none_that_is_gone():
    assert set(ADDRESSES) == set(TABLE)


@pytest.mark.parametrize("name", sorted(TABLE))
def test_the_guard_of_the_view_is_the_one_of_the_table(name):
    guard = getattr(ADDRESSES[name].view, "needs_deed", OPEN)

    assert guard == TABLE[name].deed


@pytest.mark.parametrize("role", ROLES)
def test_each_role_gets_the_answer_that_the_table_says(world, armand, role):
    cache.clear()
    person = person_of(role)
    known = world(person or armand)

    answers = {name: ask(name, known, person).status_code for name in TABLE}

    assert answers == {name: expected(name, role) for name in TABLE}


def test_nobody_is_led_to_the_sign_in_from_every_guarded_address(world, armand):
    known = world(armand)
    guarded = [name for name, route in TABLE.items() if route.deed != OPEN]

    places = {ask(name, known, None).headers["Location"].partition("?")[0] for name in guarded}

    assert places == {reverse("people:sign_in")}


def test_someone_who_left_is_nobody(world, armand):
    known = world(armand)
    User.objects.filter(pk=armand.pk).update(is_active=False)
    guarded = [name for name, route in TABLE.items() if route.deed != OPEN]

    assert {ask(name, known, armand).status_code for name in guarded} == {302}


def test_what_changes_something_is_not_done_by_following_a_link(world, helene):
    known = world(helene)
    changing = [name for name, route in TABLE.items() if route.method == "POST"]

    answers = {name: ask(name, known, helene, "GET").status_code for name in changing}

    assert answers == dict.fromkeys(changing, 405)


def test_nothing_is_changed_by_a_form_of_another_site(world, helene):
    known = world(helene)

    answers = {
        name: ask(name, known, helene, "POST", enforce_csrf_checks=True).status_code
        for name in TABLE
    }

    assert answers == dict.fromkeys(TABLE, 403)


def test_an_address_of_what_is_not_there_answers_that_it_is_not_found(world, helene):
    known = world(helene)
    nothing = {
        key: uuid.uuid4() if isinstance(value, uuid.UUID) else type(value)("777")
        for key, value in known.items()
    }
    asked = [name for name, row in TABLE.items() if row.deed != OPEN and ADDRESSES[name].arguments]

    answers = {name: ask(name, nothing, helene).status_code for name in asked}

    assert answers == dict.fromkeys(asked, 404)


@pytest.mark.parametrize(
    "place",
    [
        "/cases/%00/",
        "/instruments/%00/edit/",
        "/take-in/I-0001%00/",
        "/wood/%00/",
        "/verify/%00/",
    ],
)
def test_an_address_with_a_sign_that_no_name_has_is_not_found(client, helene, place):
    client.force_login(helene)

    assert client.get(place).status_code == 404
