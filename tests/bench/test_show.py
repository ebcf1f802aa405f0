"""The case page shows every room, says what comes next, and tells the log in words."""

from __future__ import annotations

import ast
import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import timezone, translation

from repairs.bench.deeds import DEEDS, ROOMS, deed_words
from repairs.bench.passed import LOG_LINES, log_lines, strip
from repairs.cases.actions import move, put_in_place, wait
from tests import factories

ROOMS_OF_A_CASE = ("photos", "findings", "readings", "work", "papers", "custody", "log")


@pytest.fixture
def page(client, armand, case):
    def get() -> str:
        client.force_login(armand)
        return client.get(case.get_absolute_url()).text

    return get


def test_the_page_shows_every_room_in_the_order_of_the_work(page):
    shown = page()

    places = [shown.index(f'<div class="in" id="{name}">') for name in ROOMS_OF_A_CASE]
    assert places == sorted(places)
    assert "It growls once a turn." in shown
    assert "Shelf 2" in shown
    assert "No photo yet." in shown
    assert "Nothing noted yet." in shown


def test_the_page_shows_photos_findings_and_judgement(page, case, photo, finding, armand):
    factories.tag(photo, finding, by=armand)
    factories.examination(case, by=armand)

    shown = page()

    assert photo.thumb_address in shown
    assert 'id="finding-1"' in shown
    assert "Crack</strong>" in shown
    assert "Sound but cracked." in shown
    assert "frame-marks" in shown


def test_a_photo_that_was_refused_can_be_put_away(page, client, case, photo):
    type(photo).objects.filter(pk=photo.pk).update(state="refused", refusal="drawing")
    withdraw = reverse("photos:withdraw", args=[case.number, photo.number])

    assert withdraw in page()
    client.post(withdraw)
    assert withdraw not in page()


def test_the_page_names_the_views_still_to_be_shot(page, photo):
    shown = page()

    assert "?view=back" in shown
    assert "?view=front" not in shown


@pytest.mark.parametrize(
    ("made", "address"),
    [((), "photos/add/"), (("photo",), "photos/1/"), (("photo", "finding"), "look/")],
)
def test_the_one_thing_to_do_now_stands_in_rosin(page, request, case, made, address):
    for name in made:
        request.getfixturevalue(name)

    shown = page()

    assert shown.count('class="rosin"') == 1
    start = shown.index('class="rosin"')
    assert (
        f'href="{case.get_absolute_url()}{address}"'
        in shown[start : shown.index("</section>", start)]
    )


def test_whoever_may_do_nothing_now_is_told_nothing(client, case):
    """A reader who may only look gets the case without a next step that would be refused."""
    client.force_login(factories.person("lise", "reader"))

    shown = client.get(case.get_absolute_url()).text

    assert 'class="rosin"' not in shown


@pytest.mark.parametrize("address", ["/cases/2026-999/", "/cases/nothing/", "/cases/%20/"])
def test_a_case_that_is_none_is_not_found(client, armand, case, address):
    client.force_login(armand)

    assert client.get(address).status_code == 404


def test_the_strip_shows_the_past_the_present_and_what_is_ahead(case, armand):
    at = timezone.now()
    move(case, "looked_over", because="", by=armand, at=at)

    marks = strip(case)

    assert [mark.key for mark in marks] == case.path
    assert [mark.is_present for mark in marks] == [False, True, False, False, False, False]
    assert [mark.at for mark in marks[:3]] == [factories.RECEIVED, at, None]
    assert marks[0].label == "taken in"


def test_the_strip_of_a_survey_is_shorter(vielle, armand):
    case = factories.case(vielle, by=armand, reason="survey")

    assert [mark.label for mark in strip(case)] == [
        "taken in",
        "looked over",
        "reported",
        "handed back",
    ]


def test_after_a_step_back_what_lies_ahead_has_no_day(case, armand):
    at = timezone.now()
    move(case, "looked_over", because="", by=armand, at=at)
    move(case, "taken_in", because="A mistake", by=armand, at=at)

    assert [mark.at for mark in strip(case)] == [at, None, None, None, None, None]


def test_the_log_is_told_in_words_the_newest_first(case, armand, page):
    at = timezone.now()
    wait(case, "part", "", by=armand, at=at)
    put_in_place(case, "North bench", by=armand, at=at)
    move(case, "looked_over", because="", by=armand, at=at)
    factories.finding(case, by=armand)

    lines = [(line.who, line.words) for line in log_lines(case)]

    assert lines == [
        ("Armand Sautarel", "noted finding 1: crack"),
        ("Armand Sautarel", "moved the case to “looked over”"),
        ("Armand Sautarel", "put the instrument in its place: North bench"),
        ("Armand Sautarel", "noted that the case waits for a part"),
        ("Armand Sautarel", "took the instrument in"),
    ]
    assert "moved the case to “looked over”" in page()


