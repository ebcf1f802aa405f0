"""The tables of causes: figures come from sheets, a cause has evidence or says why not."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from repairs.causes.tables import files, history_choices, plain, symptom_choices, table_of
from repairs.findings.vocabulary import terms
from repairs.gauges.causes.density import density
from repairs.gauges.causes.evidence import TABLE, Read, gather
from repairs.gauges.everything import gauges
from repairs.instruments.kinds import kinds
from repairs.readings.parse import parse
from repairs.readings.sheets.catalogue import SHEETS, sheet_of
from tests.causes.sheets import FILLED

FILES = files()
EACH = pytest.mark.parametrize("name", FILES)
COUNT = {"wheel_fiddle": 77, "violin": 25, "guitar": 25}


@EACH
def test_there_are_as_many_causes_as_are_known_each_with_its_words(name):
    rows = plain(name)["causes"]

    assert len(rows) == len({row["key"] for row in rows}) == COUNT[name]
    for row in [*rows, *plain(name)["symptoms"], *plain(name)["figures"]]:
        for what in ("label", "check", "undo", "remedy", "hint", "no_reading", "caution"):
            for words in (row.get(what) or {"en": "x", "fr": "x"}).values():
                assert words.strip() == words and words
        assert row["label"]["fr"] != row["label"]["en"] or row["key"] == "trompette"


@EACH
def test_every_cause_has_evidence_or_says_why_not(name):
    for row in plain(name)["causes"]:
        assert bool(row["readings"]) != bool(row.get("no_reading")), row["key"]
        assert row["symptoms"] and 0 < row["prior_pct"] < 15 and row["minutes"] > 0
        assert all(0 < p < 1 for p in row["symptoms"].values())
        assert not row["irreversible"] or row["caution"], row["key"]


@EACH
def test_every_figure_bears_on_a_cause_and_every_symptom_has_one(name):
    rows = plain(name)
    used = {key for row in rows["causes"] for key in row["readings"]}
    heard = {key for row in rows["causes"] for key in row["symptoms"]}

    assert used == {row["key"] for row in rows["figures"]}
    assert heard == {row["key"] for row in rows["symptoms"]}
    told = {one["what"] for row in rows["causes"] for one in row["history"]}
    assert told <= {row["what"] for row in rows["history"]}
    for row in rows["figures"]:
        assert row["gauge"] in TABLE and row["gauge"] in SHEETS and row["gauge"] in gauges()
        if row["healthy"][0] == "words":
            specs = [c["readings"].get(row["key"], row["healthy"]) for c in rows["causes"]]
            assert all(set(spec[1]) <= set(row["words"]) for spec in [row["healthy"], *specs])


@EACH
def test_findings_name_terms_and_parts_that_exist(name):
    parts = {part.key for kind in kinds().values() for part in kind.parts}

    for cause in plain(name)["causes"]:
        for one in cause["findings"]:
            assert one["term"] in terms() and one["times"] > 1
            assert set(one.get("parts", [])) <= parts, (cause["key"], one)


def test_every_figure_can_be_produced_by_a_sheet():
    """Sheets as somebody types them, through the parser and the gauge to the evidence."""
    found: set[str] = set()
    for gauge, typed in FILLED:
        sheet = sheet_of(gauge)
        parsed = parse(sheet, typed)
        assert not parsed.problems, (gauge, parsed.problems)
        given = sheet.to_input(parsed.values, parsed.rows)
        read = Read(gauge, given, gauges()[gauge].run(given))
        found |= {one.figure for one in gather([replace(read, again=read)]).values}

    wanted = {row["key"] for name in FILES for row in plain(name)["figures"]}
    assert wanted <= found, wanted - found


def test_a_cause_by_value_has_its_figure_among_the_facts():
    rows = plain("wheel_fiddle")["causes"]
    facts = {name for row in rows for name in row.get("by_value", {}).values()}

    assert facts == {"swing_once", "swing_twice", "top_force"}


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_each_kind_is_asked_about_what_it_has_and_read_with_its_own_sheets(kind):
    table = table_of(kind)
    shown = {one.key for _label, rows in symptom_choices(kind) for one in rows}

    assert shown == set(table.symptoms)
    assert set(table.looks) <= {sheet.gauge for sheet in kinds()[kind].sheets}
    assert all(set(one.symptoms) & shown for one in table.causes)
    wheel = "wheel_fiddle" in kinds()[kind].families
    assert ("wheel_eccentric" in {one.key for one in table.causes}) == wheel
    assert history_choices(kind)


def test_what_was_wrong_in_the_old_table_is_mended():
    rows = {row["key"]: row for row in plain("wheel_fiddle")["causes"]}

    sunk, swing = rows["soundboard_sunk"], rows["string_swings_wide"]
    force = sunk["readings"]["force_chanterelle_n"]
    assert "weak" not in sunk["symptoms"] and "scratch_choke" in sunk["symptoms"]
    assert density(force, 2.6) > 100 * density(force, 0.5)
    assert "whatever the tension" in swing["check"]["en"] and "speed" in swing["check"]["en"]
    assert "swells_once" not in rows["cotton_uneven"]["symptoms"]
    assert "all_keys_alike" in rows["short_scale"]["symptoms"]


@EACH
def test_no_percentage_is_called_a_share_of_suspicion(name):
    assert not re.search(r"suspicion|soupçon|not probabilit", str(plain(name)))
