"""The data that a report carries: by the published schema, and enough to make the report anew."""

from __future__ import annotations

import copy
import dataclasses
import html
import json
import re
from typing import Any

import pytest
from django.utils import translation
from jsonschema import (  # type: ignore[import-untyped]
    Draft202012Validator,
    FormatChecker,
)

from repairs.language.text import LANGUAGES
from repairs.papers.blocks.document import ConditionReport
from repairs.papers.blocks.treatment_document import TreatmentReport
from repairs.papers.carried import document
from repairs.papers.carried.document import ReportData
from repairs.papers.carried.printed import figure_words
from repairs.papers.carried.schema import schema_text
from repairs.papers.carried.shape import ShapeError, shaped
from repairs.papers.carried.told import CARRYING
from repairs.papers.kinds import KINDS
from repairs.press.render import to_html
from tests.papers.carrying import BOTH, Made, reports

__all__ = ["reports"]

pytestmark = pytest.mark.django_db
SCHEMA = json.loads(schema_text())
VALIDATOR = Draft202012Validator(SCHEMA, format_checker=FormatChecker())
BODIES: dict[str, type] = {
    "condition_report": ConditionReport,
    "treatment_report": TreatmentReport,
}
EVERY = [(kind, language) for kind in BOTH for language in LANGUAGES]


def faults(data: Any) -> list[str]:
    return [f"{one.json_path}: {one.message}" for one in VALIDATOR.iter_errors(data)]


