"""What every entry sheet promises: it opens, its words are known, and it claims nothing."""

from __future__ import annotations

import re
from itertools import product
from typing import get_args

import pytest
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.functional import Promise

from repairs.gauges.everything import gauges
from repairs.gauges.keys import correction
from repairs.gauges.wheel import advice as wheel_advice
from repairs.gauges.wheel import decision
from repairs.instruments.kinds import kinds
from repairs.readings.actions import compute, set_house_limit
from repairs.readings.models import HouseLimit
from repairs.readings.sheets import wheel, wheel_cells
from repairs.readings.sheets.base import Advice
from repairs.readings.sheets.catalogue import SHEETS, sheet_for
from repairs.readings.show import saved
from repairs.readings.words import ADVICE, advice_words
from tests import factories
from tests.beside import ROOT
from tests.readings import samples

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_every_sheet_opens_for_the_kinds_it_is_meant_for(client, armand, helene, owner, kind):
    instrument = factories.instrument(owner, by=helene, kind=kind)
    case = factories.case(instrument, by=armand)
    client.force_login(armand)
    choice = client.get(reverse("readings:choose", args=[case.number])).text

    for sheet in SHEETS.values():
        fits = sheet.gauge in {one.gauge for one in kinds()[kind].sheets}
        page = client.get(samples.address(case, sheet.gauge))
        assert (samples.address(case, sheet.gauge) in choice) is fits
        if not fits:
            assert page.status_code == 404
            continue
        sheet = sheet_for(case, sheet.gauge)
        rows = sheet.first_rows(case)
        assert page.status_code == 200
        assert len(rows) <= sheet.most_rows
        for row in rows:
            assert set(row) <= {column.key for column in sheet.columns}
        for cell in sheet.cells:
            assert f'name="{cell.key}"' in page.text
        for column in sheet.columns if rows else ():
            assert f'name="{column.key}-1"' in page.text


@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_a_sheet_names_a_gauge_and_known_columns(gauge):
    sheet = SHEETS[gauge]
    names = [cell.key for cell in (*sheet.cells, *sheet.columns)]

    assert gauge == sheet.gauge
    assert gauge in gauges()
    assert len(names) == len(set(names))
    assert len(gauge) <= 30
    for cell in (*sheet.cells, *sheet.columns):
        if cell.least is not None and cell.likely is not None:
            assert cell.least <= cell.likely[0] < cell.likely[1]
        if cell.most is not None and cell.likely is not None:
            assert cell.likely[1] <= cell.most
        if cell.default and cell.kind == "choice":
            assert cell.default in dict(cell.choices)


@pytest.mark.parametrize("gauge", sorted(SHEETS))
@pytest.mark.parametrize("language", ["en", "fr"])
def test_every_word_of_a_sheet_can_be_translated(gauge, language):
    sheet = SHEETS[gauge]
    words = [sheet.label, sheet.says]
    words += [cell.label for cell in (*sheet.cells, *sheet.columns)]
    words += [label for label, _limit in sheet.limits.values()]

    with translation.override(language):
        assert all(isinstance(word, Promise) and str(word).strip() for word in words)


def test_every_sentence_is_found_by_the_collector_of_translations():
    """It knows gettext by its own name and as “_”, and passes over any other name."""
    other = re.compile(r"gettext(_lazy)? as (?!_\b)\w+")
    files = (ROOT / "repairs").rglob("*.py")

    assert [file.name for file in files if other.search(file.read_text("utf-8"))] == []


@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_an_untouched_sheet_claims_nothing(client, armand, case, gauge):
    sheet = SHEETS[gauge]
    client.force_login(armand)
    words = samples.form({cell.key: cell.default for cell in sheet.cells}, sheet.first_rows(case))

    answer = client.post(samples.address(case, gauge, "try"), words)

    assert answer.status_code == 200
    assert "verdict-" not in answer.text


@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_every_limited_figure_can_be_set_by_the_house(case, armand, gauge):
    computed = compute(SHEETS[gauge], samples.raw(gauge))

    limited = {f.key.partition(":")[0] for f in computed.figures if f.limit is not None}
    assert limited <= set(SHEETS[gauge].limits)
    for figure in computed.figures:
        assert len(figure.key) <= 60
        assert str(figure.label).strip()
        assert len(figure.unit) <= 12


@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_every_line_of_advice_of_a_sample_has_words(gauge):
    for line in compute(SHEETS[gauge], samples.raw(gauge)).advice:
        said = advice_words(line)
        assert line.code in ADVICE, line.code
        assert line.code not in said
        assert "%(" not in said
        assert len(line.target) <= 60


