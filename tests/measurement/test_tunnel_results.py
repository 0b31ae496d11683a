"""What is made of a tunnel sheet: ranges, speed, drift, walls, watts, the table out and in."""

import io
from dataclasses import replace

import numpy as np
import published
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats
from tunnel_sheets import AREA_A_NEWTON, in_order, repeats, sheet, text

from dragwork.measurement.tunnel import SharedErrors, SheetError, compare, read_sheet
from dragwork.measurement.tunnel_results import (
    drag_areas_csv,
    drift,
    savings_at_speeds,
    speed_dependence,
    yaw_bands,
)
from dragwork.measurement.uncertainty import propagate
from dragwork.physics.drag import area_from_force
from dragwork.physics.power import Conditions
from dragwork.scenario.barrow_lane import SET_UPS, bl7
from dragwork.teaching.derivations import number, steps_of
from dragwork.units import deg, kmh

NOTHING_SHARED = SharedErrors(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


@pytest.fixture(scope="module")
def demo():
    return bl7()


def run(area, speed=10.0, **cell):
    """A run whose drag and tare grow with the square of speed, as the air has them."""
    q = (speed / 10) ** 2
    return {"speed [m/s]": str(speed), "tare": repr(2 * q),
            "drag": repr(float((2 + area / AREA_A_NEWTON) * q)), **cell}  # fmt: skip


def alone(*rows):
    """The sheet without errors that all runs share."""
    return read_sheet(io.StringIO(text(rows)), NOTHING_SHARED)


# -- bands --------------------------------------------------------------------------------------------


def test_a_band_is_students_interval_of_a_mean():
    (record,) = published.for_test("test_a_band_is_students_interval_of_a_mean")
    found = alone(*repeats(record.inputs["areas"]))
    areas, level = found.rows.drag_area, record.inputs["confidence"]
    (band,) = yaw_bands(found, level).itertuples()
    expected = stats.t.interval(level, 3, areas.mean(), areas.std(ddof=1) / 2)
    assert [band.low, band.high] == pytest.approx(list(expected), rel=record.tolerance)


def test_parts_of_a_band_join_as_the_guide_joins_them():
    (record,) = published.for_test("test_parts_of_a_band_join_as_the_guide_joins_them")
    spread, scale, tare = (u / 100 for u in record.inputs["u"])
    areas = 0.3 + 0.3 * spread * np.sqrt(100) * np.array([-1, 1] * 50) * np.sqrt(99 / 100)
    shared = SharedErrors(scale, 0.0, 0.0, 0.3 * tare, 0.0, 0.0)
    found = read_sheet(io.StringIO(text(repeats(areas))), shared)
    (band,) = yaw_bands(found, 0.6827).itertuples()
    half = (band.high - band.low) / 2 / band.drag_area
    record.assert_close(half)  # t of so many degrees of freedom is 1 but for 2 parts in 10,000


def test_bands_and_draws_say_the_same(demo):
    drawn = demo.draws(20_000, 3)
    for name, there in yaw_bands(demo).groupby("set_up"):
        low, high = np.quantile(drawn[name].drag_area, [0.025, 0.975], axis=0)
        width = (there.high - there.low).to_numpy()
        assert low == pytest.approx(there.low.to_numpy(), abs=0.06 * width.max())
        assert high == pytest.approx(there.high.to_numpy(), abs=0.06 * width.max())


def test_there_is_a_band_at_every_angle_of_every_set_up(demo):
    bands = yaw_bands(demo, 0.8)
    assert list(bands.set_up.unique()) == list(SET_UPS) and len(bands) == 12
    wide = yaw_bands(demo, 0.95)
    assert np.all(wide.low < bands.low) and np.all(bands.high < wide.high)


# -- speed --------------------------------------------------------------------------------------------


def test_two_speeds_are_a_paired_t_test():
    (record,) = published.for_test("test_two_speeds_are_a_paired_t_test")
    rng = np.random.default_rng(3)
    sat = 0.30 + 0.005 * rng.standard_normal(record.inputs["passes"][0])
    slow, fast = (sat + 0.001 * rng.standard_normal(sat.size) for _ in range(2))
    rows = [run(a, v, repeat=str(n)) for v, areas in ((10, slow), (15, fast))
            for n, a in enumerate(areas, 1)]  # fmt: skip
    found = alone(*in_order(rows))
    areas = found.rows.drag_area.to_numpy()
    expected = stats.ttest_rel(areas[5:], areas[:5])
    got = speed_dependence(found, "A", 0.9)
    close = {"rel": record.tolerance}
    assert got.p_value == pytest.approx(expected.pvalue, **close)
    assert [got.low, got.high] == pytest.approx(list(expected.confidence_interval(0.9)), **close)
    assert got.change == pytest.approx(np.mean(areas[5:] - areas[:5]), **close)
    assert got.degrees_of_freedom == expected.df


def test_three_speeds_by_hand():
    (record,) = published.for_test("test_three_speeds_by_hand")
    rows = [
        run(0.3 + 0.0001 * x, v, repeat=str(n))
        for v, name in ((10, "slow"), (13, "middle"), (17, "fast"))
        for n, x in enumerate(record.inputs[name], 1)
    ]
    got = speed_dependence(alone(*in_order(rows)), "A")
    record.assert_close(got.p_value)
    assert got.change == pytest.approx(0.0003, rel=1e-3)
    assert "p = 0.049. Chance seldom moves it this much" in got.verdict


def test_a_rider_who_sits_differently_each_time_is_no_change_with_speed():
    rows = [run(0.28 + 0.01 * n + 0.0001 * ((n * v) % 3), v, repeat=str(n)) for n in (1, 2, 3) for v in (10, 15)]
    got = speed_dependence(alone(*in_order(rows)), "A")
    assert got.p_value > 0.05 and abs(got.change) < 0.001
    assert "one drag area will do" in got.verdict


def test_how_often_sound_sheets_seem_to_change_with_speed():
    """No set-up of the demo changes with speed: p-values are spread evenly, 5 % below 0.05."""
    rng = np.random.default_rng(11)
    found, small = alone(*in_order(run(0.3, v, repeat=n) for n in "123" for v in (10, 12, 15))), []
    for _ in range(300):
        areas = 0.3 + 0.002 * rng.standard_normal(9)
        p = speed_dependence(replace(found, rows=found.rows.assign(drag_area=areas)), "A").p_value
        small.append(p < 0.05)
    assert 0.01 < np.mean(small) < 0.09  # standard error 0.013


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([run(0.3, repeat=n) for n in "12"], "'A' was run at one speed"),
        ([run(0.3, v) for v in (10, 15)], "'A' was not repeated at its speeds"),
    ],
)
def test_a_sheet_that_cannot_tell_about_speed_says_so(rows, words):
    with pytest.raises(ValueError, match=words):
        speed_dependence(alone(*rows), "A")


