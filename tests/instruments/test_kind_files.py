"""A kind is a file: a wrong one says which field to mend and how, and names only what exists."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.checks import run_checks

from repairs.causes.tables import files, plain
from repairs.instruments.kind_file import Known, read_kind
from repairs.instruments.kinds import families, kinds, materials, read_kinds
from repairs.instruments.pattern import Kind
from repairs.instruments.refusals import KindFileError
from repairs.procedures.procedure import as_found, procedure_of, shipped
from repairs.readings.checks import kinds_are_whole
from repairs.readings.sheets import catalogue
from repairs.readings.sheets.catalogue import SHEETS, sheets_of_kind
from repairs.storage.fixtures import read_fixture
from tests.whole.fixture_files import FIXTURES, load

KNOWN = Known(families=tuple(families()), materials={"maple": False, "ivory_elephant": True})
EVERY = pytest.mark.parametrize("kind", kinds().values(), ids=str)
Change = Callable[[dict[str, Any]], object]


@pytest.fixture
def written(tmp_path: Path) -> Callable[[Change], Kind]:
    """The kind that the violin's file would be after a change."""

    def write(change: Change) -> Kind:
        row = load("kinds/violin.json")
        row["maps"] = []  # no drawings lie there
        row["parts"] = [{"key": "back", "label": row["label"], "material": None, "children": []}]
        change(row)
        path = tmp_path / "violin.json"
        path.write_text(json.dumps(row), encoding="utf-8")
        return read_kind(path, KNOWN)

    return write


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda row: row.pop("label"), "label: this field is missing; write it."),
        (lambda row: row.update(colour="red"), "colour: no such field; take it out."),
        (lambda row: row.update(slug="viola"), "slug: write “violin”, the name of the file."),
        (lambda row: row.update(label={"en": "x"}), "label: write it in both languages"),
        (lambda row: row.update(hs_number="3-2.1"), "hs_number: write a Hornbostel–Sachs number"),
        (lambda row: row.update(families=[]), "families: name at least one of: wheel_fiddle"),
        (lambda row: row.update(families=["brass"]), "families[0]: write each once, of: wheel"),
        (lambda row: row.update(permissions=["blow"]), "permissions[0]: write each once, of: turn"),
        (lambda row: row.update(key_count=0), "key_count: write how many keys it usually has"),
        (lambda row: row.update(key_count=True), "key_count: write how many keys it usually has"),
        (lambda row: row.update(fallback="no"), "fallback: write true or false."),
        (lambda row: row.update(strings={}), "strings: write a list, [ … ]."),
        (lambda row: row["strings"][1].update(role="solo"), "strings[1].role: write one of: mel"),
        (lambda row: row["strings"][1].update(note=440), "strings[1].note: write the pitch"),
        (lambda row: row["strings"][1].update(key="string_1"), "strings: “string_1” stands 2"),
        (lambda row: row["dimensions"][0].update(unit="cm"), "dimensions[0].unit: write one of"),
        (
            lambda row: row["dimensions"][0].update(typical_mm=[1]),
            "typical_mm: write [least, most]",
        ),
        (lambda row: row["dimensions"][0].update(typical_mm=[9, 1]), "the first end must be above"),
        (lambda row: row["views"][2].update(required=1), "views[2].required: write true or false."),
        (lambda row: row["views"][2].update(slug="Front view"), "views[2].slug: write a key in sm"),
        (lambda row: row["parts"][0].update(material="brick"), "parts[0].material: write a key of"),
        (
            lambda row: row["parts"][0].update(material="ivory_elephant"),
            "parts[0].material: a protected material is never presumed: write null.",
        ),
        (lambda row: row["parts"][0].pop("children"), "parts[0].children: this field is missing"),
        (lambda row: row.update(sheets=[{"sheet": "x", "for": 1}]), "sheets[0].for: no such field"),
        (
            lambda row: row.update(sheets=[{"sheet": "x", "defaults": {"a": 1}}]),
            "sheets[0].defaults: write what to offer, by cell",
        ),
        (lambda row: row["care"][0].update(source=""), "care[0].source: say where the advice is"),
        (
            lambda row: row.update(maps=[{"name": "front", "label": row["label"], "views": []}]),
            "maps[0].name: there is no drawing violin/front.svg; add it.",
        ),
    ],
)
def test_a_wrong_file_says_where_and_how_to_mend_it(written, change, sentence):
    with pytest.raises(KindFileError) as refused:
        written(change)

    assert str(refused.value).startswith("fixtures/kinds/violin.json, ")
    assert sentence in str(refused.value)


def test_what_is_not_json_is_refused_by_its_name(tmp_path):
    (tmp_path / "zither.json").write_text('{"slug": "zither",}', encoding="utf-8")

    with pytest.raises(KindFileError, match=r"kinds/zither\.json, whole file: this is not JSON"):
        read_kind(tmp_path / "zither.json", KNOWN)


