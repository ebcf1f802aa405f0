"""Laws of the keybox: the bent string, its swing, clearances; and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.action.plan import amplitude_mm, deflection_mm
from repairs.gauges.base.errors import GaugeInputError
from tests.gauges.action.boxes import STRING, box, key, run, the


def test_the_bent_string_is_two_straight_lines():
    x = np.array([0.0, 50.0, 100.0, 250.0, 400.0])

    assert deflection_mm(x, 100, 400, 1.2).tolist() == pytest.approx([0, 0.6, 1.2, 0.6, 0])
    assert deflection_mm(x, 0, 400, 0).tolist() == [0] * 5


@settings(deadline=None, max_examples=60, derandomize=True)
@given(at=st.floats(1, 390), press=st.floats(0.01, 3))
def test_the_bent_string_agrees_with_interpolation(at, press):
    x = np.linspace(0, 400, 41)

    assert deflection_mm(x, at, 400, press) == pytest.approx(
        np.interp(x, [0, at, 400], [0, press, 0])
    )


@settings(deadline=None, max_examples=60, derandomize=True)
@given(at=st.floats(0, 390), top=st.floats(0, 3))
def test_the_amplitude_is_least_at_both_ends_and_most_midway(at, top):
    ends = amplitude_mm(np.array([at, 400.0]), at, 400, top)
    middle = amplitude_mm(np.array([(at + 400) / 2]), at, 400, top)[0]

    assert ends == pytest.approx(0.0)
    assert middle == pytest.approx(top * ((400 - at) / 400) ** 2)


def test_the_square_of_the_length_follows_from_helmholtz():
    # v/(8 f β): v 0.5 m/s, open 300 Hz, β 30/400: 0.5/(8·300·0.075) = 2.778 mm. At half the
    # length f is 600 and β 30/200: 0.694 mm, a quarter.
    whole, half = 0.5 / (8 * 300 * 0.075), 0.5 / (8 * 600 * 0.15)

    assert amplitude_mm(np.array([300.0]), 200, 400, whole)[0] == pytest.approx(half)


@settings(deadline=None, max_examples=40, derandomize=True)
@given(
    gaps=st.lists(st.floats(0.3, 3), min_size=4, max_size=12),
    more=st.floats(0.01, 1.0),
    spacing=st.floats(5, 12),
)
def test_wider_gaps_never_bring_a_string_nearer_to_its_own_tangents(gaps, more, spacing):
    def data(extra):
        keys = [key(n, 15.0 * n, (g + extra, g + extra)) for n, g in enumerate(gaps, 1)]
        return box(keys, spacing_nut_mm=spacing)

    near, far = run(data(0.0)), run(data(more))

    for note in range(len(gaps)):
        before = the(near, "clear_own", note, string=1)["verdict"]["value"]
        after = the(far, "clear_own", note, string=1)["verdict"]["value"]
        assert after >= before - 1e-9


@settings(deadline=None, max_examples=40, derandomize=True)
@given(nut=st.floats(15, 25), bridge=st.floats(15, 30), x=st.floats(1, 399))
def test_a_straight_string_agrees_with_interpolation(nut, bridge, x):
    data = box([key(1, x, flag_low_mm=0)])
    data["strings"] = [{"nut_height_mm": nut, "bridge_height_mm": bridge}, STRING]

    room = the(run(data), "flag_low", 1, string=1)["verdict"]["value"]

    assert room == pytest.approx(np.interp(x, [0, 400], [nut, bridge]))


@pytest.mark.parametrize(
    ("change", "code", "says"),
    [
        ({"length_mm": 10_000}, "too_big", "length_mm is 10000"),
        ({"length_mm": None}, "missing", "length_mm"),
        ({"strings": []}, "too_few", "strings"),
        ({"strings": [{"nut_height_mm": 20}]}, "missing", "bridge_height_mm is missing (row 1)"),
        ({"strings": [STRING, {**STRING, "diameter_mm": -1}]}, "too_small", "(row 2)"),
        ({"keys": []}, "too_few", "keys"),
        ({"keys": [key(1, 22), key(1, 43)]}, "twice", "key (row 2) is 1"),
        ({"keys": [key(2, 22), key(1, 43)]}, "not_rising", "(row 2)"),
        ({"keys": [key(1, 43), key(2, 22)]}, "not_rising", "at_mm (row 2) is 22"),
        ({"keys": [key(1.5, 22)]}, "not_whole", "key (row 1)"),
        ({"keys": [key(1, 22), key(2, 43, ("x", 1))]}, "not_a_number", "gap_mm (row 2) is 'x'"),
        ({"keys": [key(1, 22, (math.nan, 1))]}, "not_a_number", "gap_mm (row 1)"),
        ({"keys": [key(1, 22, (1, 1, 1))]}, "unequal", "gap_mm"),
        ({"keys": [key(1, 22, (None, None))]}, "missing", "gap_mm is missing (row 1)"),
        ({"keys": [key(1, 500)]}, "too_big", "at_mm (row 1)"),
        ({"keys": [key(1, 22, returns="never")]}, "unknown", "free, slow, sticks"),
        ({"keys": [key(1, 22, colour="red")]}, "unknown", "colour"),
        ({"wheel": {"from_bridge_mm": 30}}, "missing", "rim_height_mm"),
        ({"lid": {"from_mm": 100, "to_mm": 50, "height_mm": 3}}, "too_small", "to_mm"),
        ({"limits": {"beauty": {}}}, "unknown", "beauty"),
    ],
)
def test_bad_input_is_refused_by_name_and_row(change, code, says):
    with pytest.raises(GaugeInputError) as refused:
        run({**box([key(1, 22)]), **change})

    assert refused.value.code == code
    assert says in refused.value.sentence()
