"""The finishing check on keyboxes worked by hand: each comment holds the arithmetic.

All cases have a speaking length of 400 mm and strings of 0.8 mm, so that shares are round. Assumed
where nothing is typed: u of gaps 0.03, heights 0.1, push 0.2, amplitude 0.2, spacing 0.1 mm. An
“outside” is a value beyond its limit by more than 1.645·u.
"""

import pytest

from tests.gauges.action.boxes import STRING, box, key, run, the


def test_case_1_both_strings_are_not_met_together():
    # Gaps 1.2 and 1.5: difference −0.3, limit ±0.2, u = 0.03·√2 = 0.0424, 1.645 u = 0.070.
    # −0.3 is beyond −0.2 − 0.070 = −0.270: outside, so only the open string is right.
    # The gap of string 1 is the one further from 1.5: it grows by 0.3. Its face stands 3 mm from
    # the pin: cos φ = 1 − 0.3/3 = 0.9, φ = 25.842°; along the string 3·sin φ = 3·0.435890 = 1.3077.
    # That is 1200·log2(378 / (378 − 1.3077)) = 6.0 cents: it is bent, its note stays.
    got = run(box([key(1, 22, (1.2, 1.5), offset_mm=3.0)]))

    assert got["first_fail"]["kind"] == "together"
    assert got["first_fail"]["note"] == 1
    assert got["first_fail"]["verdict"]["value"] == pytest.approx(-0.3)
    assert got["playable_up_to"] == 0
    bend = got["prescriptions"][0]
    assert (bend["verb"], bend["what"], bend["key"], bend["string"]) == ("bend", "tangent", 1, 1)
    assert bend["gap_change_mm"] == pytest.approx(0.3)
    assert (bend["turn_deg"], bend["along_mm"]) == (None, None)


def test_case_1_where_the_string_is_so_long_that_a_turn_is_not_heard():
    # A face 0.7 mm from the pin: cos φ = 1 − 0.3/0.7, φ = 55.150°, along 0.7·sin φ = 0.5745; over
    # 978 mm 1200·log2(978 / (978 − 0.5745)) = 1.0 cents.
    got = run(box([key(1, 22, (1.2, 1.5), offset_mm=0.7)], length_mm=1000))

    turn = next(p for p in got["prescriptions"] if p["because"] == "together")
    assert (turn["verb"], turn["what"], turn["key"], turn["string"]) == ("turn", "tangent", 1, 1)
    assert turn["turn_deg"] == pytest.approx(55.150, abs=0.001)
    assert turn["along_mm"] == pytest.approx(0.5745, abs=1e-4)


def test_case_2_a_held_key_throws_string_1_against_the_next_tangent_2():
    # Spacing 5.4, tangents 2.5 thick, gaps 1.5, push 1.0, amplitude 0.5; keys at 100 and 120 mm.
    # Room from string 1 to the back of tangent 2: 5.4 − 0.4 − 0.4 − 1.5 − 2.5 = 0.6 at rest.
    # Open: at 120 mm, ξ = 0.3, 4ξ(1−ξ) = 0.84, amplitude 0.42: 0.18 left.
    #   u² = (0.84·0.2)² + 0.1² + 0.03² = 0.028224 + 0.0109 = 0.039124, u = 0.1978: doubtful.
    # Key 5 held at 100: string 1 stands aside 1.0·280/300 = 0.93333 at 120; its sounding part is
    #   300 long, so its top is 0.5·(300/400)² = 0.28125, and at ξ = 20/300: 0.248889 of it = 0.07.
    #   0.6 − 0.93333 − 0.07 = −0.40333.
    #   u² = (0.93333·0.2)² + (0.5625·0.248889·0.2)² + 0.0109 = 0.034844 + 0.000784 + 0.0109:
    #   u = 0.21570; 1.645 u = 0.3548: outside. The note 5 fails, tangent 2 of key 6 is touched.
    keys = [key(5, 100, thickness_mm=2.5), key(6, 120, thickness_mm=2.5)]

    got = run(box(keys, spacing_nut_mm=5.4))

    rest = the(got, "clear_other", 0, string=1)
    assert rest["verdict"]["value"] == pytest.approx(0.18)
    assert rest["verdict"]["u"] == pytest.approx(0.1978, abs=1e-4)
    assert rest["verdict"]["word"] == "doubtful"
    fail = got["first_fail"]
    assert (fail["kind"], fail["note"], fail["key"], fail["string"]) == ("clear_other", 5, 6, 1)
    assert fail["verdict"]["value"] == pytest.approx(-0.40333, abs=1e-5)
    assert fail["verdict"]["u"] == pytest.approx(0.21570, abs=1e-5)
    assert (got["playable_up_to"], got["surely_up_to"]) == (0, None)
    # To be sure: 0.40333 + 0.35483 = 0.75816 off the back of tangent 2 of key 6.
    ease = next(p for p in got["prescriptions"] if p["word"] == "outside")
    assert (ease["verb"], ease["key"], ease["string"]) == ("ease", 6, 2)
    assert ease["by_mm"] == pytest.approx(0.75816, abs=1e-4)


