"""Where a hazard that stands is read: pages, bench, clock, papers and labels, the act first."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from django.utils import timezone, translation

from repairs.bench.board import board
from repairs.cases.compile import case_label
from repairs.cases.models import Case
from repairs.instruments.hazard_actions import lift_hazard
from repairs.instruments.hazards import label_words
from repairs.instruments.models import Instrument
from repairs.instruments.scales import scales
from repairs.papers.condition import report as condition_report
from repairs.papers.owner import care_sheet
from repairs.press.render import render, to_html
from repairs.treatment import clocks
from repairs.treatment import parts as things
from repairs.treatment.bag_label import bag_label
from repairs.treatment.part_models import RemovedPart
from tests import factories
from tests.instruments.dangers import ACT, ACTE, GRAVEST_FIRST, SHORT, begun, browser_of, page

UNSEEN = re.compile(r"<form[^>]*\bdata-carries\b[^>]*>|<button hidden[^>]*>")

# Where it is read


def before_anything_to_do(text: str, *, headed: bool) -> str:
    """What a page says before its title; after it, on one with a head, before any form or key.

    The form round a whole page and its hidden key show nothing.
    """
    main = UNSEEN.sub("", text[text.index('id="main"') :])
    if not headed:
        return main[: main.index("<h1")]
    return main[: min(main.index(mark) for mark in DOES if mark in main)]


DOES = ("<form", "<button", 'class="button', 'class="rosin', "<details")
HEADED = {"bench:case", "instruments:detail"}  # they say first which instrument it is
CASE_PAGES = [
    "bench:case",
    "cases:edit",
    "cases:receipt",
    "photos:add",
    "findings:add",
    "findings:parts",
    "findings:look_over",
    "readings:choose",
    "readings:diagnosis",
    "estimates:list",
]


@pytest.mark.parametrize(("language", "act"), [("en", ACT), ("fr", ACTE)])
@pytest.mark.parametrize("name", CASE_PAGES)
def test_every_page_of_a_case_says_it_first(poisoned, armand, house, name, language, act):
    case = factories.case(poisoned, by=armand)

    text = page(armand, name, case.number, language=language)

    assert act in before_anything_to_do(text, headed=name in HEADED)


@pytest.mark.parametrize("name", ["instruments:detail", "instruments:hazards", "instruments:parts"])
def test_every_page_of_the_instrument_says_it_first(poisoned, armand, name):
    text = page(armand, name, poisoned.number)

    assert ACT in before_anything_to_do(text, headed=name in HEADED)
    assert "white bloom in the lining" in text


def test_the_intake_of_the_next_stay_says_it(poisoned, armand):
    assert ACT in page(armand, "cases:take_in", poisoned.number)


def test_the_register_and_the_choice_at_the_counter_carry_its_sign(poisoned, armand):
    found = browser_of(armand).get(reverse("cases:choose"), {"q": poisoned.number})

    assert SHORT in found.content.decode()
    assert SHORT in page(armand, "instruments:list")


@pytest.mark.parametrize("who", ["lise", "armand", "helene", "tom"])
def test_the_page_of_a_client_carries_it_beside_instrument_and_case(poisoned, armand, request, who):
    factories.case(poisoned, by=armand)

    text = page(request.getfixturevalue(who), "people:client", poisoned.owner_id)

    assert text.count(SHORT) == 2


@pytest.mark.parametrize("who", ["lise", "armand", "helene", "tom"])
def test_the_bench_carries_its_sign_in_words(poisoned, armand, request, who):
    factories.case(poisoned, by=armand)

    assert SHORT in page(request.getfixturevalue(who), "bench:home")


def test_the_pages_of_work_and_the_clock_say_it(case, finding, armand, lise):
    work = begun(case, armand)
    factories.hazard(case.instrument, by=armand, key="pesticide")
    clocks.start_clock(work, by=lise, at=timezone.now())
    parts = (case.number, work.number)

    text = page(lise, "treatment:work", *parts)
    assert ACT in before_anything_to_do(text, headed=True)
    assert ACT in text[text.index('id="clock"') :]
    assert ACT in page(lise, "treatment:minutes", *parts)
    assert ACT in page(lise, "bench:home")
    assert ACT in page(armand, "treatment:proof", *parts)


def test_an_instrument_without_hazards_has_no_such_box(case, armand):
    text = page(armand, "bench:case", case.number)

    assert 'class="hazards"' not in text


def test_lifted_it_is_on_no_page(poisoned, armand):
    case = factories.case(poisoned, by=armand)
    lift_hazard(poisoned, "pesticide", because="None found.", by=armand, at=timezone.now())

    assert ACT not in page(armand, "bench:case", case.number)
    assert SHORT not in page(armand, "bench:home")


# Papers


@pytest.mark.parametrize("is_lifted", [False, True])
def test_papers_of_the_next_stay_name_what_stands_and_not_what_was_lifted(
    poisoned, armand, house, is_lifted
):
    later = factories.case(poisoned, by=armand)
    factories.examination(later, by=armand)
    if is_lifted:
        lift_hazard(poisoned, "pesticide", because="None.", by=armand, at=timezone.now())
    case = Case.objects.with_names().get(pk=later.pk)

    report, care = condition_report.body(case), care_sheet.facts_of(case)

    names = [hazard.label for hazard in report.hazards]
    assert names == ([] if is_lifted else ["pesticide residue"])
    assert ("Wear gloves" in str(care["hazards"])) is not is_lifted


# Labels


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", SHORT),
        ("fr", "gants, masque, pas de brossage à sec (résidus de pesticides)"),
    ],
)
def test_the_label_of_the_case_carries_it(poisoned, armand, house, language, words):
    case = factories.case(poisoned, by=armand)

    sheet = case_label(case, language=language, made_at=timezone.now())

    assert sheet.body.hazards == (words,)
    assert words in to_html(sheet)


def test_the_label_of_a_bag_carries_it(case, finding, armand, house):
    work = begun(case, armand)
    factories.hazard(case.instrument, by=armand, key="pesticide")
    bag = RemovedPart(intervention=work, case=case, description="old cotton")
    piece = things.remove_part(bag, by=armand, at=timezone.now())

    sheet = bag_label(piece, language="en", made_at=timezone.now())

    assert SHORT in to_html(sheet)


@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.parametrize("count", [1, 2, 3, 9])
def test_labels_stay_one_page_and_hide_no_hazard(case, finding, armand, house, language, count):
    work = begun(case, armand)
    position = "between the third and the fourth peg on the left, under the old lining of the head"
    bag = RemovedPart(
        intervention=work,
        case=case,
        part=case.instrument.parts.all()[5],
        description="tuft of old cotton of the chanterelle, with rosin, as it was taken off",
        position=position,
    )
    piece = things.remove_part(bag, by=armand, at=timezone.now())
    for key in GRAVEST_FIRST[:count]:
        factories.hazard(case.instrument, by=armand, key=key)
    now = timezone.now()

    for sheet, most in (
        (case_label(case, language=language, made_at=now), 2),
        (bag_label(piece, language=language, made_at=now), 1),
    ):
        _pdf, pages = render(sheet)
        assert pages == 1
        assert len(sheet.body.hazards) == min(count, most)
        if count > most:
            assert f"+ {count - most} " in sheet.body.hazards[-1]


# At size, and in words


def test_the_bench_asks_one_query_for_all_hazards(owner, helene, armand, django_assert_num_queries):
    for _time in range(5):
        one = factories.instrument(owner, by=helene)
        factories.hazard(one, by=armand)
        factories.case(one, by=armand)

    with django_assert_num_queries(2):
        rows = [case for column in board(timezone.localdate()) for case in column.cases]
        signs = [label_words(case.instrument.standing_hazards, most=2) for case in rows]

    assert len(signs) == 5
    assert all(signs)


def test_every_hazard_has_its_act_and_its_short_form_in_both_languages(vielle, armand):
    for row in scales()["hazards"]:
        factories.hazard(vielle, by=armand, key=row["key"])

    for language, local in (("en", "local rules"), ("fr", "règles locales")):
        with translation.override(language):
            found = Instrument.objects.get().standing_hazards
            assert [one.key for one in found] == GRAVEST_FIRST
            for one in found:
                assert local in one.act
                assert 0 < len(one.short) <= 40
                assert one.label


def test_a_hazard_whose_words_are_lost_is_still_shown(vielle, armand):
    factories.hazard(vielle, by=armand, key="radium")

    one = Instrument.objects.get().standing_hazards[0]

    assert one.act == "Keep it apart, ask before you touch it; see local rules."