# -- drift --------------------------------------------------------------------------------------------


def drifting(slope, passes=9, names="ABBAABBAA", noise=0.0, seed=0):
    rng = np.random.default_rng(seed)
    rows = [
        run(area + slope * order + noise * rng.standard_normal(), repeat=str(names[: order + 1].count(name)),
            **{"set-up": name})
        for order, name in enumerate(names[:passes])
        for area in [0.30 if name == "A" else 0.28]
    ]  # fmt: skip
    return alone(*in_order(rows))


def test_a_drift_is_a_regression_on_the_order():
    (record,) = published.for_test("test_a_drift_is_a_regression_on_the_order")
    found = drifting(0.0002, record.inputs["passes"][0], "AAAAAA", noise=0.0003, seed=2)
    expected = stats.linregress(found.rows.order, found.rows.drag_area)
    got = drift(found, ["A"], 0.9)
    half = stats.t.ppf(0.95, 4) * expected.stderr * 5
    close = {"rel": record.tolerance}
    assert got.slope == pytest.approx(expected.slope, **close)
    assert got.p_value == pytest.approx(expected.pvalue, **close)
    assert [got.low, got.high] == pytest.approx(
        [5 * expected.slope - half, 5 * expected.slope + half], rel=1e-6
    )


def test_a_known_drift_is_found():
    (record,) = published.for_test("test_a_known_drift_is_found")
    found = drifting(record.inputs["slope"], record.inputs["runs"])
    got = drift(found)
    record.assert_close(got.change)
    assert "Chance seldom moves it this much" in got.verdict


