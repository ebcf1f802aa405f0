"""What the tests of hazards share: who opens a page, who judges, and work that is begun."""

from __future__ import annotations

from typing import Any

from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.findings.look_models import Examination
from repairs.people.models import User
from repairs.procedures.versions import pin
from repairs.treatment.agree import Wanted
from tests import factories

ACT = "Gloves and mask, no dry brushing, extraction; see local rules."
ACTE = "Gants et masque, pas de brossage à sec, aspiration\u202f; voir les règles locales."
SHORT = "gloves, mask, no dry brushing (pesticide residue)"
GRAVEST_FIRST = [
    "asbestos",
    "arsenic",
    "pesticide",
    "lead",
    "other",
    "mould",
    "sensitising_dust",
    "sharps",
    "pests",
]


def browser_of(person: User, language: str = "en") -> Browser:
    person.language = language
    person.save(update_fields=["language"])
    browser = Browser()
    browser.force_login(person)
    return browser


def page(person: User, name: str, *parts: Any, language: str = "en") -> str:
    answer = browser_of(person, language).get(reverse(name, args=parts))
    assert answer.status_code == 200, name
    return answer.content.decode()


def judge(person: User, case: Case, *ticked: str, **said: str) -> Any:
    known = Examination.objects.filter(case=case).first()
    data = {
        "examiner": case.received_by_id,
        "examined_on": timezone.localdate().isoformat(),
        "seen": known.revision if known else 0,
        "overall_state": "Sound.",
        "hazards": ticked,
    } | said
    address = reverse("findings:look_over", args=[case.number])
    return browser_of(person).post(address, data, follow=True)


def begun(case: Case, person: User) -> Any:
    wanted = Wanted(version=pin("open_seam", at=timezone.now()), findings=list(case.findings.all()))
    case.instrument.parts.update(originality="later_replacement")
    return factories.begun_work(factories.agreed_works(case, wanted, by=person)[0], by=person)
