"""The command: any gauge on JSON from a file or standard input, for scripts of other people."""

from __future__ import annotations

import io
import json
import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from repairs.gauges.everything import gauges
from repairs.readings.parse import parse
from repairs.readings.sheets.catalogue import SHEETS
from tests.beside import ROOT
from tests.readings import samples

CASES = json.loads((ROOT / "tests/gauges/wheel/wheel_cases.json").read_text("utf-8"))["cases"]
STRIP = {"mass_g": 28.4, "length_mm": 400, "width_mm": 60, "thickness_mm": 2.8}
WOOD = {"species": "norway_spruce", "direction": "radial"}
GUT = {"tension_n": 40, "diameter_mm": 0.8, "length_mm": 345, "material": "gut"}
BY_HAND: dict[str, dict[str, Any]] = {
    "clamp": {"area_mm2": 900, "wood": "light"},
    "crack_closing": {"width_mm": 180, "t_c": 20, "from_rh_pct": 38, "to_rh_pct": 52, **WOOD},
    "density": STRIP,
    "downforce": {"tension_n": 40, "break_deg": 14},
    "emc": {"t_c": 20, "rh_pct": 50},
    "equivalent_diameter": {"tension_n": 40, "length_mm": 345, "pitch_hz": 392},
    "inharmonicity": GUT,
    "movement": {"width_mm": 180, "from_rh_pct": 40, "to_rh_pct": 60, **WOOD},
    "rh_for_emc": {"t_c": 20, "emc_pct": 9},
    "string": {"length_mm": 345, "pitch_hz": 392, "diameter_mm": 0.8, "material": "gut"},
    "wheel_ledger": {"states": [{"diameter_mm": 170.2}], "strings": [{"lift_mm": 1.0}]},
    "wheel_force": {"tension_n": 40, "length_mm": 345, "from_bridge_mm": 28, "lift_mm": 1.2},
}
JUNK: list[Any] = [None, "", "x", True, -1, 1e308, math.nan, [], {}, [None], ["x"], [{}]]


def plain_input(name: str) -> dict[str, Any]:
    if name in BY_HAND:
        return dict(BY_HAND[name])
    sheet = SHEETS[name]
    parsed = parse(sheet, samples.raw(name))
    return sheet.to_input(parsed.values, parsed.rows)


@pytest.fixture
def gauge(tmp_path: Path, capsys):
    """Run the command on data or text; return exit code, standard output and error."""

    def run(*words: str, given: Any = None) -> tuple[int, str, str]:
        arguments = list(words)
        if given is not None:
            file = tmp_path / "given.json"
            text = given if isinstance(given, str) else json.dumps(given)
            file.write_text(text, encoding="utf-8")
            arguments.append(str(file))
        code = 0
        try:
            call_command("gauge", *arguments)
        except SystemExit as end:
            code = int(end.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def one_sentence(err: str) -> bool:
    return err.count("\n") == 1 and err.endswith(".\n") and "Traceback" not in err


def test_the_list_names_every_gauge_with_its_inputs(gauge):
    code, out, _err = gauge("--list")

    listed = json.loads(out)
    assert code == 0
    assert list(listed) == list(gauges())
    for name, row in listed.items():
        assert row["version"] == gauges()[name].version
        assert row["says"].strip()
        assert row["inputs"] == dict(gauges()[name].inputs) != {}
        assert all(says.strip() for says in row["inputs"].values())


def test_without_a_name_the_gauges_are_listed(gauge):
    assert gauge()[1] == gauge("--list")[1]


def test_every_gauge_is_tried_here():
    assert set(gauges()) == {*BY_HAND, *samples.SAMPLES}


@pytest.mark.parametrize("name", sorted(gauges()))
def test_every_gauge_answers_one_json_object(gauge, name):
    code, out, err = gauge(name, given=plain_input(name))

    answer = json.loads(out, parse_constant=lambda word: pytest.fail(word))
    assert (code, err) == (0, "")
    assert out.count("\n") == 1
    assert isinstance(answer, dict)
    assert answer


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['id']}-{case['kind']}")
def test_the_twelve_wheels_agree_to_a_micrometre_and_a_tenth_of_a_degree(gauge, case):
    code, out, _err = gauge("wheel", given=case)

    found, wanted = json.loads(out), case["expected"]
    joint = wanted["joint_fit_H3"]
    figures = {
        "read_tir_mm": wanted["tir_mm"],
        "ecc_mm": joint["ecc_mm"],
        "oval_amp_mm": joint["oval_amp_mm"],
        "lsc_ecc_mm": wanted["lsc_fit"]["ecc_mm"],
        "read_lsc_roundness_mm": wanted["lsc_roundness_mm"],
        "mz_roundness_mm": wanted["mz_roundness_mm"],
        "diameter_left_mm": wanted["turn_on_present_axle"]["diameter_left_mm"],
        "recentred_diameter_left_mm": wanted["recentre_then_turn"]["diameter_left_mm"],
    }
    assert code == 0
    assert {name: found[name] for name in figures} == pytest.approx(figures, abs=0.001)
    if found["high_spot_deg"] is not None:
        off = (found["high_spot_deg"] - joint["high_spot_deg"] + 180) % 360 - 180
        assert abs(off) < 0.1
    else:
        assert found["ecc_mm"] < 2 * found["u_ecc_mm"]