def words_of(page: str) -> str:
    text = re.sub(r"<(style|title)\b.*?</\1>", " ", page, flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def test_the_published_schema_is_one():
    Draft202012Validator.check_schema(SCHEMA)

    assert SCHEMA["$id"] == "urn:sautereau:paper:2"


def test_the_schema_and_the_classes_name_the_same():
    for name, said in SCHEMA["$defs"].items():
        kind = getattr(document, "Quantity" if name == "quantity" else f"{name.capitalize()}Data")
        fields = dataclasses.fields(kind)
        wanted = [one.name for one in fields if one.default is dataclasses.MISSING]
        assert list(said["properties"]) == [one.name for one in fields], name
        assert said["required"] == wanted, name
        assert said["description"], name
    classes = [one for one in vars(document).values() if dataclasses.is_dataclass(one)]
    assert len(SCHEMA["$defs"]) == len(classes)


def test_the_kinds_that_carry_data_are_those_that_say_so():
    assert {kind.key for kind in KINDS.values() if kind.whole} == set(CARRYING) == set(BOTH)


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_what_a_report_carries_follows_the_schema(reports, kind, language):
    assert faults(reports[kind, language].data) == []


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_the_data_comes_back_as_it_was(reports, kind, language):
    made: Made = reports[kind, language]

    assert shaped(ReportData, made.data["data"], "data") == made.sheet.carried


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_the_report_is_made_anew_from_what_it_carries_alone(reports, kind, language):
    """Body out of JSON, pages out of the body: not a letter differs."""
    made: Made = reports[kind, language]

    body: object = shaped(BODIES[kind], made.data["content"], "content")

    assert body == made.sheet.body
    assert to_html(dataclasses.replace(made.sheet, body=body, carried=None)) == made.html


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_figure_that_is_printed_is_carried_as_a_number(reports, language):
    made: Made = reports["condition_report", language]
    with translation.override(language):
        carried = {
            (row.number, figure.label): (figure_words(figure), figure.verdict)
            for row in made.sheet.carried.readings
            for figure in row.figures
        }
    printed = {
        (row.number, figure.label): (figure.value, figure.word)
        for row in made.sheet.body.readings
        for figure in row.figures
    }

    assert len(printed) > 60
    assert carried == printed


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_every_finding_photo_and_typed_value_is_carried(reports, kind, language):
    made: Made = reports[kind, language]
    data, page = made.data["data"], words_of(made.html)

    for one in data["findings"]:
        assert one["term_label"].casefold() in page.casefold()
        assert one["note"] in page or kind == "treatment_report"
    hashes = {one["number"]: one["sha256"] for one in data["photos"]}
    shown = [made.sheet.body.cover, *getattr(made.sheet.body, "photos", ())]
    assert {one.number: hashes[one.number] for one in shown} == {
        one.number: one.sha256 for one in shown
    }
    raw = {row["number"]: row["raw"] for row in data["readings"]}
    for block in made.sheet.body.annex:
        typed = raw[block.number]
        for line in block.typed.columns:
            words = [typed["rows"][number - 1][line.key] for number in block.typed.numbers]
            kinds = {cell["key"]: cell["kind"] for cell in typed["cells"] if cell["in_rows"]}
            assert kinds[line.key] == "choice" or words == list(line.words)
            assert all(word in page for word in line.words)


def test_numbers_stand_with_their_unit_and_uncertainty(reports):
    data = reports["condition_report", "fr"].data["data"]
    spare = next(one for one in data["readings"] if one["subject"] == "spare wheel")
    tir = next(one for one in spare["figures"] if one["key"] == "tir_mm")

    assert spare["tool"] == {
        "name": "Dial, blue",
        "resolution": {"value": 0.01, "unit": "mm"},
        "checked_on": "2026-03-02",
    }
    assert spare["room_humidity"] == {"value": 46.0, "unit": "%"}
    assert spare["raw"]["rows"][0] == {
        "angle_deg": "0",
        "reading": "2,5",
        "second": "",
        "third": "",
        "axial": "",
    }
    assert spare["raw"]["fields"]["mean_diameter_mm"] == "170,2"
    assert (tir["unit"], tir["upper"], tir["source"]) == ("mm", 0.04, "our own bench")
    ecc = next(one for one in spare["figures"] if one["key"] == "ecc_mm")
    assert ecc["value"] != round(ecc["value"], 6)
    assert tir["u"] > 0


def test_of_a_reading_that_was_not_permitted_nothing_is_carried(reports):
    data = reports["condition_report", "en"].data["data"]
    one = next(row for row in data["readings"] if row["not_permitted"])

    assert one["not_permitted"] == "the owner said no"
    assert (one["figures"], one["raw"]["rows"], one["version"]) == ([], [], "")
    assert not any(one["raw"]["fields"].values())


def test_a_photo_is_carried_with_its_tags_and_the_findings_they_show(reports):
    data = reports["condition_report", "en"].data["data"]
    tagged = next(one for one in data["photos"] if one["tags"])

    assert re.fullmatch("[0-9a-f]{64}", tagged["sha256"])
    assert tagged["tags"][0]["finding"] in {one["number"] for one in data["findings"]}
    assert tagged["tags"][0]["points"] == [[0.2, 0.3], [0.4, 0.6]]
    finding = data["findings"][tagged["tags"][0]["finding"] - 1]
    assert tagged["number"] in finding["photos"]


# What is missing -----------------------------------------------------------------------------


def holes(value: Any, place: str = "data") -> list[tuple[str, Any, Any]]:
    """Each place of the data that could be left out: of a list, its first member stands for all."""
    if isinstance(value, list):
        return holes(value[0], f"{place}[0]") if value else []
    if not isinstance(value, dict) or place.endswith((".details", ".fields", "rows[0]")):
        return []
    found = [(f"{place}.{key}", value, key) for key in value]
    return found + [hole for key, one in value.items() for hole in holes(one, f"{place}.{key}")]


def first_only(value: Any) -> Any:
    """The same with one member of each list: as good, and quicker to look through."""
    if isinstance(value, dict):
        return {key: first_only(one) for key, one in value.items() if key != "content"} | {
            key: {} for key in value if key == "content"
        }
    return [first_only(one) for one in value[:2]] if isinstance(value, list) else value


def test_what_is_left_out_is_named_by_us_as_by_the_schema(reports):
    whole = first_only(reports["treatment_report", "en"].data)
    defaults = {"data.changes", "data.promises"}
    places = [place for place, _holder, _key in holes(whole["data"])]

    assert len(places) > 80
    for number, place in enumerate(places):
        data = copy.deepcopy(whole)
        _place, holder, key = holes(data["data"])[number]
        del holder[key]
        if place in defaults:
            assert faults(data) == []
            continue
        with pytest.raises(ShapeError, match=re.escape(f"“{place}” is missing")):
            shaped(ReportData, data["data"], "data")
        assert faults(data), place


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ({"readings": {}}, "“data.readings” is no list"),
        ({"case": 3}, "“data.case” is no text"),
        ({"findings": [3]}, "“data.findings[0]” is no object"),
        ({"photos": [{"tags": [{"points": [[1]]}]}]}, "has another number of values"),
        ({"photos": [{"width_px": 2.5}]}, "“data.photos[0].width_px” is no whole number"),
        ({"photos": [{"taken_at": "yesterday"}]}, "“data.photos[0].taken_at” is no date"),
        ({"changes": [{"sure": 1}]}, "“data.changes[0].sure” is neither true nor false"),
        ({"promises": [{"got": "0.1"}]}, "“data.promises[0].got” is no number"),
        ({"promises": [{"got": True}]}, "“data.promises[0].got” is no number"),
        ({"readings": [{"raw": {"fields": []}}]}, "“data.readings[0].raw.fields” is no object"),
        ([], "“data” is no object"),
    ],
)
def test_what_is_not_as_it_must_be_is_named(value, words):
    with pytest.raises(ShapeError) as wrong:
        shaped(ReportData, value, "data")

    assert any(words in one for one in wrong.value.problems)
