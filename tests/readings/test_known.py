"""What is known before a sheet is filled in is offered, marked, and never claimed as measured."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from repairs.readings.models import Reading
from tests import factories
from tests.readings import samples
from tests.readings.pages import page_of

pytestmark = pytest.mark.django_db


def taken(client, case, gauge: str, **asked: str) -> str:
    return page_of(client.get(samples.address(case, gauge), asked))


def cell(page: str, name: str) -> str:
    found = re.search(rf'<input[^>]* name="{name}"[^>]*>', page)
    assert found, name
    value = re.search(r' value="([^"]*)"', found[0])
    return (value[1] if value else "") + (" known" if "data-known" in found[0] else "")


@pytest.fixture
def client(client, armand):
    client.force_login(armand)
    return client


def test_the_speaking_length_comes_from_the_page_of_the_instrument(client, case):
    page = taken(client, case, "correction")

    assert cell(page, "length_mm") == "345 known"
    assert "↩ from the instrument’s page" in page
    assert cell(page, "open_cents") == ""


def test_places_of_the_keys_stay_and_gaps_are_read_anew(client, case, armand):
    samples.reading(case, by=armand, gauge="action")

    page = taken(client, case, "action")

    assert cell(page, "at_1-5") == "86.5 known"
    assert cell(page, "gap_1-5") == cell(page, "flag_low_mm-5") == ""
    assert cell(page, "diameter_mm") == "0,8 known"
    assert "taken over, not measured now" in page


def test_the_strings_of_the_last_set_are_offered_in_the_next_stay(client, case, armand, vielle):
    samples.reading(case, by=armand, gauge="string_set")
    later = factories.case(vielle, by=armand)

    page = taken(client, later, "string_set")

    assert cell(page, "pitch_hz-2") == "196 known"
    assert 'value="Mouche"' in page
    assert cell(page, "break_deg-1") == ""
    assert cell(taken(client, later, "action"), "diameter_mm") == "0,8 known"


def set_of_strings(case, by) -> Reading:
    """The set as a sheet in French names it: chanterelle and drone of this kind of instrument."""
    first, drone = (case.instrument.pattern.strings[n] for n in (0, 3))
    names = [f"{one.label['fr']} {one.note}" for one in (first, drone)]
    words = samples.strings()
    words |= {f"name-{number}": name for number, name in enumerate(names, 1)}
    return samples.reading(case, by=by, gauge="string_set", words=words)


@pytest.mark.parametrize("language", ["en", "fr"])
def test_tensions_of_the_string_set_are_offered_beside_the_wheel(client, case, armand, language):
    reckoned = [
        one["tension_n"]
        for one in samples.result_of(set_of_strings(case, armand)).output["strings"]
    ]
    armand.language = language
    armand.save(update_fields=["language"])

    page = taken(client, case, "force_turn")

    # 0.8 and 1.4 mm of gut: 4·L²·f²·μ, Mersenne.
    assert [round(one, 1) for one in reckoned] == [47.8, 36.6]
    said = [cell(page, f"tension_n-{number}").replace(",", ".") for number in (1, 2, 4)]
    assert said == ["47.8 known", "", "36.6 known"]


def test_tensions_typed_after_the_string_set_are_the_ones_offered(client, case, armand):
    set_of_strings(case, armand)
    samples.reading(case, by=armand, gauge="force_turn")

    page = taken(client, case, "force_turn", **{"as": "last"})

    assert cell(page, "tension_n-1") == "66,3 known"
    assert 'value="Chanterelle"' in page


def test_as_last_time_fills_in_all_of_it_with_one_tap(client, case, armand):
    samples.reading(case, by=armand, gauge="action")
    page = taken(client, case, "action")
    (link,) = re.findall(r'href="\?([^"]*as=last)"', page)

    page = page_of(client.get(f"{samples.address(case, 'action')}?{link}"))

    assert cell(page, "gap_1-3") == "2,6 known"
    assert "All values are those of reading 1" in page
    assert 'name="as_last"' in page


def test_a_reading_in_which_nothing_moved_is_asked_about_and_one_that_did_is_kept(
    client, case, armand, post
):
    row = samples.reading(case, by=armand)

    same = post(samples.wheel() | {"as_last": str(row.pk)})
    assert same.status_code == 422
    assert "Nothing differs from reading 1: was all of it read again" in page_of(same)
    assert 'value="170,2"' in same.text  # what was typed stays

    rows = samples.wheel_rows()
    rows[3]["reading"] = "9,9"
    assert post(samples.wheel(rows) | {"as_last": str(row.pk)}).status_code == 302
    sure = samples.wheel() | {"as_last": str(row.pk), "so_it_is": "1"}
    assert post(sure).status_code == 302


@pytest.mark.parametrize("said", ["x", "-1", "9" * 30, ""])
def test_a_name_of_no_reading_is_passed_over(post, said):
    assert post(samples.wheel() | {"as_last": said}).status_code == 302


def test_the_air_of_the_room_is_typed_once_a_day(client, case, armand):
    type(case).objects.update(received_at=timezone.now() - dt.timedelta(days=9))
    assert cell(taken(client, case, "wheel"), "room_rh_pct") == ""
    row = samples.reading(case, by=armand, gauge="action")
    Reading.objects.filter(pk=row.pk).update(room_t_c=Decimal("19.5"), room_rh_pct=Decimal("47.0"))

    assert cell(taken(client, case, "wheel"), "room_rh_pct").startswith("47")

    Reading.objects.update(taken_at=timezone.now() - dt.timedelta(days=1))
    assert cell(taken(client, case, "wheel"), "room_rh_pct") == ""


def test_a_withdrawn_reading_and_one_not_permitted_are_no_source(client, case, armand):
    row = samples.reading(case, by=armand, gauge="action")
    Reading.objects.filter(pk=row.pk).update(withdrawn_at=timezone.now())

    assert cell(taken(client, case, "action"), "at_1-5") == ""


def test_a_sheet_asks_the_same_after_two_readings_as_after_forty(client, case, armand):
    counts = []
    for more in (2, 38):
        for _number in range(more):
            samples.reading(case, by=armand, gauge="action")
        with CaptureQueriesContext(connection) as queries:
            taken(client, case, "action")
        counts.append(len(queries))

    assert counts[0] == counts[1] <= 15


@pytest.mark.parametrize(
    ("fields", "is_known"),
    [
        ({}, True),
        ({"term": "open_joint"}, True),
        ({"cause": "impact"}, False),
        ({"term": "scratch"}, False),
    ],
)
def test_harm_that_the_air_did_is_offered_from_the_findings(client, case, armand, fields, is_known):
    finding = factories.finding(case, by=armand, **fields)
    later = factories.case(case.instrument, by=armand)

    page = taken(client, later, "climate_log")

    assert ('<option value="harm" selected>' in page) is is_known
    said = f"↩ finding {finding.number} of {case}: {finding.term_label}"
    assert (said in page) is is_known


def test_withdrawn_harm_is_not_offered(client, case, armand):
    finding = factories.finding(case, by=armand)
    type(finding).objects.filter(pk=finding.pk).update(withdrawn_at=timezone.now())

    assert 'value="harm" selected' not in taken(client, case, "climate_log")


@pytest.mark.parametrize("gauge", ["wheel", "correction", "climate_log", "action"])
def test_a_wholly_empty_sheet_has_nothing_but_the_names_of_its_rows(client, case, armand, gauge):
    samples.reading(case, by=armand, gauge=gauge)
    factories.finding(case, by=armand)

    page = taken(client, case, gauge, **{"as": "empty"})

    main = page[page.index("data-reading") : page.index('class="docket"')]
    typed = re.findall(r'<input[^>]* name="((?!key|angle)\w+?)(?:-\d+)?" value="([^"]+)"', main)
    ticks = re.findall(r'<input type="checkbox"[^>]* name="([^"]+)"', main)
    sent = {"csrfmiddlewaretoken", "once", "draft_key", *ticks}
    assert [one for one in typed if one[0] not in sent] == []
    assert " checked" not in main
    assert "selected>" not in main
    assert "data-draft" not in main
    assert "↩" not in main
    assert "Nothing is taken over here." in main


@pytest.mark.parametrize(
    ("gauge", "told"),
    [
        ("dog_card", "<span>☐&nbsp;late</span>"),
        ("action", "<b>Return</b> — falls freely · falls slowly · sticks"),
    ],
)
def test_an_empty_print_lists_what_may_be_chosen(client, case, armand, gauge, told):
    page = client.get(samples.address(case, gauge), {"as": "empty"}).content.decode()

    assert told in page