def test_case_3_the_string_rises_above_the_flag_of_the_highest_key():
    # Underside from 20 (nut) to 28 (bridge): 20 + 0.02·x. Flags from 18 to 26.5.
    # Key 1 at 20: 20.4, top 21.2: room above 5.3, below 2.4. Key 12 at 200: 24, 24.8: 1.7.
    # Key 20 at 300: 26.0, top 26.8: −0.3. u of the line at ¾: 0.1·√(0.25² + 0.75²) = 0.07906,
    # with the flag's own 0.1: 0.12748; 1.645 u = 0.2097: −0.3 is outside.
    # One flag alone: the tangent is raised by 0.3 + 0.2097 = 0.5097.
    keys = [key(n, at, flag_low_mm=18, flag_high_mm=26.5) for n, at in ((1, 20), (12, 200),
                                                                       (20, 300))]  # fmt: skip

    got = run(box(keys))

    assert the(got, "flag_high", 12, string=1)["verdict"]["value"] == pytest.approx(1.7)
    assert the(got, "flag_low", 1, string=2)["verdict"]["value"] == pytest.approx(2.4)
    fail = got["first_fail"]
    assert (fail["kind"], fail["key"]) == ("flag_high", 20)
    assert fail["verdict"]["value"] == pytest.approx(-0.3)
    assert fail["verdict"]["u"] == pytest.approx(0.12748, abs=1e-5)
    assert (got["playable_up_to"], got["surely_up_to"]) == (12, 12)
    raised = [p for p in got["prescriptions"] if p["because"] == "flag_high"]
    assert {(p["verb"], p["what"], p["key"], p["string"]) for p in raised} == {
        ("raise", "tangent", 20, 1),
        ("raise", "tangent", 20, 2),
    }
    assert raised[0]["by_mm"] == pytest.approx(0.5097, abs=1e-4)


def test_case_4_a_low_nut_is_raised_once_instead_of_many_tangents():
    # The rim stands at 25, 40 mm from the bridge (x = 360). The line from nut 20 to bridge 20
    # would be at 20 there: the wheel lifts it by 5, and over the keys it runs 20 + 5·x/360.
    # Flags from 21.5 up. Key 1 at 36: 20.5, −1.0. Key 3 at 72: 21.0, −0.5. Key 9 at 180: 22.5, +1.
    # Raising the nut by δ raises them by 0.9 δ, 0.8 δ and 0.5 δ. Key 1 rules: u of the line
    # 0.1·√(0.1² + 0.9²) = 0.090554, with the flag 0.134907; (1.0 + 1.645·0.134907)/0.9 = 1.35769.
    # Key 3: u 0.129615, (0.5 + 0.213216)/0.8 = 0.8915, less. Above there is room: 28 − 20.8.
    low = {"nut_height_mm": 20, "bridge_height_mm": 20}
    flag = {"flag_low_mm": 21.5, "flag_high_mm": 28}
    data = box([key(1, 36, **flag), key(3, 72, **flag), key(9, 180, **flag)])
    data["strings"] = [low, low]
    data["wheel"] = {"from_bridge_mm": 40, "rim_height_mm": 25, "thickness_mm": 12,
                     "edge_drop_mm": 0.3}  # fmt: skip

    got = run(data)

    assert got["lines"][0]["lift_mm"] == pytest.approx(5.0)
    assert the(got, "flag_low", 3, string=1)["verdict"]["value"] == pytest.approx(-0.5)
    assert (got["first_fail"]["kind"], got["first_fail"]["key"]) == ("flag_low", 1)
    assert got["playable_up_to"] == 0
    line = [p for p in got["prescriptions"] if p["string"] == 1 and p["what"] != "wheel_edge"]
    assert [(p["verb"], p["what"]) for p in line] == [("raise", "nut")]
    assert line[0]["by_mm"] == pytest.approx(1.35769, abs=1e-4)
    # It comes onto the rim 6 mm before its middle: 0.3 − 6·5/360 = 0.21667, surely clear.
    edge = next(c for c in got["checks"] if c["place"] == "nut_side" and c["string"] == 1)
    assert edge["verdict"]["value"] == pytest.approx(0.216667, abs=1e-6)
    assert edge["verdict"]["word"] == "inside"
    # Beyond the rim it dives 5 mm in 40: 0.3 − 6·5/40 = −0.45: it rides on that edge.
    back = next(c for c in got["checks"] if c["place"] == "bridge_side" and c["string"] == 1)
    assert back["verdict"]["value"] == pytest.approx(-0.45)
    assert not back["stops"]


