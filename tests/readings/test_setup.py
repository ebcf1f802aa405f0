"""The guided set-up on its page: its order by kind, what is marked, who may, and how it is said."""

from __future__ import annotations

import datetime as dt
import html
import re
import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone, translation

from repairs.audit.models import LogEntry
from repairs.instruments.kinds import kinds
from repairs.press.models import Paper
from repairs.readings.models import Reading
from repairs.readings.setup import actions
from repairs.readings.setup.gathering import standing_of
from repairs.readings.setup.orders import order_for
from repairs.readings.setup_models import SetUp, SetUpMark
from tests import factories
from tests.readings import samples
from tests.readings.pages import page_of
from tests.readings.test_size import repeat

pytestmark = pytest.mark.django_db


@pytest.fixture
def setup(case, armand):
    return actions.begin(case, by=armand, at=timezone.now() - dt.timedelta(minutes=30))


@pytest.fixture
def told(client, armand, case):
    """Post a mark as the page sends it."""
    client.force_login(armand)

    def send(step: str, what: str, **said: str):
        words = {"step": step, "what": what, "known": "0", "tap": str(uuid.uuid4())} | said
        return client.post(reverse("readings:setup_mark", args=[case.number]), words)

    return send


def page(client, case) -> str:
    return page_of(client.get(reverse("readings:setup", args=[case.number])))


def steps(case) -> list[str]:
    order = order_for(case)
    assert order is not None
    return [one.key for one in order.steps]


def test_a_wheel_fiddle_is_set_up_from_the_wheel_to_the_sheet(case):
    found = steps(case)

    wanted = ["wheel", "strings", "bridge", "action", "tangents", "dog", "play", "sheet"]
    assert [key for key in found if key in wanted] == wanted


def test_a_violin_has_its_own_order_and_no_wheel(vielle, armand):
    violin = factories.instrument(by=armand, kind="violin", owner=vielle.owner)
    found = steps(factories.case(violin, by=armand))

    assert found == ["air", "neck", "nut", "post", "bridge", "strings", "play", "sheet"]


@pytest.mark.share(3)
@pytest.mark.parametrize("slug", sorted(kinds()))
def test_every_kind_has_an_order_whose_steps_it_has(slug, vielle, armand):
    one = factories.instrument(by=armand, kind=slug, owner=vielle.owner)
    order = order_for(factories.case(one, by=armand))
    assert order is not None

    keys = {step.key for step in order.steps}
    assert ("wheel" in keys) is ("wheel_fiddle" in kinds()[slug].families)
    assert ("dog" in keys) is ("dog" in kinds()[slug].families)
    assert all(set(step.voids) <= keys for step in order.steps)
    for code in ("en", "fr"):
        with translation.override(code):
            assert all(str(step) and step.aim.endswith(".") for step in order.steps)


def test_a_set_up_is_begun_marked_and_ended_and_the_log_says_so(client, told, case):
    client.post(reverse("readings:setup_begin", args=[case.number]))
    told("air", "seen", words="48 %, 20 °C")
    told("wheel", "changed")
    client.post(reverse("readings:setup_end", args=[case.number]))

    verbs = LogEntry.objects.filter(verb__startswith="setup.").values_list("verb", flat=True)
    assert list(verbs) == ["setup.begun", "setup.marked", "setup.marked", "setup.ended"]
    said = page(client, case)
    assert "48 %, 20 °C" in said
    assert "This set-up was ended" in said
    assert "Begin another set-up" in said
    log = page_of(client.get(case.get_absolute_url()))
    assert "set-up 1, “air and rest”: found good by hand and eye" in log
    assert "set-up 1, “wheel”: something was changed" in log


def test_a_reading_taken_from_the_page_comes_back_to_its_step(client, armand, case, setup):
    client.force_login(armand)
    address = f"{samples.address(case)}?setup=1&phase=during&round=1"

    answer = client.post(address, samples.about() | samples.wheel(samples.wheel_rows(ecc=1.5)))

    assert answer["Location"].endswith(f"/{case.number}/setup/#step-wheel")
    said = page(client, case)
    assert "1 · Wheel, dial readings" in said
    assert re.search(r"state-inside.{1,80}●", said)


def test_what_lies_outside_is_named_with_its_limit_and_its_card(client, armand, case, setup):
    samples.reading(case, by=armand, words=samples.wheel(samples.wheel_rows(ecc=12)))
    client.force_login(armand)

    said = page(client, case)

    assert re.search(r"✕ [Rr]un-out in one turn 0\.2\d+ mm \(at most", said)
    assert reverse("readings:card", args=[case.number, 1]) in said


def test_a_change_says_before_and_after_what_it_makes_void(client, armand, told, case, setup):
    samples.reading(case, by=armand, words=samples.wheel(samples.wheel_rows(ecc=0.3)))
    assert "A change here sends back to: strings on the wheel; and makes void:" in page(
        client_of(client, armand), case
    )

    told("axle", "changed")

    said = page(client, case)
    assert "Void since “axle, bearing and crank” was changed on" in said
    assert "(Armand" in said


def client_of(client, person):
    client.force_login(person)
    return client


def test_rounds_are_kept_one_beside_the_other(client, armand, told, case, setup):
    words = samples.SAMPLES["voicing_card"]()
    samples.reading(case, by=armand, gauge="voicing_card", words=words)
    told("play", "round")
    samples.reading(case, by=armand, gauge="voicing_card", words=words)

    said = page(client, case)

    assert "round 2" in said
    rounds = said[said.index("<h2>Rounds</h2>") :]
    assert rounds.index("Round 1") < rounds.index("1 · Force") < rounds.index("Round 2")
    assert "2 · Force" in rounds
    assert "It rests until" in said


