"""Each screen of the room in both languages, with a name for every control, one brass button."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.parts import fit_new_part, remove_part, use_material
from tests import factories
from tests.readings import samples

PAGES: dict[str, Callable[[Any], list[Any]]] = {
    "agree": lambda work: [work.case.number],
    "begin": lambda work: [work.case.number, 2],
    "work": lambda work: [work.case.number, work.number],
    "minutes": lambda work: [work.case.number, work.number],
    "proof": lambda work: [work.case.number, work.number],
    "new_part": lambda work: [work.case.number, work.number],
    "bag": lambda work: [work.case.number, 1],
    "procedures": lambda _work: [],
    "procedure": lambda _work: ["wheel_truing"],
    "procedure_edit": lambda _work: ["wheel_truing"],
}


class Controls(HTMLParser):
    """Controls of a page, what labels them, and all ids."""

    def __init__(self) -> None:
        super().__init__()
        self.controls: list[dict[str, str | None]] = []
        self.labelled: set[str] = set()
        self.ids: list[str] = []
        self.open_labels = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        if said.get("id"):
            self.ids.append(str(said["id"]))
        if tag == "label":
            self.open_labels += 1
            self.labelled.add(str(said.get("for", "")))
        if tag in ("input", "select", "textarea") and said.get("type") != "hidden":
            self.controls.append(said | {"inside": "yes" if self.open_labels else None})

    def handle_endtag(self, tag: str) -> None:
        if tag == "label":
            self.open_labels -= 1

    def nameless(self) -> list[str | None]:
        return [
            one.get("name")
            for one in self.controls
            if not (one["inside"] or one.get("aria-label") or one.get("id") in self.labelled)
        ]


@pytest.fixture
def full(case, finding, armand, board) -> Any:
    """Work with one of everything in it, on a case with other work that waits."""
    samples.reading(case, by=armand)
    case.instrument.parts.update(originality="later_replacement")
    agreed = factories.agreed_work(case, "full_setup", finding, by=armand)
    work = factories.begun_work(agreed, by=armand)
    factories.agreed_work(case, "open_seam", finding, by=armand)
    now = timezone.now()
    use_material(MaterialUse(intervention=work, name="rosin"), by=armand, at=now)
    bag = RemovedPart(intervention=work, case=case, description="old peg")
    remove_part(bag, by=armand, at=now)
    part = NewPart(intervention=work, description="peg", origin="bought", material="boxwood")
    fit_new_part(part, None, by=armand, at=now)
    return work


def opened(client, person, name: str, work: Any) -> str:
    client.force_login(person)
    answer = client.get(reverse(f"treatment:{name}", args=PAGES[name](work)))
    assert answer.status_code == 200
    return str(answer.content.decode())


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.parametrize("name", PAGES)
def test_every_page_opens_in_both_languages(client, full, name, language):
    person = factories.person("lucie", "principal", language)

    page = opened(client, person, name, full)

    assert f'<html lang="{language}">' in page
    assert len(re.findall("<h1>[^<]+</h1>", page)) == 1
    label = {"en": "full set-up", "fr": "réglage complet"}[language]
    assert name not in ("work", "proof") or label in page.casefold()


@pytest.mark.parametrize("name", PAGES)
def test_every_control_has_a_name_and_an_id_of_its_own(client, full, helene, name):
    controls = Controls()

    controls.feed(opened(client, helene, name, full))

    assert controls.nameless() == []
    assert [one for one, times in Counter(controls.ids).items() if times > 1] == []


@pytest.mark.parametrize("name", PAGES)
def test_no_page_has_more_than_one_brass_button_at_a_time(client, full, helene, name):
    page = opened(client, helene, name, full)

    assert len(re.findall(r'class="[^"]*\bbrass\b', page)) <= 1


def test_the_docket_leads_to_the_work_and_to_what_is_to_be_begun(client, full, armand):
    client.force_login(armand)

    page = client.get(full.case.get_absolute_url()).content.decode()

    assert f'href="{full.get_absolute_url()}"' in page
    assert reverse("treatment:begin", args=[full.case.number, 2]) in page
    assert "<strong>1 · full set-up" in page.replace("Full", "full")


@pytest.mark.parametrize("person", ["odile", "tom"])
def test_who_may_not_record_sees_the_work_and_no_button(client, full, request, person):
    page = opened(client, request.getfixturevalue(person), "work", full)

    main = page.partition("<main")[2].partition("</main>")[0]
    assert "rosin" in main
    assert "<form" not in main


@pytest.mark.parametrize("number", [777, 2**31, 2**63, 10**30])
def test_work_that_is_not_there_is_not_found_however_large_its_number(client, case, armand, number):
    client.force_login(armand)

    assert client.get(f"/cases/{case.number}/work/{number}/").status_code == 404


def test_the_proof_leads_to_the_photo_of_the_phase_that_is_missing(case, work, armand, see):
    page = see("proof", case.number, work.number, by=armand)

    for phase in ("before", "after"):
        assert f'href="{reverse("photos:add", args=[case.number])}?phase={phase}"' in page
