"""A hazard that was seen is never hidden: it stays with the instrument until it is lifted."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone, translation

from repairs.audit.models import LogEntry
from repairs.bench.board import board
from repairs.cases.compile import case_label
from repairs.cases.models import Case
from repairs.findings.models import Examination
from repairs.instruments.hazard_actions import Known, lift_hazard, note_hazard
from repairs.instruments.hazard_models import HazardLifted, HazardNoted
from repairs.instruments.hazards import label_words
from repairs.instruments.models import Instrument
from repairs.instruments.refusals import HazardNotStandingError
from repairs.instruments.scales import scales
from repairs.people.models import User
from repairs.people.refusals import NotAllowedHereError
from repairs.press.render import render, to_html
from repairs.procedures.versions import pin
from repairs.treatment import clocks
from repairs.treatment import parts as things
from repairs.treatment.agree import Wanted
from repairs.treatment.bag_label import bag_label
from repairs.treatment.part_models import RemovedPart
from tests import factories

ACT = "Gloves and mask, no dry brushing, extraction; see local rules."
ACTE = "Gants et masque, pas de brossage à sec, aspiration\u00a0; voir les règles locales."
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
STAYS = "This stays with the instrument"


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


@pytest.fixture
def poisoned(vielle: Instrument, armand: User) -> Instrument:
    """The instrument with a hazard that stands; loaded afresh, so that nothing is remembered."""
    factories.hazard(vielle, by=armand, key="pesticide", note="white bloom in the lining")
    return Instrument.objects.get(pk=vielle.pk)


def standing(instrument: Instrument) -> list[str]:
    return [one.key for one in Instrument.objects.get(pk=instrument.pk).standing_hazards]


def begun(case: Case, person: User) -> Any:
    wanted = Wanted(version=pin("open_seam", at=timezone.now()), findings=list(case.findings.all()))
    case.instrument.parts.update(originality="later_replacement")
    return factories.begun_work(factories.agreed_works(case, wanted, by=person)[0], by=person)


# From the looking over to the instrument


def test_a_tick_while_looking_over_stands_on_the_instrument(case, armand):
    judge(
        armand,
        case,
        "pesticide",
        hazard_evidence="seen",
        hazards_note="White bloom in the lining.",
    )

    row = HazardNoted.objects.get()
    assert (row.instrument, row.key, row.evidence) == (case.instrument, "pesticide", "seen")
    assert (row.noted_by, row.case_number) == (armand, case.number)
    assert row.note == "White bloom in the lining."
    line = LogEntry.objects.get(verb="hazard.noted")
    assert line.subject == f"instrument:{case.instrument.number}"
    assert line.details == {"hazard": "pesticide", "evidence": "seen", "case": case.number}


def test_what_nobody_vouches_for_is_a_suspicion(case, armand):
    judge(armand, case, "lead")

    assert HazardNoted.objects.get().evidence == "suspected"


def test_saving_the_judgement_again_notes_nothing_twice(case, armand):
    judge(armand, case, "lead")
    judge(armand, case, "lead", "mould")

    assert sorted(HazardNoted.objects.values_list("key", flat=True)) == ["lead", "mould"]


def test_it_is_ticked_already_at_the_next_stay(poisoned, armand):
    later = factories.case(poisoned, by=armand)

    text = page(armand, "findings:look_over", later.number)

    tick = text[text.index('value="pesticide"') :].partition(">")[0]
    other = text[text.index('value="mould"') :].partition(">")[0]
    assert "checked" in tick
    assert "checked" not in other


def test_to_leave_the_tick_out_is_not_to_lift_it(poisoned, armand):
    later = factories.case(poisoned, by=armand)

    text = judge(armand, later).content.decode()

    assert f"{STAYS} until it is lifted: pesticide residue. Say here why." in text
    assert "It is no longer a danger" in text
    assert standing(poisoned) == ["pesticide"]
    assert Examination.objects.get(case=later).hazards == ["pesticide"]


def test_an_apprentice_is_told_who_lifts_it(poisoned, armand, lise):
    later = factories.case(poisoned, by=armand)

    text = judge(lise, later).content.decode()

    assert f"{STAYS}: pesticide residue. Only a luthier or the principal lifts it" in text
    assert "It is no longer a danger" not in text
    assert standing(poisoned) == ["pesticide"]


def test_a_new_tick_beside_a_standing_one_asks_nothing(poisoned, armand):
    later = factories.case(poisoned, by=armand)

    text = judge(armand, later, "pesticide", "lead").content.decode()

    assert STAYS not in text
    assert standing(poisoned) == ["pesticide", "lead"]


# Lifting


def test_it_is_lifted_with_a_reason_that_stays_on_record(poisoned, armand, tom):
    address = reverse("instruments:hazard_lift", args=[poisoned.number, "pesticide"])

    why = "Analysed by a laboratory on 3 March: none."
    answer = browser_of(armand).post(address, {"pesticide-because": why}, follow=True)

    assert "It is lifted. Who did it and why stays on record." in answer.content.decode()
    assert standing(poisoned) == []
    seen = page(tom, "instruments:detail", poisoned.number)
    assert why in seen
    assert "white bloom in the lining" in seen
    assert "by Armand" in seen or f"by {armand}" in seen
    assert ACT not in seen
    line = LogEntry.objects.get(verb="hazard.lifted")
    assert line.details["hazard"] == "pesticide"


def test_no_reason_no_lifting(poisoned, armand):
    address = reverse("instruments:hazard_lift", args=[poisoned.number, "pesticide"])

    answer = browser_of(armand).post(address, {"pesticide-because": "  "})

    assert answer.status_code == 422
    assert "Say why it is no longer a danger: it stands until you do." in answer.content.decode()
    assert standing(poisoned) == ["pesticide"]


def test_the_database_too_wants_a_reason(poisoned, armand):
    row = HazardNoted.objects.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        HazardLifted.objects.create(
            hazard=row, because="", lifted_at=timezone.now(), lifted_by=armand
        )


def test_whoever_works_under_the_warning_does_not_take_it_down(poisoned, lise):
    with pytest.raises(NotAllowedHereError):
        lift_hazard(poisoned, "pesticide", because="Gone.", by=lise, at=timezone.now())

    assert standing(poisoned) == ["pesticide"]


def test_two_people_lift_the_same_hazard(poisoned, armand, helene):
    lift_hazard(poisoned, "pesticide", because="Analysed: none.", by=armand, at=timezone.now())

    with pytest.raises(HazardNotStandingError) as refused:
        lift_hazard(poisoned, "pesticide", because="Gone.", by=helene, at=timezone.now())

    assert "“pesticide residue” does not stand against" in str(refused.value)
    assert HazardLifted.objects.get().because == "Analysed: none."


def test_lifting_one_leaves_the_others(poisoned, armand):
    factories.hazard(poisoned, by=armand, key="lead")

    lift_hazard(poisoned, "lead", because="Solder taken off.", by=armand, at=timezone.now())

    assert standing(poisoned) == ["pesticide"]


def test_surer_evidence_is_another_row_and_is_lifted_with_the_first(poisoned, armand):
    factories.hazard(poisoned, by=armand, key="pesticide", evidence="analysed")

    one = Instrument.objects.get().standing_hazards[0]
    assert [row.evidence for row in one.rows] == ["analysed", "suspected"]
    assert one.newest.evidence == "analysed"
    lift_hazard(poisoned, "pesticide", because="Cleaned.", by=armand, at=timezone.now())
    assert standing(poisoned) == []
    assert HazardLifted.objects.count() == 2


def test_lifted_and_seen_again_stands_again(poisoned, armand):
    lift_hazard(poisoned, "pesticide", because="None found.", by=armand, at=timezone.now())

    note_hazard(poisoned, "pesticide", Known("analysed"), by=armand, at=timezone.now())

    assert standing(poisoned) == ["pesticide"]


def test_rows_are_kept_for_ever(poisoned):
    row = HazardNoted.objects.get()
    with pytest.raises(TypeError):
        row.delete()
    with pytest.raises(TypeError):
        row.save()


def test_one_lifted_since_is_not_ticked_again_by_saving(case, armand):
    judge(armand, case, "lead")
    lift_hazard(case.instrument, "lead", because="No lead.", by=armand, at=timezone.now())

    text = page(armand, "findings:look_over", case.number)

    assert "checked" not in text[text.index('value="lead"') :].partition(">")[0]


# Noting at the bench


def test_an_apprentice_notes_what_is_seen_at_the_bench(vielle, lise):
    address = reverse("instruments:hazards", args=[vielle.number])

    said = {"key": "sharps", "evidence": "seen", "note": "broken wire at the head"}
    text = browser_of(lise).post(address, said, follow=True).content.decode()

    assert "It is noted, and stands until somebody lifts it." in text
    assert "Cover the place, gloves and eye protection; see local rules." in text


def test_another_hazard_says_what_it_is(vielle, armand):
    address = reverse("instruments:hazards", args=[vielle.number])

    text = browser_of(armand).post(address, {"key": "other", "evidence": "seen"}).content.decode()

    assert "Say what the hazard is, and where." in text
    assert not HazardNoted.objects.exists()


# Where it is read


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

    main = text[text.index('id="main"') :]
    assert act in main
    assert main.index(act) < main.index("<h1")


@pytest.mark.parametrize("name", ["instruments:detail", "instruments:hazards", "instruments:parts"])
def test_every_page_of_the_instrument_says_it_first(poisoned, armand, name):
    text = page(armand, name, poisoned.number)

    assert text.index(ACT) < text.index("<h1")
    assert "white bloom in the lining" in text


def test_the_intake_of_the_next_stay_says_it(poisoned, armand):
    assert ACT in page(armand, "cases:take_in", poisoned.number)


def test_the_register_and_the_choice_at_the_counter_carry_its_sign(poisoned, armand):
    found = browser_of(armand).get(reverse("cases:choose"), {"q": poisoned.number})

    assert SHORT in found.content.decode()
    assert SHORT in page(armand, "instruments:list")


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
    assert ACT in text[: text.index("<h1")]
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
