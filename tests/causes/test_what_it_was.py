"""“It was this”: said, said anew, kept with who and when, and seen by who may."""

from __future__ import annotations

import re
import uuid

import pytest
from django.test import Client

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.causes.models import WhatItWas
from tests.causes.saying import LIP, OFF, address, another, closed, last, page, say, text, typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def stay(client, armand, case) -> Case:
    client.force_login(armand)
    return case


def test_what_it_was_is_kept_with_who_and_when_and_what_had_been_told(client, stay, armand):
    told = {"symptom": ["swells_once"], "silent": ["tick_once"], "past": ["strings"],
            "days_strings": "40", "is_so": [OFF]}  # fmt: skip

    answer = client.post(address(stay), typed(stay, OFF, LIP, words=" hub shimmed ", **told))

    row = WhatItWas.objects.get()
    assert (row.causes, row.words, row.by) == ([LIP, OFF], "hub shimmed", armand)
    assert (row.heard, row.denied, row.version) == (["swells_once"], ["tick_once"], "causes 3")
    assert "symptom=swells_once" in answer.url and f"is_so={OFF}" in answer.url
    assert "days_strings=40" in answer.url and answer.url.endswith("#what-it-was")
    said = text(client.get(answer.url))
    both = "Lip at the joint of the rim band, wheel out of centre on its axle"
    assert both in said and "hub shimmed" in said
    assert "Nobody has said yet" not in said and str(armand) in said
    line = LogEntry.objects.get(verb="cause.said")
    assert (line.actor_id, line.details) == (armand.pk, {"causes": f"{LIP} {OFF}"})


@pytest.mark.parametrize(
    ("language", "words", "none"),
    [("en", "said what it was:", "none of the causes listed"),
     ("fr", "a dit ce que c’était", "aucune des causes de la liste")],
)  # fmt: skip
def test_the_log_and_the_page_say_it_in_the_reader_s_language(
    client, stay, armand, language, words, none
):
    armand.language = language
    armand.save()
    client.post(address(stay), typed(stay, none_of_these="on", words="a mouse"))

    log = text(client.get(stay.get_absolute_url())).replace("&#x27;", "’")
    said = page(client, stay)

    assert words in log and none in log
    assert none in said.lower() and "a mouse" in said


def test_the_form_of_the_page_carries_what_keeps_strangers_from_sending_it(stay, armand):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(armand)
    said = page(strict, stay)
    token = re.search(r'what-it-was/"> <input type="hidden" name="csrfmiddlewaretoken" '
                      r'value="(\w+)"><input type="hidden" name="once" '
                      r'value="([\w-]+)"', said)  # fmt: skip

    assert token is not None
    asked = typed(stay, OFF) | {"csrfmiddlewaretoken": token[1], "once": token[2]}
    assert strict.post(address(stay), asked).status_code == 302
    assert last(stay).causes == [OFF]


def test_it_may_be_changed_while_the_stay_is_open_and_the_first_word_stays(client, stay, armand):
    client.post(address(stay), typed(stay, OFF))
    client.post(address(stay), typed(stay, LIP))

    assert [row.causes for row in stay.what_it_was.all()] == [[OFF], [LIP]]
    assert last(stay).causes == [LIP]
    said = page(client, stay, symptom="tick_once")
    assert f'id="it-was-{LIP}" value="{LIP}" checked' in said
    assert f'id="it-was-{OFF}" value="{OFF}" checked' not in said
    with pytest.raises(TypeError):
        last(stay).delete()


def test_after_the_stay_has_ended_nothing_is_said_any_more_and_what_was_stays(client, stay, armand):
    say(stay, OFF, by=armand)
    asked = typed(stay, LIP)
    closed(stay)

    answer = client.post(address(stay), asked)

    assert f"Case {stay.number} ended on" in text(answer)
    assert WhatItWas.objects.count() == 1
    said = page(client, stay)
    assert "Wheel out of centre" in said and "Keep what it was" not in said


def test_a_form_sent_twice_is_kept_once_and_a_page_counts_on_its_own_case(client, stay, armand):
    asked = typed(stay, OFF)
    client.post(address(stay), asked)
    client.post(address(stay), asked)
    other = another(stay, by=armand)
    client.post(address(other), asked | {"known": 0})

    assert WhatItWas.objects.filter(case=stay).count() == 1
    assert WhatItWas.objects.filter(case=other).count() == 1


def test_who_is_slower_sees_the_other_s_word_and_keeps_what_was_ticked(client, stay, lise):
    mine = typed(stay, LIP, words="a lip of 0.1")
    theirs = say(stay, OFF, by=lise)

    answer = client.post(address(stay), mine)

    said = text(answer)
    assert answer.status_code == 409 and "while you were typing" in said
    assert "Wheel out of centre" in said and str(lise) in said
    assert f'value="{LIP}" checked' in said and "a lip of 0.1" in said
    assert f'name="known" value="{theirs.pk}"' in said
    assert WhatItWas.objects.count() == 1
    client.post(address(stay), mine | {"known": theirs.pk, "tap": str(uuid.uuid4())})
    assert last(stay).causes == [LIP]


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"cause": []}, "Nothing is ticked: tick what it was, or “none of these”."),
        ({"none_of_these": "on"}, "take one of them away"),
        ({"cause": ["spoon"]}, "spoon"),
        ({"words": "x" * 201}, "200"),
        ({"known": "-3"}, "0"),
        ({"tap": "me"}, "UUID"),
    ],
)
def test_what_cannot_be_comes_back_in_a_sentence_as_it_was_typed(client, stay, sent, sentence):
    asked = typed(stay, LIP, words="seen by lamp", symptom="tick_once") | sent

    said = text(client.post(address(stay), asked))

    assert sentence in said and "Nothing was saved yet" in said
    assert "seen by lamp" in said or "x" * 201 in said
    assert 'name="symptom" value="tick_once"' in said
    assert not WhatItWas.objects.exists()


def test_who_may_only_read_sees_and_does_not_say(client, stay, armand, tom, lise):
    say(stay, OFF, by=armand)
    client.force_login(tom)

    assert client.post(address(stay), typed(stay, LIP)).status_code == 403
    said = page(client, stay)
    assert "Wheel out of centre" in said and "Keep what it was" not in said
    client.force_login(lise)
    assert client.post(address(stay), typed(stay, LIP)).status_code == 302