def test_case_4_after_the_nut_was_raised_every_flag_is_right():
    flag = {"flag_low_mm": 21.5, "flag_high_mm": 28}
    data = box([key(1, 36, **flag), key(3, 72, **flag), key(9, 180, **flag)])
    data["strings"] = [{"nut_height_mm": 21.36, "bridge_height_mm": 20}] * 2
    data["wheel"] = {"from_bridge_mm": 40, "rim_height_mm": 25}

    got = run(data)

    assert (got["playable_up_to"], got["surely_up_to"]) == (9, 9)
    assert got["prescriptions"] == []


def test_case_5_the_open_string_swings_into_the_octave_tangent():
    # Amplitude 1.2 in the middle, gap 0.7 at 200 mm: −0.5; u = √(0.2² + 0.03²) = 0.20224,
    # 1.645 u = 0.333: outside already for the open string. At 100 mm: 1.5 − 0.9 = 0.6.
    data = box([key(5, 100), key(12, 200, (0.7, 1.5))])
    data["strings"] = [{**STRING, "amplitude_mm": 1.2}, STRING]

    got = run(data)

    fail = got["first_fail"]
    assert (fail["kind"], fail["note"], fail["key"], fail["string"]) == ("clear_own", 0, 12, 1)
    assert fail["verdict"]["value"] == pytest.approx(-0.5)
    assert got["playable_up_to"] is None
    ease = next(p for p in got["prescriptions"] if p["because"] == "clear_own")
    assert ease["by_mm"] == pytest.approx(0.5 + 1.645 * 0.202237, abs=1e-4)
    # Then its gap is 1.533 beside 1.5: both strings are met together, and nothing else moves.
    assert not ease["also_other_string"]
    assert len(got["prescriptions"]) == 1


def test_case_6_holding_a_key_takes_the_string_away_from_its_own_tangents():
    # As in case 5, but the amplitude is 0.6, key 5 held: aside at 200 is 1.0·200/300 = 0.66667;
    # top 0.6·0.5625 = 0.3375, ξ = 100/300: 4·⅓·⅔ = 0.88889: 0.3. 0.7 + 0.66667 − 0.3 = 1.06667.
    # Both gaps of key 5 are 1.5, so string 1 is bent by the push alone.
    data = box([key(5, 100), key(12, 200, (0.7, 1.5))])
    data["strings"] = [{**STRING, "amplitude_mm": 0.6}, STRING]

    got = run(data)

    assert the(got, "clear_own", 5, string=1)["verdict"]["value"] == pytest.approx(
        1.06667, abs=1e-5
    )
    # Key 12 meets string 1 first and pushes on for string 2: 1.5 − 0.7 + 1.0 = 1.8 mm aside.
    assert the(got, "together", 12)["verdict"]["value"] == pytest.approx(-0.8)


def test_case_7_a_key_that_sticks_ends_the_playable_range():
    # Play 0.05, limit 0.1…0.3: eased by 0.2 − 0.05 = 0.15. Play 0.5: bushed by 0.3.
    keys = [
        key(1, 22, returns="free"),
        key(2, 43, returns="free", side_play_mm=0.5),
        key(3, 63, returns="sticks", side_play_mm=0.05),
    ]

    got = run(box(keys))

    assert (got["first_fail"]["kind"], got["first_fail"]["key"]) == ("returns", 3)
    assert got["playable_up_to"] == 2
    by = {(p["verb"], p["key"], p["because"]): p["by_mm"] for p in got["prescriptions"]}
    # It sticks because it is tight: eased once, not by 0.1 and then by 0.15.
    assert ("ease", 3, "returns") not in by
    assert by[("ease", 3, "side_play")] == pytest.approx(0.15)
    assert by[("bush", 2, "side_play")] == pytest.approx(0.3)


def test_case_8_travel_wall_lid_and_shank():
    # Travel 2.0, gap 1.5, push 1.0: −0.5 spare; u = √(0.03² + 0.2² + 0.03²) = 0.2045; outside.
    # Wall at 40: underside 20.8 over 20.0: 0.8. Lid at 28 from 10 to 300: highest at 300, top
    # 26 + 0.8 = 26.8: 1.2. Shank at 18 under key 1 at 22: 20.44 − 18 = 2.44.
    data = box(
        [key(1, 22, travel_mm=2.0, shank_height_mm=18)],
        walls=[{"name": "head wall", "at_mm": 40, "height_mm": 20.0}],
        lid={"from_mm": 10, "to_mm": 300, "height_mm": 28},
    )

    got = run(data)

    assert (got["first_fail"]["kind"], got["first_fail"]["note"]) == ("reach", 1)
    assert got["first_fail"]["verdict"]["value"] == pytest.approx(-0.5)
    assert got["first_fail"]["verdict"]["u"] == pytest.approx(0.20445, abs=1e-5)
    assert the(got, "wall", 0, string=1)["verdict"]["value"] == pytest.approx(0.8)
    assert the(got, "wall", 0, string=1)["place"] == "head wall"
    assert the(got, "lid", 0, string=2)["verdict"]["value"] == pytest.approx(1.2)
    assert the(got, "shank", 0, string=1)["verdict"]["value"] == pytest.approx(2.44)