def test_exactly_one_kind_takes_what_no_other_fits(tmp_path):
    row = load("kinds/other.json")
    for slug in ("other", "rest"):
        path = tmp_path / f"{slug}.json"
        path.write_text(json.dumps({**row, "slug": slug}), encoding="utf-8")

    with pytest.raises(KindFileError, match="now it is other, rest"):
        read_kinds(tmp_path)


@pytest.mark.parametrize(
    ("sheets", "mend"),
    [
        (["organ_pipe"], "organ_pipe: no such sheet. There are: wheel, correction"),
        (["wheel"], "wheel: it needs “turn”: write it under permissions."),
        ([{"sheet": "action", "defaults": {"bow": "1"}}], "defaults: it has no cell “bow”."),
        ([{"sheet": "action", "without": ["bow"]}], "without: it has no cell “bow”."),
        ([{"sheet": "action", "without": ["key"]}], "without: it cannot do without “key”."),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_with_its_file(written, sheets, mend):
    kind = written(lambda row: row.update(sheets=sheets))

    with pytest.raises(KindFileError) as refused:
        sheets_of_kind(kind)

    assert str(refused.value).startswith("fixtures/kinds/violin.json, sheets, ")
    assert mend in str(refused.value)


def test_a_sheet_offers_what_is_usual_and_leaves_out_what_the_kind_has_not(written):
    said = {"sheet": "action", "defaults": {"length_mm": "400"}, "without": ["rim_mm", "travel_mm"]}

    (sheet,) = sheets_of_kind(written(lambda row: row.update(sheets=[said])))

    cells = {cell.key: cell for cell in sheet.cells}
    assert cells["length_mm"].default == "400"
    assert "rim_mm" not in cells
    assert "travel_mm" not in {column.key for column in sheet.columns}
    assert "rim_mm" in {cell.key for cell in SHEETS["action"].cells}


def test_a_wrong_file_is_told_when_the_casebook_starts(monkeypatch):
    assert kinds_are_whole() == []
    wrong = KindFileError(file="fixtures/kinds/violin.json", field="label", mend="write it.")
    monkeypatch.setattr(catalogue, "sheets_of_kind", raising(wrong))

    (said,) = run_checks(app_configs=None)

    assert said.id == "repairs.E001"
    assert said.msg == "fixtures/kinds/violin.json, label: write it."


def raising(error: Exception) -> Callable[[Kind], None]:
    def fail(_kind: Kind) -> None:
        raise error

    return fail


@EVERY
def test_a_kind_names_only_what_exists(kind):
    sections = {section["key"] for section in read_fixture("vocabulary/care.json")["sections"]}

    assert {sheet.gauge for sheet in sheets_of_kind(kind)} == {one.gauge for one in kind.sheets}
    assert {text.section for text in kind.care} <= sections
    assert {part.material for part in kind.parts} <= {"", *materials()}
    needed = {sheet.needs.removeprefix("may_") for sheet in sheets_of_kind(kind)}
    assert needed <= {"", *kind.permissions}


def test_families_that_procedures_faults_units_and_terms_name_exist():
    named = {f for row in shipped().values() for f in procedure_of(row).families}
    for name in files():
        told = plain(name)
        rows = [*told["symptoms"], *told["causes"]]
        named |= {f for row in rows for f in row.get("families", ())} | set(told["wants"])
    units = read_fixture("vocabulary/checklist.json")
    named |= {f for unit in units for f in unit.get("families", [])}
    for group in read_fixture("vocabulary/damage.json")["groups"]:
        named |= {f for term in group["terms"] for f in term.get("families", [])}

    assert named <= set(families())
    assert set(families()) == {f for kind in kinds().values() for f in kind.families}


def test_readings_and_views_that_a_record_as_found_wants_exist_in_some_kind():
    views = {view.slug for kind in kinds().values() for view in kind.views}
    parts = {part.key for kind in kinds().values() for part in kind.parts}

    for wanted in as_found().values():
        assert set(wanted["views"]) <= views
        assert set(wanted["readings"]) <= set(SHEETS)
        assert set(wanted["parts"]) <= parts


def _strings_of(path: Path) -> set[str]:
    if path.suffix == ".py":
        tree = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        return {n.value for n in tree if isinstance(n, ast.Constant) and isinstance(n.value, str)}
    return set(re.findall(r"[\"']([a-z_]+)[\"']", path.read_text(encoding="utf-8")))


def test_no_code_and_no_template_names_a_kind():
    """The demo tells of particular instruments and draws them: it alone may."""
    slugs = {kind.slug for kind in kinds().values() if not kind.is_fallback}
    root = Path(settings.BASE_DIR)
    files = [*(root / "repairs").rglob("*.py"), *(root / "templates").rglob("*.html")]
    looked = [path for path in files if "demo" not in path.parts and "migrations" not in path.parts]

    found = {str(path): _strings_of(path) & slugs for path in looked}

    assert len(looked) > 400
    assert {path: names for path, names in found.items() if names} == {}
    assert Path(settings.FIXTURES) == FIXTURES