@pytest.mark.parametrize(
    ("words", "given", "sentence"),
    [
        (["moon"], {}, "No gauge is called moon. Known are: action, "),
        (["wheel"], "", "The input cannot be read: "),
        (["wheel"], "{'a': 1}", "The input cannot be read: "),
        (["wheel"], "[1, 2]", "The input must be one JSON object."),
        (["wheel"], "null", "The input must be one JSON object."),
        (["wheel"], "[" * 100_000, "The input cannot be read: "),
        (["wheel"], "{}", "readings_mm is missing"),
        (["emc"], {"t_c": 20, "rh_pct": "wet"}, "rh_pct is 'wet', which is not a number."),
        (["emc"], '{"t_c": 20, "rh_pct": NaN}', "rh_pct is nan, which is not a number."),
        (["emc"], '{"t_c": 20, "rh_pct": 1e999}', "rh_pct is inf, which is not a number."),
        (["emc"], {"t_c": 20, "rh_pct": 50, "colour": 3}, "input is colour, which is not known."),
        (["wheel", "/no/such/file.json"], None, "The input cannot be read: "),
        (["wheel", "."], None, "The input cannot be read: "),
    ],
)
def test_bad_input_ends_with_two_and_a_sentence(gauge, words, given, sentence):
    code, out, err = gauge(*words, given=given)

    assert (code, out) == (2, "")
    assert err.startswith(sentence)
    assert one_sentence(err)


def test_a_number_larger_than_any_measure_is_refused(gauge):
    code, _out, err = gauge("emc", given='{"t_c": 20, "rh_pct": 1' + "0" * 400 + "}")

    assert code == 2
    assert one_sentence(err)


def test_a_file_in_another_encoding_is_refused(gauge, tmp_path):
    file = tmp_path / "latin.json"
    file.write_bytes('{"t_c": "20°"}'.encode("latin-1"))

    code, _out, err = gauge("emc", str(file))

    assert code == 2
    assert one_sentence(err)


@pytest.mark.share(2)
@pytest.mark.parametrize("name", sorted(gauges()))
def test_junk_in_any_field_is_refused_or_answered_and_never_a_traceback(gauge, name):
    for field in gauges()[name].inputs:
        for junk in JUNK:
            code, out, err = gauge(name, given=plain_input(name) | {field: junk})
            assert code in (0, 2), (field, junk)
            assert (code == 0) == bool(out)
            assert code == 0 or one_sentence(err), (field, junk, err)


@pytest.mark.parametrize("name", sorted(gauges()))
def test_a_gauge_says_what_is_missing(gauge, name):
    code, _out, err = gauge(name, given={})

    assert code == 2
    assert one_sentence(err)


def test_it_works_in_a_pipe():
    def run(text: str, *words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "manage.py", "gauge", *words],
            cwd=ROOT,
            input=text,
            capture_output=True,
            encoding="utf-8",
            timeout=120,
            check=False,
        )

    good = run(json.dumps({"t_c": 20, "rh_pct": 50}), "emc")
    bad = run('{"t_c": 20, "rh_pct": 150}', "emc", "-")

    assert good.returncode == 0
    assert good.stderr == ""
    assert json.loads(good.stdout)["emc_pct"] == pytest.approx(9.2, abs=0.3)
    assert (bad.returncode, bad.stdout) == (2, "")
    assert bad.stderr.startswith("rh_pct is 150; more than ")
    assert one_sentence(bad.stderr)


def test_the_sentence_goes_where_the_caller_wants_it():
    out, err = io.StringIO(), io.StringIO()

    with pytest.raises(SystemExit) as end:
        call_command("gauge", "moon", stdout=out, stderr=err)

    assert end.value.code == 2
    assert out.getvalue() == ""
    assert err.getvalue().startswith("No gauge is called moon.")