def test_a_mirrored_order_cancels_a_drift_in_the_difference():
    found = drifting(0.0005, 8)
    assert compare(found, "A", "B").difference == pytest.approx(0.02, abs=2e-5)


def test_sound_days_seldom_seem_to_drift():
    hits = [drift(drifting(0.0, noise=0.001, seed=seed)).p_value < 0.05 for seed in range(20)]
    assert np.mean(hits) <= 0.2


def test_too_few_passes_are_refused():
    with pytest.raises(ValueError, match="too few passes"):
        drift(drifting(0.0, 2, "AA"))
    with pytest.raises(ValueError, match="'drops' has no usable run"):
        drift(drifting(0.0), ["drops"])


# -- watts --------------------------------------------------------------------------------------------


def a_and_b(gap):
    return alone(*repeats([0.3, 0.3]), *repeats([0.3 - gap] * 2, **{"set-up": "B"}))


def test_twenty_watts_at_fifty_kilometres_an_hour():
    (record,) = published.for_test("test_twenty_watts_at_fifty_kilometres_an_hour")
    found = a_and_b(record.inputs["dCdA"])
    gap = compare(found, "A", "B").difference / record.inputs["dCdA"]  # the sheet's own rounding
    saved = savings_at_speeds(found, "A", record.si["speeds"])
    record.assert_close(saved.watts.to_numpy() / gap)
    assert saved.beyond_speed.tolist() == [True, True]


def test_in_a_head_wind_the_air_counts_squared_and_the_road_once():
    (record,) = published.for_test("test_in_a_head_wind_the_air_counts_squared_and_the_road_once")
    given_ = record.inputs
    saved = savings_at_speeds(a_and_b(given_["dCdA"]), "A", [given_["speed"]], Conditions(1.2, given_["wind"]))
    record.assert_close(saved.watts.to_numpy())


def test_watts_scale_with_the_range_of_the_difference(demo):
    saved = savings_at_speeds(demo, "hoods", kmh(np.array([30.0, 45.0])), confidence=0.8)
    for line in saved.itertuples():
        found = compare(demo, "hoods", line.set_up, confidence=0.8)
        ratio = line.watts / found.difference
        assert [line.low, line.high] == pytest.approx([ratio * found.low, ratio * found.high])
    assert saved.set_up.tolist() == ["clip-ons", "time-trial"] * 2
    assert saved.beyond_speed.tolist() == [True, True, False, False]


def test_a_wind_beyond_the_sheet_is_refused(demo):
    with pytest.raises(ValueError, match="beyond this curve"):
        savings_at_speeds(demo, "hoods", [8.0], Conditions(1.2, 6.0, deg(90)))


# -- out and in ---------------------------------------------------------------------------------------


def test_the_table_goes_out_with_units_in_its_headings():
    (record,) = published.for_test("test_the_table_goes_out_with_units_in_its_headings")
    header, line = drag_areas_csv(sheet(*repeats(record.inputs["areas"]))).splitlines()
    assert header == "set-up,speed [m/s],yaw [deg],drag area [m2],spread [m2],runs"
    cells = dict(zip(header.split(","), line.split(",")))
    record.assert_close(float(cells["drag area [m2]"]))
    assert cells["speed [m/s]"] == "10.000" and cells["runs"] == "2"