def test_all_that_the_wheel_can_advise_has_words():
    actions = get_args(decision.Action)
    codes = {f"wheel.{action}" for action in actions}
    done = product((True, False), repeat=3)
    for action, (cleaned, acclimatised, recentred) in product(actions, done):
        before = decision.Done(cleaned, acclimatised, recentred)
        steps = wheel_advice.steps(action, before, is_off=recentred)
        codes |= {f"wheel.step.{step}" for step in steps}
    codes |= {"wheel.shift", "wheel.cut", "wheel.consent", "wheel.form_in_doubt"}
    codes |= {f"wheel.need.{need}" for need in ("good", "watch", "true_it")}

    assert codes <= set(ADVICE)


@pytest.mark.parametrize(
    ("ecc", "oval", "said"),
    [
        (1.0, 1.5, set()),
        (5.0, 2.6, {"wheel.form_in_doubt"}),
        (30.0, 8.0, set()),
        (10.0, 0.0, set()),
    ],
    ids=["form inside", "at its limit", "surely outside, so prepared for", "only off its axle"],
)
def test_a_form_that_may_lie_outside_is_said_to_be_in_doubt(ecc, oval, said):
    words = samples.wheel(samples.wheel_rows(ecc=ecc, oval=oval))
    output = compute(SHEETS["wheel"], samples.raw("wheel", words)).output

    codes = {line.code for line in wheel.advice({}, output)}

    assert {code for code in codes if code.startswith("wheel.form_")} == said


def test_all_that_the_wheel_warns_of_has_words():
    flat = compute(SHEETS["wheel"], samples.raw("wheel")).output
    known = {"too_few_places", "bearing_loose", "many_gaps", "wide_gap"}
    known |= {"uneven_places", "fewer_harmonics", "no_inscribed_circle", "noise_assumed"}
    known |= {"more_than_noise_left", "noise_too_big", "angle_not_sure", "large_eccentricity"}

    assert set(flat["warnings"]) <= known <= set(wheel_cells.WARNINGS)


@pytest.mark.parametrize("language", ["en", "fr"])
def test_all_that_the_keys_can_ask_for_has_words(language):
    codes = ["move_bridge", "move_nut", "read_open_string", "press_lighter", "as_found"]
    codes += ["measure_again", "turn", "re_pin", "move", "bend", "shim", "conflict"]
    codes += ["two_tangents", "other_flag", "other_shank"]
    assert correction.VERSION == "correction 3", "look for new codes here"

    with translation.override(language):
        for code in codes:
            line = Advice(f"keys.{code}", "second, 7", 0.5, 0.25, "mm", details={"code": "fixed"})
            said = advice_words(line)
            assert line.code not in said
            assert "first chanterelle" not in said
        conflict = Advice("keys.conflict", "7", details={"code": "not_together"})
        assert "not_together" not in advice_words(conflict)
        turn = advice_words(Advice("keys.turn", "second, 7", 0.5, 0.25, "mm"))
    if language == "en":
        assert "second chanterelle, 7" in turn.replace("\u00a0", " ")
        assert "0.50 ± 0.25 mm" in turn.replace("\u00a0", " ")
    else:
        assert "0,50 ± 0,25 mm" in turn.replace("\u00a0", " ")


def test_an_unknown_code_of_a_later_version_is_never_shown():
    said = advice_words(Advice("wheel.levitate", "rim"))
    assert said == "Another version proposed something that this one has no words for."


@pytest.mark.parametrize("house_says", [False, True])
def test_a_crack_whose_edges_would_press_at_home_is_not_inside(case, armand, helene, house_says):
    """Shut in 38 % air, 180 mm of spruce press at 52 %; no limit on an opening says how far."""
    if house_says:
        said = {"upper": 0.2, "source": "our own bench", "gauge": "crack_joint"}
        limit = HouseLimit(figure="left_mm", **said)
        set_house_limit(limit, by=helene, at=timezone.now())
    words = samples.SAMPLES["crack_joint"]() | {"gap_mm": "0"}

    reading = samples.reading(case, by=armand, gauge="crack_joint", words=words)

    verdict = samples.verdict_of(reading, "left_mm")
    assert verdict.value < -0.3
    assert (verdict.word, verdict.upper) == ("not_judged", None)
    assert "it would press" in " ".join(saved(reading).warnings)
