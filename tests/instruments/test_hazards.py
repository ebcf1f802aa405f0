"""A hazard that was seen is never hidden: it stays with the instrument until it is lifted."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.findings.look_models import Examination
from repairs.instruments.hazard_actions import Known, lift_hazard, note_hazard, note_hazards
from repairs.instruments.hazard_models import HazardLifted, HazardNoted
from repairs.instruments.models import Instrument
from repairs.instruments.refusals import HazardNotStandingError
from repairs.people.refusals import NotAllowedHereError
from tests import factories
from tests.instruments.dangers import (
    ACT,
    browser_of,
    judge,
    page,
)

STAYS = "This stays with the instrument"


def standing(instrument: Instrument) -> list[str]:
    return [one.key for one in Instrument.objects.get(pk=instrument.pk).standing_hazards]


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


def test_several_are_noted_under_one_lock(vielle, armand):
    with CaptureQueriesContext(connection) as queries:
        note_hazards(vielle, ["lead", "mould"], Known(), by=armand, at=timezone.now())

    held = 'FROM "repairs_instrument" WHERE'
    assert sum(held in query["sql"] for query in queries) == 1
    assert sorted(standing(vielle)) == ["lead", "mould"]


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