def test_a_table_written_by_hand_reads_in():
    (record,) = published.for_test("test_a_table_written_by_hand_reads_in")
    hand = "a note\nset-up;runs;yaw °;speed (m/s);spread [m²];drag area [m2]\nA;3;10;12,5;0,002;0,31\n"
    (line,) = read_sheet(io.StringIO(hand)).drag_areas().itertuples()
    record.assert_close([line.yaw, line.speed])
    assert (line.set_up, line.runs) == ("A", 3)
    assert [line.drag_area, line.sd] == pytest.approx([0.31, 0.002], rel=1e-12)


@settings(max_examples=15)
@given(st.lists(st.floats(0.15, 0.8), min_size=1, max_size=4), st.sampled_from(["A", "x, y", 'the "aero" one', "é"]))
def test_what_goes_out_reads_back(areas, name):
    assume(np.ptp(areas) < 0.1)  # so far apart are no two runs of one set-up
    quoted = '"' + name.replace('"', '""') + '"'
    found = sheet(*repeats(areas, **{"set-up": quoted}))
    there, back = found.drag_areas(), read_sheet(io.StringIO(drag_areas_csv(found))).drag_areas()
    assert list(back.columns) == list(there.columns)
    assert back.set_up.tolist() == there.set_up.tolist() == [name] * len(there)
    for column, close in (("speed", 6e-4), ("yaw", 1e-4), ("drag_area", 6e-7), ("sd", 6e-7), ("runs", 0)):
        assert back[column].to_numpy() == pytest.approx(there[column].to_numpy(), abs=close, nan_ok=True)


def test_the_demo_table_reads_back(demo):
    back = read_sheet(io.StringIO(drag_areas_csv(demo))).drag_areas()
    assert back.drag_area.to_numpy() == pytest.approx(demo.drag_areas().drag_area.to_numpy(), abs=6e-7)


def test_a_table_that_is_not_clear_is_refused_in_words_or_named():
    header = "set-up,speed [m/s],yaw [deg],drag area [m2],spread [m2],runs\n"
    with pytest.raises(SheetError, match="neither drag nor drag area"):
        read_sheet(io.StringIO("set-up,runs\nA,1\n"))
    for line, words in (("A,10,0,x,,1\n", "'x' is not a number"), ("A,10.0,0\n", "the row has 3 cells")):
        (fault,) = read_sheet(io.StringIO(header + line)).faults
        assert words in fault.what


@pytest.mark.parametrize("ask", [yaw_bands, lambda s, c: drift(s, confidence=c),
                                 lambda s, c: speed_dependence(s, "hoods", c),
                                 lambda s, c: savings_at_speeds(s, "hoods", [10.0], confidence=c)])  # fmt: skip
def test_a_level_in_percent_is_refused(demo, ask):
    with pytest.raises(ValueError, match="Is it in percent"):
        ask(demo, 95)


# -- the derivation that notebook 04 shows ------------------------------------------------------------


def test_the_derivation_gives_the_library_its_numbers():
    steps = steps_of("drag_area")
    values = {"F": 33.0, "F_0": 2.5, "rho": 1.2, "v_a": 12.5}
    area = area_from_force(values["F"] - values["F_0"], 1.2, 12.5)
    assert number(steps[1].right, **values) == pytest.approx(area, rel=1e-12)
    # Relative slopes against small changes of the library's own function.
    for step, (name, change) in zip(steps[2:6], (("F", 1e-5), ("F_0", 1e-5), ("rho", 1e-6), ("v_a", 1e-6))):
        moved = values | {name: values[name] + change}
        there = area_from_force(moved["F"] - moved["F_0"], moved["rho"], moved["v_a"])
        assert number(step.right, **values) == pytest.approx((there / area - 1) / change, rel=1e-4)
    budget = propagate(area_from_force, [30.5, 1.2, 12.5], [0.1, 0.0024, 0.05])
    by_hand = np.linalg.norm([0.1 / 30.5, 0.002, 2 * 0.004])
    assert budget.standard_uncertainty / area == pytest.approx(by_hand, rel=1e-4)
