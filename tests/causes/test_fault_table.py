"""The fault table is whole: its keys, its links, its texts in both languages, its evidence."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import strategies as st

from repairs.causes.diagnosis import faults, faults_of, symptom_choices
from repairs.causes.ranking import rank
from repairs.findings.vocabulary import terms
from repairs.gauges.action import gauge as action
from repairs.gauges.cards import card as cards
from repairs.gauges.everything import MODULES, gauges
from repairs.gauges.strings import stringset
from repairs.instruments.kinds import kinds

FIGURES = [f"{row['gauge']}.{row['figure']}" for row in faults()["figures"]]
READ = {name for row in faults()["figures"] for name in row.get("reads", [])}
SYMPTOMS = [row["key"] for row in faults()["symptoms"]]
WHENS = {"inside", "outside", "above", "below"}
TEXTS = {"label", "hint", "check", "remedy", "caution", "says"}
words = st.sampled_from(["inside", "outside", "above", "below", "doubtful", "not_judged"])


def texts(value: Any) -> list[dict[str, str]]:
    if isinstance(value, list):
        return [text for item in value for text in texts(item)]
    if not isinstance(value, dict):
        return []
    own = [text for name, text in value.items() if name in TEXTS and text is not None]
    return own + [text for item in value.values() for text in texts(item)]


def test_the_thirty_rows_are_there_and_have_several_causes():
    causes = {
        key: [link["cause"] for link in faults()["links"] if link["symptom"] == key]
        for key in SYMPTOMS
    }

    assert sorted(row["row"] for row in faults()["symptoms"]) == list(range(1, 31))
    assert all(len(found) >= 3 and len(found) == len(set(found)) for found in causes.values())


def test_keys_are_unique_and_links_join_what_is_there():
    causes = [row["key"] for row in faults()["causes"]]
    linked = {link["cause"] for link in faults()["links"]}

    assert len(causes) == len(set(causes))
    assert len(SYMPTOMS) == len(set(SYMPTOMS))
    assert linked == set(causes)
    assert all(link["weight"] > 0 for link in faults()["links"])


def test_every_text_speaks_both_languages_and_french_is_set_as_french():
    for text in texts(dict(faults())):
        assert {"en", "fr"} <= set(text) and all(t and t == t.strip() for t in text.values())
        assert not re.search(r"['\"]", text["en"] + text["fr"]), text
        assert not re.search(r"[^\u00a0\u202f][:;?!»%]", text["fr"]), text["fr"]


def test_hints_checks_remedies_and_cautions_are_sentences_and_labels_are_not():
    for row in [*faults()["symptoms"], *faults()["causes"]]:
        for name in {"hint", "check", "remedy", "caution"} & row.keys():
            for text in (row[name] or {}).values():
                assert text[0].isupper() and text.endswith("."), text
        for text in row["label"].values():
            assert not text[0].isupper() and not text.endswith("."), text


def test_every_figure_of_the_evidence_is_in_the_table_of_figures():
    entries = [entry for cause in faults()["causes"] for entry in cause["evidence"]]

    assert {f"{entry['gauge']}.{entry['figure']}" for entry in entries} == set(FIGURES)
    assert len(FIGURES) == len(set(FIGURES)) and not READ & {*FIGURES} - _own_names()
    assert {entry["when"] for entry in entries} <= WHENS
    assert all(entry["times"] > 1 > entry["else_times"] > 0 for entry in entries)


def _own_names() -> set[str]:
    rows = faults()["figures"]
    return {f"{row['gauge']}.{row['figure']}" for row in rows if "reads" in row}


def test_every_gauge_of_the_table_is_a_gauge_and_gives_the_figure():
    figures = faults()["figures"]
    turn = [30.0 * place for place in range(12)]
    dial = [0.02 * math.cos(math.radians(angle)) for angle in turn]
    all_round = gauges()["wheel"].run(
        {"angles_deg": turn, "readings_mm": dial, "axial_mm": dial, "mean_diameter_mm": 170.0}
    )
    given = {
        "wheel": all_round,
        "voicing_card": gauges()["voicing_card"].run({"string": "mouche"})["card"],
        "dog_card": gauges()["dog_card"].run({"string": "trompette"})["card"],
        "action": action.DEFAULT_LIMITS,
        "string_set": {*stringset.DEFAULT_LIMITS, "tension_n"},
    }

    assert {row["key"] for row in faults()["gauges"]} == {row["gauge"] for row in figures}
    assert {row["gauge"] for row in figures} <= set(gauges()), MODULES  # imported, so registered
    for row in figures:
        if row["gauge"] in given:
            assert row["figure"] in given[row["gauge"]], row


def test_a_card_is_read_by_words_that_the_card_knows():
    words = {
        "paper": cards.PAPERS, "sound_highest": cards.SOUNDS, "cotton_sense": cards.SENSES,
        "cotton_state": cards.COTTON_STATES, "cotton_wear": cards.WEARS,
        "onset": cards.ONSETS, "foot_full": ("true", "false"),
    }  # fmt: skip
    rows = [row for row in faults()["figures"] if "words" in row]

    assert {row["figure"]: set(row["words"]) for row in rows} == {
        name: set(known) for name, known in words.items()
    }
    assert {word for row in rows for word in row["words"].values()} <= WHENS


def test_findings_name_terms_of_the_vocabulary_and_parts_of_some_kind():
    parts = {part.key for kind in kinds().values() for part in kind.parts}

    for cause in faults()["causes"]:
        for entry in cause["findings"]:
            assert entry["term"] in terms() and entry["times"] > 1
            assert set(entry.get("parts", [])) <= parts


def test_what_cannot_be_undone_carries_a_caution():
    bare = [row["key"] for row in faults()["causes"] if row["irreversible"] and not row["caution"]]

    assert bare == []


def test_a_violin_is_asked_about_pegs_and_body_only():
    groups = dict(symptom_choices("violin"))
    keys = {symptom.key for rows in groups.values() for symptom in rows}

    assert keys == {"peg_slips", "soundboard_sinks", "body_buzzes"}
    assert "wheel_eccentric" not in {row["key"] for row in faults_of("violin")["causes"]}
    assert sum(len(rows) for _label, rows in symptom_choices("vielle_lute")) == 30


@pytest.mark.parametrize("kind", ["vielle_french", "violin"])
def test_only_readings_that_can_be_taken_are_proposed(kind):
    table = faults_of(kind)
    symptoms = [row["key"] for row in table["symptoms"]]

    named = {row.gauge for cause in rank(table, symptoms, {}, {}) for row in cause.deciding}

    assert named <= {sheet.gauge for sheet in kinds()[kind].sheets}
    assert ("wheel" in named) == (kind == "vielle_french")