def test_the_log_of_a_case_tells_nothing_of_another(case, vielle, armand):
    other = factories.case(vielle, by=armand)

    assert len(log_lines(case)) == len(log_lines(other)) == 1


def test_a_long_log_is_shown_up_to_its_newest_lines(case, armand):
    for number in range(LOG_LINES + 5):
        wait(case, "part" if number % 2 else "glue", "", by=armand, at=timezone.now())

    lines = log_lines(case)

    assert len(lines) == LOG_LINES
    assert "took the instrument in" not in [line.words for line in lines]


def test_a_line_without_its_detail_is_left_open():
    assert deed_words("photo.added", {}) == "added photo …"


def test_a_verb_without_words_is_shown_as_it_is():
    assert deed_words("case.sung_to", {"song": "bourrée"}) == "case.sung_to"


@pytest.mark.parametrize("verb", sorted(DEEDS))
def test_every_verb_can_be_said_in_every_language(verb):
    said = {"kind": "intake_receipt", "step": "agreed", "what": "part", "term": "crack"}
    for language, _name in settings.LANGUAGES:
        with translation.override(language):
            assert deed_words(verb, said).strip()


# What writes a line, and where its verb stands among what it is given.
RECORDING = {"record": 1, "record_seldom": 1, "record_counted": 0}


def recorded_verbs() -> Iterator[tuple[str, str]]:
    """Yield (room, verb) of every ``record(…)`` in the rooms' code."""
    home = Path(settings.BASE_DIR) / "repairs"
    for file in sorted(home.rglob("*.py")):
        module = ast.parse(file.read_text(encoding="utf-8"))
        known = _named(module.body)
        for function in ast.walk(module):
            if isinstance(function, ast.FunctionDef):
                for verb in _recorded_in(function, known):
                    yield file.relative_to(home).parts[0], verb


def _named(nodes: Iterable[ast.AST]) -> dict[str, ast.expr]:
    return {
        node.targets[0].id: node.value
        for node in nodes
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
    }


def _recorded_in(function: ast.FunctionDef, known: Mapping[str, ast.expr]) -> Iterator[str]:
    named = {**known, **_named(ast.walk(function))}
    for node in ast.walk(function):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", "")
        if name not in RECORDING or function.name in RECORDING or function.name == "tell_counts":
            continue
        verb = node.args[RECORDING[name]]
        if isinstance(verb, ast.Name):
            verb = named[verb.id]
        choices = [verb.body, verb.orelse] if isinstance(verb, ast.IfExp) else [verb]
        for choice in choices:
            yield (said := str(ast.literal_eval(choice)))
            if name == "record_counted":
                yield f"{said}.counted"


def test_every_verb_has_its_words_in_the_room_that_does_it_and_no_words_are_without_a_verb():
    # The log itself lies below the rooms with words; the people of the house say its deeds. What
    # stood before the log vouched for rows is said by a migration, a row without a deed by itself.
    recorded = {
        ("people", verb) if room == "audit" else (room, verb) for room, verb in recorded_verbs()
    }
    recorded |= {("people", "rows.vouched_from_here"), ("people", "rows.vouched")}
    worded = {(room.__name__.split(".")[1], verb) for room in ROOMS for verb in room.WORDS}

    assert len(recorded) > 80
    assert recorded == worded


def test_a_day_is_told_in_the_time_of_the_shop(page, case, armand):
    wait(case, "part", "", by=armand, at=dt.datetime(2026, 11, 24, 23, 30, tzinfo=dt.UTC))

    shown = page()

    assert "0:30</time>Armand Sautarel noted that the case waits for a part" in shown


def test_each_round_of_a_new_instrument_ends_with_what_still_fails(client, vielle, armand):
    case = factories.case(vielle, by=armand, reason="house")
    thick = {
        "name": "chanterelle",
        "length_mm": "345",
        "pitch_hz": "740",
        "diameter_mm": "0,81",
        "material": "gut",
        "density_kg_m3": "",
        "break_deg": "",
    }
    factories.string_reading(case, by=armand, round=1, raw={"fields": {}, "rows": [thick]})
    factories.string_reading(case, by=armand, round=2)
    client.force_login(armand)

    page = client.get(case.get_absolute_url()).content.decode()

    assert "string set: chanterelle: semitones below breaking" in page
    assert page.count("● nothing measured lies outside its limits") == 1
