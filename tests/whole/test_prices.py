"""Who may see no prices is shown none: no page, paper, preview, datum or script says a sum."""

from __future__ import annotations

import datetime as dt
import io
import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Any

import pypdf
import pytest
from django.core.cache import cache
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.estimates.wishes import OptionWish
from repairs.papers.actions import draft_of, issue_paper, make_preview
from repairs.people.access import may
from repairs.people.house_models import House
from repairs.people.models import Role, User
from repairs.press.models import Paper
from repairs.treatment.clocks import start_clock, type_minutes
from repairs.treatment.models import WorkSpell
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import use_material
from tests import factories
from tests.whole.addresses import TABLE
from tests.whole.asking import ask

# Sums that stand nowhere else, so that one can be told wherever it turns up.
VALUE, INSURED, RATE, CEILING, GLUE = "7913.31", "8517.43", "61.37", "1739.29", "43.19"
PLANTED = re.compile(
    "|".join(
        rf"(?<![\w.])(?:{whole[:-3]}[ ,.\u00a0\u202f]?)?{whole[-3:]}[.,]{part}(?!\w)"
        if len(whole) > 3
        else rf"(?<![\w.]){whole}[.,]{part}(?!\w)"
        for whole, part in (one.split(".") for one in (VALUE, INSURED, RATE, CEILING, GLUE))
    )
)
# Whoever holds the link is the owner, whatever the house lets them see.
BY_THE_OWNER_S_LINK = {"estimates:decide", "estimates:decide_file", "estimates:decide_photo"}
AMOUNT = re.compile(r"€|\bEUR\b[^\"'<]{0,3}\d|\d[\d.,\s\u00a0\u202f]*(?:EUR|€)")


@pytest.fixture
def priced(case: Case, photo, finding, helene: User, armand: User, world) -> Case:
    """The world's case with a sum in everything that can have one."""
    House.objects.update(hourly_rate=Decimal(RATE), spoken_consent_most=Decimal(CEILING))
    case.instrument.declared_value, case.insured_value = Decimal(VALUE), Decimal(INSURED)
    case.instrument.save()
    case.save()
    return case


def plant(case: Case, luthier: User, helene: User) -> dict[str, Any]:
    """An offer, a decision, work under a ceiling with minutes, a clock and a material, papers."""
    factories.examination(case, by=luthier)
    option = OptionWish(kind="safe", lines=[factories.work_line()], ceiling=Decimal(CEILING))
    offer = factories.estimate(case, option, by=luthier, hourly_rate=Decimal(RATE))
    consent = factories.consent(offer, by=luthier)
    work = factories.begun_work(
        case.agreed_works.get(reference=f"consent:{consent.pk}"), by=luthier
    )
    type_minutes(
        WorkSpell(
            intervention=work,
            person=luthier,
            started_at=timezone.now() - dt.timedelta(hours=3),
            minutes=90,
        ),
        by=luthier,
        at=timezone.now(),
    )
    glue = MaterialUse(intervention=work, name="hide glue", amount=Decimal(1), price=Decimal(GLUE))
    use_material(glue, by=luthier, at=timezone.now())
    start_clock(work, by=luthier, at=timezone.now())
    report = draft_of(case, "condition_report", "en", by=helene, at=timezone.now())
    make_preview(report)
    issue_paper(report, by=helene, at=timezone.now())
    factories.receipt(case, by=luthier)
    return {
        "number": case.number,
        "offered_case": case.number,
        "version": offer.version,
        "decision": consent.number,
        "work": work.number,
        "draft": report.uuid,
        "kind": "condition_report",
    }


def words_of(answer: Any) -> str:
    """What an answer says: of a PDF its text, its metadata and the data inside."""
    body: bytes = answer.said
    if not body.startswith(b"%PDF") or len(body) < 1000:
        return body.decode("utf-8", "replace")
    reader = pypdf.PdfReader(io.BytesIO(body))
    inside = (data for files in reader.attachments.values() for data in files)
    texts = [page.extract_text() for page in reader.pages]
    return " ".join([*texts, *(data.decode("utf-8", "replace") for data in inside)])


def sums_in(words: str) -> list[str]:
    """The sums that stand there, however they are written: 7913.31, 7,913.31, 7 913,31, 12 EUR."""
    return [found.group() for pattern in (PLANTED, AMOUNT) for found in pattern.finditer(words)]


def every_answer(case: Case, known: dict[str, Any], person: User) -> Iterator[tuple[str, Any]]:
    """Each address of the table, and each paper of the case as page, file and data."""
    for name in TABLE.keys() - BY_THE_OWNER_S_LINK:
        yield name, ask(name, known, person)
    for paper in Paper.objects.filter(subject=case.log_key).exclude(renderer="test"):
        for name in ("papers:detail", "papers:file", "papers:data"):
            answer = ask(name, known | {"paper": paper.uuid}, person)
            yield f"{name} {paper.kind}", answer


@pytest.fixture
def planted(priced: Case, world, armand: User, helene: User) -> Callable[[User], dict[str, Any]]:
    said = plant(priced, armand, helene)
    return lambda person: world(person) | said


@pytest.mark.share(2)
@pytest.mark.parametrize(("role", "language"), [(Role.READER, "fr"), (Role.APPRENTICE, "en")])
def test_who_may_see_no_prices_is_shown_none_at_any_address(priced, planted, role, language):
    cache.clear()
    person = factories.person("basile", role, language)
    known = planted(person)

    found = {name: sums_in(words_of(one)) for name, one in every_answer(priced, known, person)}

    assert {name: sums for name, sums in found.items() if sums} == {}


def test_the_same_walk_finds_the_sums_where_they_may_be_seen(priced, planted, helene):
    cache.clear()
    known = planted(helene)

    found = {name: sums_in(words_of(one)) for name, one in every_answer(priced, known, helene)}

    telling = {name for name, sums in found.items() if sums}
    assert telling >= {
        "bench:case",
        "cases:receipt_preview",
        "estimates:detail",
        "estimates:preview",
        "estimates:consent",
        "estimates:record_preview",
        "instruments:detail",
        "invoices:money",
        "treatment:work",
        "papers:preview_file",
        "papers:file intake_receipt",
        "papers:data intake_receipt",
        "papers:file condition_report",
        "papers:data condition_report",
        "papers:file estimate",
        "papers:data estimate",
    }


def test_an_apprentice_at_the_clock_is_told_to_stop_without_the_sum(client, priced, planted, lise):
    known = planted(lise)
    priced.agreed_works.update(ceiling=Decimal("10.00"))
    client.force_login(lise)

    page = client.get(reverse("treatment:work", args=[priced.number, known["work"]])).text

    assert "More is spent than was agreed. Stop and ask the owner" in page
    assert sums_in(page) == []


def test_a_reader_is_told_that_a_paper_with_a_price_is_not_for_them(client, priced, planted, tom):
    planted(tom)
    client.force_login(tom)
    paper = Paper.objects.get(kind="estimate", subject=priced.log_key)

    answer = client.get(reverse("papers:file", args=[paper.uuid]))
    page = client.get(reverse("papers:detail", args=[paper.uuid]))

    assert answer.status_code == 403
    assert "Open the PDF" not in page.text
    assert "This paper tells prices" in page.text


def test_only_who_has_to_do_with_prices_sees_them():
    roles = {role for role in Role.values if may(User(role=role), "see_prices")}

    assert roles == {Role.PRINCIPAL, Role.LUTHIER, Role.BOOKKEEPER}
