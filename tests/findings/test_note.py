"""Findings: noted, numbered, refused with a sentence, withdrawn and taken back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.findings import actions
from repairs.findings.look_models import PartLook
from repairs.findings.models import Finding
from repairs.findings.vocabulary import term_definition, term_label, terms
from repairs.people.models import User
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def browser(client: Browser, lise: User) -> Browser:
    client.force_login(lise)
    return client


def said(case: Case, **fields: Any) -> dict[str, Any]:
    part = case.instrument.parts.get(key=fields.pop("part", "soundboard"))
    return {
        "part": part.pk,
        "term": "crack",
        "location": "",
        "extent_value": "",
        "extent_unit": "",
        "severity": "3",
        "stability": "active",
        "age": "new",
        "urgency": "2",
        "cause": "",
        "note": "",
    } | fields


def add(browser: Browser, case: Case, **fields: Any) -> Any:
    return browser.post(reverse("findings:add", args=[case.number]), said(case, **fields))


def test_a_finding_is_noted_with_the_next_number(browser: Browser, case: Case):
    answer = add(browser, case, location="beside the keybox", cause="climate")
    add(browser, case, part="wheel", term="wood_wear")

    assert answer.status_code == 302
    first, second = Finding.objects.all()
    assert [first.number, second.number] == [1, 2]
    assert (first.location, first.cause, first.severity, first.urgency) == (
        "beside the keybox",
        "climate",
        3,
        2,
    )
    assert first.changed_by.username == "lise"
    assert LogEntry.objects.filter(verb="finding.noted").count() == 2


def test_a_part_with_a_finding_counts_as_looked_at(browser: Browser, case: Case):
    add(browser, case)

    assert PartLook.objects.get().state == "looked"
    assert PartLook.objects.get().part.key == "soundboard"


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("146", "146"),
        ("146,5", "146.5"),
        ("146.5", "146.5"),
        ("1 250,25", "1250.25"),
        ("1\u202f250", "1250"),
        ("0", "0"),
        ("0,30", "0.3"),
    ],
)
def test_an_extent_is_typed_with_a_comma_or_a_point(browser: Browser, case: Case, typed, kept):
    add(browser, case, extent_value=typed, extent_unit="mm")

    assert Finding.objects.get().extent_value == Decimal(kept)
    assert Finding.objects.get().extent == f"{kept}\u00a0mm"


REFUSED: dict[str, tuple[dict[str, str], str]] = {
    "no unit": ({"extent_value": "12"}, "Give the unit of the extent."),
    "negative": ({"extent_value": "-1", "extent_unit": "mm"}, "Less than 0"),
    "huge": ({"extent_value": "1e9", "extent_unit": "mm"}, "More than 99999"),
    "words": ({"extent_value": "a hand", "extent_unit": "mm"}, "“a hand” is not a number."),
    "no number": ({"extent_value": "NaN", "extent_unit": "mm"}, "“NaN” is not a number."),
    "too fine": ({"extent_value": "1,234", "extent_unit": "mm"}, "decimal places"),
    "unit": ({"extent_value": "1", "extent_unit": "parsec"}, "parsec"),
    "term": ({"term": "sadness"}, "sadness"),
    "no term": ({"term": ""}, "required"),
    "severity": ({"severity": "5"}, "5"),
    "no severity": ({"severity": ""}, "required"),
    "urgency": ({"urgency": "0"}, "0"),
    "cause": ({"cause": "witchcraft"}, "witchcraft"),
    "long": ({"note": "x" * 3001}, "3000"),
    "null byte": ({"note": "a\0b"}, "Null characters"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_cannot_be_is_refused_beside_its_field(browser: Browser, case: Case, what):
    fields, sentence = REFUSED[what]

    answer = add(browser, case, **({"note": "what I typed"} | fields))

    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Nothing was saved yet. Please mend:" in page
    assert sentence in page.replace("&nbsp;", " ")
    assert not Finding.objects.exists()
    assert "note" in fields or "what I typed" in page


def test_a_part_of_another_instrument_is_refused(browser: Browser, case: Case, owner, helene):
    other = factories.instrument(owner, by=helene, kind="violin")
    strange = other.parts.first()
    assert strange is not None

    answer = browser.post(
        reverse("findings:add", args=[case.number]), said(case) | {"part": strange.pk}
    )

    assert answer.status_code == 200
    assert "Select a valid choice" in answer.content.decode()
    assert not Finding.objects.exists()


@pytest.mark.parametrize(
    "note",
    [
        "شرخ قديم قرب الجسر",
        "סדק ליד הגשר (146 mm)",
        "🎻🪵 fente 👩🏽‍🔧",
        "<script>alert('x')</script> & \"quoted\"",
        "e\u0301te\u0301 and été",
        "several\nlines\n\nwith a gap",
    ],
)
def test_a_note_in_any_script_is_kept_as_it_was_typed(browser: Browser, case: Case, note):
    add(browser, case, note=note)

    finding = Finding.objects.get()
    page = browser.get(finding.get_absolute_url()).content.decode()
    assert finding.note.replace("\r\n", "\n") == note
    assert 'dir="auto"' in page
    assert "<script>alert" not in page


@pytest.mark.share(4)
@pytest.mark.parametrize("key", terms())
def test_every_word_of_the_vocabulary_can_be_chosen(browser: Browser, case: Case, key):
    add(browser, case, term=key)

    finding = Finding.objects.get()
    assert finding.term == key
    for language in ("fr", "en"):
        assert term_label(key, language) and term_definition(key, language)
    assert term_label(key, "en") in browser.get(finding.get_absolute_url()).content.decode()


def test_numbers_are_never_used_again(browser: Browser, case: Case, vielle, armand: User):
    add(browser, case)
    add(browser, case)
    last = Finding.objects.get(number=2)
    actions.set_withdrawn(last, True, by=armand, at=timezone.now())

    add(browser, case)
    other = factories.finding(factories.case(vielle, by=armand), by=armand)

    assert sorted(case.findings.values_list("number", flat=True)) == [1, 2, 3]
    assert other.number == 1


def test_a_finding_is_withdrawn_and_put_back(browser: Browser, finding: Finding):
    base = [finding.case.number, finding.number]

    page = browser.post(reverse("findings:withdraw", args=base)).content.decode()
    assert f"Finding {finding.number} is withdrawn" in page
    assert reverse("findings:restore", args=base) in page
    assert not Finding.objects.present().exists()
    assert browser.post(reverse("findings:withdraw", args=base)).status_code == 404
    page = browser.post(reverse("findings:restore", args=base), follow=True).content.decode()

    assert f"Finding {finding.number} is back." in page
    assert Finding.objects.present().get() == finding
    verbs = list(LogEntry.objects.order_by("seq").values_list("verb", flat=True))[-2:]
    assert verbs == ["finding.withdrawn", "finding.put_back"]


def test_save_then_another_stays_on_the_form(browser: Browser, case: Case):
    answer = add(browser, case, another="1")

    assert answer["Location"] == reverse("findings:add", args=[case.number])


def test_a_finding_of_another_case_is_not_there(browser: Browser, finding, vielle, armand):
    other = factories.case(vielle, by=armand)

    assert browser.get(reverse("findings:edit", args=[other.number, 1])).status_code == 404


@pytest.mark.parametrize(
    ("who", "status"),
    [("tom", 403), ("odile", 403), ("lise", 200), ("armand", 200), ("helene", 200)],
)
def test_who_may_note(client: Browser, finding: Finding, request, who, status):
    client.force_login(request.getfixturevalue(who))
    base = [finding.case.number]

    assert client.get(reverse("findings:add", args=base)).status_code == status
    assert client.get(reverse("findings:edit", args=[*base, 1])).status_code == status
    changed = client.post(reverse("findings:withdraw", args=[*base, 1])).status_code
    assert changed == status
