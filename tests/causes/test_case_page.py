"""The causes of a case: its newest readings, its findings, and the page that shows them."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.causes.diagnosis import Diagnosis, Told, diagnose, reads_of, terms_of
from repairs.findings import actions as finding_actions
from repairs.gauges.causes.evidence import gather
from repairs.gauges.causes.net import Past
from repairs.readings.actions import save_reading
from repairs.readings.models import Reading
from tests import factories
from tests.readings import samples

pytestmark = pytest.mark.django_db

SWELLS = Told(heard=frozenset({"swells_once"}))


def dial(case: Case, swing: float, *, by: Any, **fields: Any) -> Reading:
    """A wheel read at 24 places through its own sheet and gauge, in hundredths of a millimetre."""
    rows = [
        {
            "angle_deg": str(angle),
            "reading": f"{swing * math.cos(math.radians(angle)) + angle % 2 / 10:.2f}",
        }
        for angle in range(0, 360, 15)
    ]
    typed = {"mean_diameter_mm": "170", "scale": "hundredths", "sign": "1"}
    row = Reading(
        case=case,
        gauge="wheel",
        taken_at=fields.pop("taken_at", timezone.now()),
        raw={"fields": typed, "rows": rows},
        **fields,
    )
    return save_reading(row, by=by, at=timezone.now())


def first(found: Diagnosis) -> str:
    return found.likely[0].key


def share(found: Diagnosis, key: str) -> float:
    rows = [*found.likely, *found.others]
    return next((one.probability for one in rows if one.key == key), 0.0)


def test_a_wheel_that_was_really_read_turns_the_order_of_the_causes(case, armand):
    asked = diagnose(case, SWELLS)
    dial(case, 10.0, by=armand)
    swings, unasked = diagnose(case, SWELLS), diagnose(case, Told())
    dial(case, 0.2, by=armand, phase="after")
    runs_true = diagnose(case, SWELLS)

    assert first(swings) == first(unasked) == "wheel_eccentric"
    assert share(swings, "wheel_eccentric") > 0.7 > share(asked, "wheel_eccentric")
    assert share(runs_true, "wheel_eccentric") < 0.1 and first(runs_true) != "wheel_eccentric"


def test_nothing_told_and_nothing_read_proposes_nothing(case):
    found = diagnose(case, Told())

    assert not (found.likely or found.others or found.looks or found.has_evidence)


def test_a_withdrawn_or_forbidden_reading_says_nothing(case, armand):
    row = dial(case, 10.0, by=armand)
    row.withdrawn_at = timezone.now()
    row.save()
    Reading.objects.create(
        case=case, gauge="wheel", number=9, taken_at=timezone.now(), saved_at=timezone.now(),
        taken_by=armand, not_permitted="the wheel may not be turned",
    )  # fmt: skip

    assert list(reads_of(case)) == []


def test_two_turns_right_after_one_another_say_what_does_not_repeat(case, armand):
    now = timezone.now()
    dial(case, 4.0, by=armand, taken_at=now - dt.timedelta(minutes=9))
    dial(case, 9.0, by=armand, taken_at=now)
    soon = {one.figure: one.value for one in gather(reads_of(case)).values}
    dial(case, 9.0, by=armand, taken_at=now + dt.timedelta(days=2))
    late = {one.figure for one in gather(reads_of(case)).values}

    assert soon["repeat_sd_mm"] == pytest.approx(0.05 / 2, rel=0.05)
    assert "repeat_sd_mm" not in late
    assert share(diagnose(case, Told()), "bearing_worn") < 0.2


def test_findings_of_the_case_count_until_they_are_withdrawn(case, armand):
    told = Told(heard=frozenset({"tick_once"}))
    row = factories.finding(case, by=armand, part="rim_band", term="open_joint")
    with_it = share(diagnose(case, told), "rim_joint_lip")
    counted = terms_of(case)
    finding_actions.set_withdrawn(row, True, by=armand, at=timezone.now())

    assert counted == {"open_joint", "open_joint@rim_band"}
    assert terms_of(case) == frozenset()
    assert share(diagnose(case, told), "rim_joint_lip") < with_it


def test_history_counts_by_how_long_ago_it_was(case):
    heard = frozenset({"sharp_rising"})
    shares = [
        share(diagnose(case, Told(heard=heard, past=past)), "string_old")
        for past in ((), (Past("strings", 30.0),), (Past("strings", 700.0),))
    ]

    assert shares[2] > shares[0] >= shares[1] - 1e-3


@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_page_ranks_says_why_and_what_to_look_at_next(client, case, armand, language):
    armand.language = language
    armand.save()
    client.force_login(armand)
    samples.reading(case, by=armand, gauge="voicing_card")
    told = {"symptom": ["swells_once", "nonsense"], "silent": ["tick_once"], "past": ["strings"],
            "days_strings": "x"}  # fmt: skip

    page = client.get(reverse("readings:diagnosis", args=[case.number]), told)
    said = page.content.decode()

    assert page.status_code == 200
    found = page.context["found"]
    assert first(found) == "wheel_eccentric" and found.looks
    assert reverse("readings:take", args=[case.number, "wheel"]) in said
    for one in found.likely:
        assert one.label[1:] in said and one.share in said
    assert found.looks[0].name[1:40] in said.replace("&#x27;", "’")
    assert 'value="swells_once"' in said and said.count(" checked") == 3


def test_a_page_in_english_says_probabilities_and_what_would_move(client, case, armand):
    client.force_login(armand)
    page = client.get(reverse("readings:diagnosis", args=[case.number]), {"symptom": "dog_silent"})
    said = " ".join(page.content.decode().split())

    assert "Heard: the dog never buzzes (odds × 63)." in said
    assert "would move “tirant too slack” from" in said
    assert "need not add up to 100" in said
    assert "suspicion" not in said and "not probabilities" not in said


def test_a_check_that_was_made_is_weighed_told_on_and_not_proposed_again(client, case, armand):
    client.force_login(armand)
    address, told = reverse("readings:diagnosis", args=[case.number]), {"symptom": "dog_silent"}
    before = client.get(address, told).context["found"]
    key = next(look.cause for look in before.looks if look.cause)

    so = client.get(address, told | {"is_so": key})
    not_so = client.get(address, told | {"not_so": key}).context["found"]
    both = client.get(address, told | {"is_so": [key, "spoon"], "not_so": key}).context["found"]

    found, said = so.context["found"], " ".join(so.content.decode().split())
    assert share(found, key) > share(before, key) > share(not_so, key)
    assert share(both, key) == share(before, key) and not both.looked
    assert key not in {look.cause for look in (*found.looks, *not_so.looks)}
    assert [(one.key, one.is_so) for one in found.looked] == [(key, True)]
    assert f'id="is-so-{key}" value="{key}" checked' in said
    assert "Looked at, and it is so (odds × 18)." in said


def test_a_noise_heard_again_and_a_symptom_asked_next_are_weighed_and_told_on(client, case, armand):
    client.force_login(armand)
    address = reverse("readings:diagnosis", args=[case.number])
    told = {"symptom": ["side_rub"], "is_so": "cover_touches"}
    before = client.get(address, told)
    looks = before.context["found"].looks
    away = next(look for look in looks if look.again)
    asked = next(look for look in looks if look.symptom)
    name, page = away.again[0].key, before.content.decode()
    cause = name.partition(":")[0]

    gone = client.get(address, told | {"gone": name})
    stays = client.get(address, told | {"stays": name}).context["found"]
    both = client.get(address, told | {"gone": [name, "spoon:hum"], "stays": name}).context["found"]
    denied = client.get(address, told | {"silent": asked.symptom}).context["found"]

    assert f'name="gone" id="gone-{name}"' in page
    assert f'name="silent" id="next-silent-{asked.symptom}"' in page
    found, said = gone.context["found"], " ".join(gone.content.decode().split())
    assert share(found, cause) > share(before.context["found"], cause) > share(stays, cause)
    assert share(both, cause) == share(before.context["found"], cause) and not both.undone
    assert [(one.key, one.stays) for one in found.undone[0].again] == [(name, False)]
    assert f'id="gone-{name}" value="{name}" checked' in said
    assert "Heard again with a cause put out of the way: the wheel rubs or scrapes" in said
    assert name not in {row.key for look in found.looks for row in look.again}
    assert asked.symptom not in {look.symptom for look in denied.looks}


def test_another_kind_is_asked_its_own_questions(client, helene, case):
    client.force_login(helene)
    owner = case.instrument.owner
    violin = factories.case(factories.instrument(owner, by=helene, kind="violin"), by=helene)

    page = client.get(reverse("readings:diagnosis", args=[violin.number]), {"symptom": "wolf"})

    assert page.context["found"].likely[0].key == "v_post_place"
    assert "swells_once" not in page.content.decode()
