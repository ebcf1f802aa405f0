"""A page asks the database as often for many things as for few."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from repairs.cases.models import Case
from repairs.findings.actions import note_looks
from repairs.instruments.models import Instrument
from repairs.photos.models import Original, Photo
from repairs.press.models import Paper
from repairs.procedures.versions import pin
from repairs.treatment import clocks
from repairs.treatment import parts as things
from repairs.treatment.agree import Wanted
from repairs.treatment.models import Intervention, WorkSpell
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from tests import factories
from tests.readings import samples

FEW, MANY = 3, 12
AT = dt.datetime(2026, 11, 24, 10, 0, tzinfo=dt.UTC)


@pytest.fixture
def count(client, armand, house) -> Callable[..., int]:
    """Open a page as a luthier and return how many queries that took."""
    client.force_login(armand)

    def opened(address: str, **words: str) -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            answer = client.get(address, words)
        assert answer.status_code == 200
        return len(queries)

    return opened


def add_cases(helene, armand, upto: int) -> None:
    """Cases of different owners and instruments, so that nothing is found twice."""
    for number in range(Case.objects.count() + 1, upto + 1):
        owner = factories.owner(by=helene, name=f"Owner {number}", email="", phone=str(number))
        instrument = factories.instrument(owner, by=helene, label_text=f"Label {number}")
        case = factories.case(instrument, by=armand)
        factories.finding(case, by=armand, note=f"glows {number}")
        add_paper(case, armand)


def add_paper(case: Case, armand, version: int = 1) -> None:
    said = f"{case.number} {version}"
    Paper.objects.create(
        kind="condition_report",
        subject=case.log_key,
        title="Condition report",
        language="en",
        version=version,
        code=said,
        sha256=said,
        file_name="papers/none.pdf",
        size_bytes=1,
        pages=1,
        data={},
        renderer="none",
        issued_at=AT,
        issued_by=armand,
        replaces=Paper.objects.current("condition_report", case.log_key),
    )


def fill(case: Case, armand, upto: int) -> None:
    """Photos with tags, findings, parts not examined, papers, and moves of a case."""
    parts = list(case.instrument.parts.all())
    for number in range(case.photos.count() + 1, upto + 1):
        original = Original.objects.create(
            sha256=f"{number:064d}",
            file_name=f"originals/{number}.jpg",
            size_bytes=1,
            format="JPEG",
            width=400,
            height=300,
            kept_at=AT,
        )
        photo = Photo.objects.create(
            case=case,
            number=number,
            original=original,
            state=Photo.State.READY,
            sent_name=f"IMG_{number}.jpg",
            sent_at=AT,
            sent_by=armand,
        )
        finding = factories.finding(case, by=armand, part=parts[number].key)
        factories.tag(photo, finding, by=armand)
        note_looks(case, {parts[-number].pk: ("not_examined", "closed")}, by=armand, at=AT)
        case.custody.filter(until=None).update(until=AT)
        case.custody.create(holder="workshop", place=f"Shelf {number}", since=AT, noted_by=armand)
        add_paper(case, armand, version=number)


def test_the_bench_asks_the_same_for_twelve_cases_as_for_three(count, helene, armand):
    add_cases(helene, armand, FEW)
    few = count(reverse("bench:home"))
    add_cases(helene, armand, MANY)

    assert count(reverse("bench:home")) == few
    assert few <= 7


def test_the_case_page_asks_the_same_for_twelve_photos_and_findings_as_for_three(
    count, case, armand
):
    fill(case, armand, FEW)
    few = count(case.get_absolute_url())
    fill(case, armand, MANY)

    assert count(case.get_absolute_url()) == few
    assert few <= 50


@pytest.mark.parametrize("kind", ["vielle_french", "violin"])
def test_the_page_of_an_instrument_asks_the_same_for_many_parts_cases_and_sizes(
    count, owner, helene, armand, kind
):
    plain = factories.instrument(owner, by=helene, kind="other")
    rich = factories.instrument(owner, by=helene, kind=kind)
    rich.parts.update(material="ivory_elephant")
    for _time in range(FEW):
        factories.case(rich, by=armand)

    few, many = count(plain.get_absolute_url()), count(rich.get_absolute_url())

    assert rich.parts.count() > plain.parts.count()
    assert few == many <= 10


def test_the_table_of_parts_asks_the_same_for_many_parts(count, owner, helene):
    plain = factories.instrument(owner, by=helene, kind="other")
    rich = factories.instrument(owner, by=helene)

    few, many = (count(reverse("instruments:parts", args=[one.number])) for one in (plain, rich))

    assert few == many <= 10


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("bench:search", "roussillat"),
        ("bench:search", "owner"),
        ("bench:search", "label"),
        ("bench:search", "glows"),
        ("instruments:list", ""),
        ("people:clients", ""),
        ("papers:list", ""),
        ("cases:choose", "roussillat"),
    ],
)
def test_a_list_asks_the_same_for_twelve_as_for_three(count, helene, armand, name, words):
    add_cases(helene, armand, FEW)
    few = count(reverse(name), q=words)
    add_cases(helene, armand, MANY)

    assert Instrument.objects.count() == MANY
    assert count(reverse(name), q=words) == few
    assert few <= 10


def test_the_page_of_a_client_asks_the_same_for_many_instruments_and_cases(
    count, owner, helene, armand
):
    address = reverse("people:client", args=[owner.pk])
    count(address)  # the first look of an hour is said in the log
    counts = []
    for number in (FEW, MANY):
        for _time in range(number):
            factories.case(factories.instrument(owner, by=helene), by=armand)
        counts.append(count(address))

    assert counts[0] == counts[1] <= 11


def fill_work(case: Case, person, upto: int) -> None:
    """Works at every stage, each with steps, minutes, materials, bags, new parts and readings."""
    keys = ["full_setup", "open_seam", "free"]
    begun = case.interventions.count()
    wanted = [
        Wanted(version=pin(keys[number % 3], at=AT), findings=list(case.findings.all()))
        for number in range(begun, upto + 1)
    ]
    case.instrument.parts.update(originality="later_replacement")
    for number, agreed in enumerate(factories.agreed_works(case, *wanted, by=person)[:-1], begun):
        work = factories.ticked(factories.begun_work(agreed, by=person), by=person)
        fill_things(work, person)
        if number % 3 == 2:
            factories.signed_off(work, by=person)


def fill_things(work: Intervention, person) -> None:
    for number in range(work.number):
        spell = WorkSpell(intervention=work, person=person, started_at=AT, minutes=5 + number)
        clocks.type_minutes(spell, by=person, at=AT)
        use = MaterialUse(intervention=work, name=f"glue {number}", amount=10, price=1)
        things.use_material(use, by=person, at=AT)
        part = work.case.instrument.parts.all()[number]
        bag = RemovedPart(intervention=work, case=work.case, part=part, description="old")
        things.remove_part(bag, by=person, at=AT)
        new = NewPart(intervention=work, description="new", origin="bought", material="bone")
        things.fit_new_part(new, None, by=person, at=AT)
    for phase in ("before", "after"):
        for gauge in ("wheel", "correction"):
            subject = f"{gauge} {work.number}"
            samples.reading(work.case, by=person, gauge=gauge, phase=phase, subject=subject)


def test_the_case_page_asks_the_same_for_twelve_works_as_for_three(count, case, finding, armand):
    fill_work(case, armand, FEW)
    few = count(case.get_absolute_url())
    fill_work(case, armand, MANY)

    assert case.interventions.count() == MANY
    assert count(case.get_absolute_url()) == few
    assert few <= 50


@pytest.mark.parametrize("name", ["work", "proof"])
def test_the_pages_of_work_ask_the_same_for_much_in_it_as_for_little(
    count, case, finding, armand, name
):
    fill_work(case, armand, 1)
    address = reverse(f"treatment:{name}", args=[case.number, 1])
    few = count(address)
    work = case.interventions.get()
    for _time in range(4):
        fill_things(work, armand)
    fill_work(case, armand, FEW)

    assert count(address) == few
    assert few <= 31