def test_a_form_sent_twice_is_kept_once(told, setup):
    tap = str(uuid.uuid4())

    told("air", "seen", tap=tap)
    told("air", "seen", tap=tap)

    assert SetUpMark.objects.count() == 1
    told("air", "changed", tap=tap)  # after going back: another button of the same page
    assert SetUpMark.objects.count() == 2


def test_two_who_begin_at_once_have_one_set_up(case, armand, lise):
    now = timezone.now()

    assert actions.begin(case, by=armand, at=now) == actions.begin(case, by=lise, at=now)
    assert SetUp.objects.count() == 1


def test_what_was_seen_before_somebody_else_s_change_is_not_kept(client, told, case, setup, lise):
    client.force_login(lise)
    told("bridge", "changed")
    mine = {"step": "strings", "what": "seen", "known": "0", "tap": str(uuid.uuid4())}
    hers = SetUpMark.objects.get()
    SetUpMark.objects.filter(pk=hers.pk).update(by=lise)

    answer = client_of(client, setup.begun_by).post(
        reverse("readings:setup_mark", args=[case.number]), mine, follow=True
    )

    assert SetUpMark.objects.count() == 1
    assert "Meanwhile Lise" in page_of(answer)
    assert "changed something at “bridge and nuts”" in page_of(answer)


def test_leaving_a_step_out_wants_a_reason(client, told, case, setup):
    told("dog", "left_out")
    assert "Say why “dog” is left out." in page(client, case)
    assert not SetUpMark.objects.exists()

    told("dog", "left_out", words="the owner plays without it")
    assert "the owner plays without it" in page(client, case)


@pytest.mark.share(3)
@pytest.mark.parametrize(
    "said",
    [
        {"step": "nowhere", "what": "seen"},
        {"step": "air", "what": "burnt"},
        {"step": "air", "what": "round"},
        {"step": "air", "what": "seen", "tap": "x"},
        {"step": "air", "what": "seen", "known": "-1"},
        {"step": "air", "what": "seen", "known": "9" * 40},
    ],
)
def test_what_our_page_never_sends_is_refused_in_a_sentence(client, told, case, setup, said):
    answer = told(**said)

    assert answer.status_code == 302
    assert "Nothing was noted" in page(client, case)
    assert not SetUpMark.objects.exists()


def test_a_mark_after_the_end_is_refused(client, armand, told, case, setup):
    actions.end(setup, by=armand, at=timezone.now())

    told("air", "seen")

    assert "Set-up 1 has ended" in page(client, case)


def test_a_reader_looks_and_does_not_touch(client, tom, case, setup):
    client.force_login(tom)

    said = page(client, case)

    assert "Something was changed" not in said
    for name in ("setup_begin", "setup_mark", "setup_end"):
        assert client.post(reverse(f"readings:{name}", args=[case.number])).status_code == 403


@pytest.mark.share(2)
@pytest.mark.parametrize(
    ("language", "words"), [("en", "next: air and rest"), ("fr", "air et repos")]
)
def test_the_page_of_the_case_says_in_a_line_what_is_next(
    client, armand, case, setup, language, words
):
    armand.language = language
    armand.save()
    client.force_login(armand)

    said = page_of(client.get(case.get_absolute_url()))

    assert words in said
    assert reverse("readings:setup", args=[case.number]) in said


def test_the_page_asks_the_same_for_1500_readings_as_for_three(client, armand, case, setup):
    first = samples.reading(case, by=armand)
    samples.reading(case, by=armand, gauge="action")
    client.force_login(armand)
    counts = []
    for more in (1, 1500):
        repeat(first, more, subject="again")
        Reading.objects.update(saved_at=timezone.now())
        with CaptureQueriesContext(connection) as queries:
            assert client.get(reverse("readings:setup", args=[case.number])).status_code == 200
        counts.append(len(queries))

    assert counts[0] == counts[1] <= 20


def test_readings_of_before_it_began_and_withdrawn_ones_do_not_count(armand, case):
    samples.reading(case, by=armand)
    setup = actions.begin(case, by=armand, at=timezone.now())
    order = order_for(case)
    assert order is not None
    gone = samples.reading(case, by=armand)
    Reading.objects.filter(pk=gone.pk).update(withdrawn_at=timezone.now())

    found = standing_of(SetUp.objects.get(pk=setup.pk), order)

    assert all(not one.readings for one in found.steps)


def test_nothing_on_the_page_is_a_code(client, armand, told, case, setup):
    for step, what in (("air", "seen"), ("wheel", "changed"), ("play", "round")):
        told(step, what)
    samples.reading(case, by=armand)

    said = html.unescape(re.sub(r"<[^>]+>", " ", page(client, case)))

    assert not re.search(r"\b(?:left_out|not_judged|each_string|wheel_fiddle)\b", said)


def test_the_last_step_is_done_once_its_paper_is_issued(armand, helene, case, setup):
    order = order_for(case)
    assert order is not None
    fields = {"kind": "setup_sheet", "subject": case.log_key, "title": "Set-up sheet"}
    rest = {"language": "en", "version": 1, "code": "ABCD-EFGH-JKMN", "sha256": "0" * 64}
    rest |= {"file_name": "x.pdf", "size_bytes": 1, "pages": 1, "data": {}, "renderer": "test"}
    Paper.objects.create(**fields, **rest, issued_at=timezone.now(), issued_by=helene)

    found = {one.step.key: one for one in standing_of(setup, order).steps}

    assert found["sheet"].is_done
    assert not found["play"].is_done
