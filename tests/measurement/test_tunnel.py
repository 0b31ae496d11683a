"""Drag areas, curves, draws and differences from a sheet that is in order."""

import csv
import io
from dataclasses import replace

import numpy as np
import published
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.optimize import brentq
from tunnel_sheets import AREA_A_NEWTON, in_order, repeats, sheet, text

from dragwork.measurement.tunnel import SharedErrors, SheetError, compare, read_sheet
from dragwork.physics.air import density
from dragwork.scenario import data_file
from dragwork.scenario.barrow_lane import SET_UPS, bl7
from dragwork.units import celsius, deg, hectopascal, kmh, percent

NOTHING_SHARED = SharedErrors(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
STANDARD_GRAVITY = 9.80665


@pytest.fixture(scope="module")
def demo():
    return bl7()


def moist_air(T, p, h):
    """Density by a reference library, which counts volume and water by the kilogram of dry air."""
    from CoolProp.CoolProp import HAPropsSI  # takes seconds to load

    volume, water = (HAPropsSI(of, "T", T, "P", p, "R", h) for of in "VW")
    return (1 + water) / volume


def only_area(*rows):
    found = sheet(*rows)
    assert found.faults == ()
    return found.rows.drag_area.to_numpy()


# -- one row ------------------------------------------------------------------------------------------


def test_a_row_worked_by_hand():
    (record,) = published.for_test("test_a_row_worked_by_hand")
    day, rho = record.inputs, record.inputs["air_density"]
    p = brentq(lambda p: moist_air(293.15, p, 0.5) - rho, 95e3, 105e3)
    row = {"speed [km/h]": str(day["speed"][0]), "speed [m/s]": "13.89",
           "drag": str(day["drag"]), "tare": str(day["tare"]),
           "station pressure [hPa]": f"{p / 100:.2f}"}  # fmt: skip
    record.assert_close(only_area(row)[0])


def test_density_comes_from_the_weather_of_the_row():
    (record,) = published.for_test("test_density_comes_from_the_weather_of_the_row")
    rng = np.random.default_rng(2)
    (t, p, h) = (rng.uniform(*record.inputs[name][0], 30) for name in
                 ("temperature", "pressure", "relative_humidity"))  # fmt: skip
    rows = [
        {"temperature [degC]": f"{a:.3f}", "station pressure [hPa]": f"{b:.3f}", "humidity [%]": f"{c:.3f}"}
        for a, b, c in zip(t, p, h)
    ]
    rho = np.array([moist_air(a + 273.15, b * 100, c / 100) for a, b, c in zip(t, p, h)])
    found = sheet(*[{**row, "repeat": str(i)} for i, row in enumerate(rows, start=1)]).rows
    expected = (20 - 2) / (0.5 * rho * 10**2)
    assert found.drag_area.to_numpy() == pytest.approx(expected, rel=record.tolerance)


def test_force_units():
    in_newtons = only_area({"drag": "19.6133", "tare": "1.96133"})[0]  # 2 kgf, 0.2 kgf
    for drag, drag_unit in (("2000", "g"), ("2", "kgf"), ("2000", "gf"), ("2", "KGF")):
        for tare, tare_unit in (("200", "g"), ("0.2", "kgf"), ("1.96133", "N")):
            row = {"drag": drag, "drag unit": drag_unit, "tare": tare, "tare unit": tare_unit}
            assert only_area(row)[0] == pytest.approx(in_newtons, rel=1e-12)
    assert in_newtons == pytest.approx(1.8 * STANDARD_GRAVITY * AREA_A_NEWTON, rel=1e-4)


def test_wind_axes_are_turned_to_the_bicycle():
    """A 3-4-5 triangle: 25 N along the stream and 5 N across are 25 x 0.8 - 5 x 0.6 = 17 N."""
    angle = {"yaw [deg]": "36.86989764584402"}
    row = {**angle, "axis": "wind", "drag": "27", "side force [N]": "5.5", "side tare [N]": "0.5"}
    body = {**angle, "drag": "19"}
    assert only_area(row)[0] == pytest.approx(only_area(body)[0], rel=1e-12)
    grams = {**angle, "axis": "wind", "drag": "27", "side force [g]": repr(5500 / STANDARD_GRAVITY),
             "side tare [g]": repr(500 / STANDARD_GRAVITY)}  # fmt: skip
    assert only_area(grams)[0] == pytest.approx(only_area(body)[0], rel=1e-12)


def test_wind_axes_at_yaw_0_need_no_side_force():
    assert only_area({"axis": "wind"})[0] == only_area({})[0]


@pytest.mark.parametrize("lacks", ["side force [N]", "side tare [N]"])
def test_wind_axes_without_side_force_are_a_fault(lacks):
    row = {"yaw [deg]": "10", "axis": "wind", "side force [N]": "5", "side tare [N]": "1", lacks: ""}
    (fault,) = sheet(row).faults
    assert (fault.row, fault.column) == (2, "axis")
    assert "side force" in fault.what and "body axes" in fault.mend


def test_either_column_of_speed_will_do():
    metres = text([{}])
    kilometres = metres.replace("speed [m/s]", "speed [km/h]").replace(",10,", ",36,", 1)
    found = read_sheet(io.StringIO(kilometres))
    assert found.rows.drag_area[0] == pytest.approx(only_area({})[0], rel=1e-12)
    with pytest.raises(SheetError, match=r"no speed with its unit.*speed \[m/s\] or speed \[km/h\]"):
        read_sheet(io.StringIO(metres.replace("speed [m/s]", "fan")))


@given(
    st.floats(0.15, 0.8), st.floats(3, 40), st.floats(0, 20), st.floats(0.75, 1.1),
    st.floats(-20, 40), st.floats(0, 100),
)  # fmt: skip
def test_a_drag_area_comes_back(area, speed, tare, atmospheres, temperature, humidity):
    """The force of a known drag area, written down, gives that drag area."""
    weather = celsius(temperature), atmospheres * 101325, percent(humidity)
    drag = tare + area * 0.5 * density(*weather) * speed**2
    row = {
        "speed [m/s]": repr(speed), "drag": repr(float(drag)), "tare": repr(tare),
        "temperature [degC]": repr(temperature), "humidity [%]": repr(humidity),
        "station pressure [hPa]": repr(atmospheres * 1013.25),
    }  # fmt: skip
    assert only_area(row)[0] == pytest.approx(area, rel=1e-9)


# -- the table and the curves -------------------------------------------------------------------------


def test_every_number_used_stands_in_the_file_at_the_row_named(demo):
    lines = list(csv.reader(io.StringIO(data_file("BL-7.csv").read_text(encoding="utf-8"))))
    header = next(line for line in lines if "set-up" in line)
    for run in demo.rows.itertuples():
        cells = dict(zip(header, lines[run.row - 1]))
        force = float(cells["drag"]) * (STANDARD_GRAVITY / 1000 if cells["drag unit"] == "g" else 1)
        rho = density(
            celsius(float(cells["temperature [degC]"])),
            hectopascal(float(cells["station pressure [hPa]"])),
            percent(float(cells["humidity [%]"])),
        )
        area = (force - float(cells["tare"])) / (0.5 * rho * float(cells["speed [m/s]"]) ** 2)
        assert run.drag_area == pytest.approx(area, rel=1e-12)
        assert (run.set_up, run.photo) == (cells["set-up"], cells["photo"])


def test_table_of_drag_areas(demo):
    table = demo.drag_areas()
    assert list(table.columns) == ["set_up", "speed", "yaw", "drag_area", "sd", "runs"]
    assert len(table) == 36 and (table.runs == 3).all()
    assert list(table.set_up.unique()) == list(SET_UPS) == list(demo.set_ups)
    assert np.round(table.speed.unique() * 3.6).tolist() == [36, 45, 54]
    assert np.round(np.rad2deg(table.yaw.unique())).tolist() == [-10, 0, 5, 10]


def test_mean_and_spread_of_a_cell():
    areas = [0.300, 0.304, 0.302, 0.306]
    (cell,) = sheet(*repeats(areas)).drag_areas().itertuples()
    assert cell.drag_area == pytest.approx(np.mean(areas), rel=1e-4)
    assert cell.sd == pytest.approx(np.std(areas, ddof=1), rel=1e-3)
    assert cell.runs == 4


def test_a_single_run_has_no_spread():
    (cell,) = sheet({}).drag_areas().itertuples()
    assert np.isnan(cell.sd) and cell.runs == 1


def test_runs_near_one_setting_share_a_cell():
    wobble = [{"speed [m/s]": v, "yaw [deg]": y, "repeat": n} for v, y, n in
              (("10.03", "5.1", "1"), ("9.98", "4.9", "2"), ("10.01", "5", "3"))]  # fmt: skip
    (cell,) = sheet(*wobble, {"speed [m/s]": "10.5", "yaw [deg]": "5"}).drag_areas()[:1].itertuples()
    assert (cell.runs, cell.speed) == (3, 10.01)
    assert cell.yaw == pytest.approx(deg(5))


def test_yaw_curve_is_the_mean_over_speeds_of_the_means_over_repeats():
    rows = [
        *repeats([0.300, 0.302], **{"yaw [deg]": "0"}),
        *repeats([0.310, 0.312], **{"yaw [deg]": "-10"}),
        *repeats([0.320], **{"yaw [deg]": "10"}),
    ]
    faster = {"speed [m/s]": "20", "drag": repr(8 + 0.298 / AREA_A_NEWTON * 4), "tare": "8"}
    curve = sheet(*rows, faster).yaw_curve("A")
    assert np.rad2deg(curve.yaw) == pytest.approx([-10, 0, 10])
    assert curve.drag_area == pytest.approx([0.311, 0.2995, 0.320], rel=2e-4)  # (0.301 + 0.298)/2


def test_row_is_the_line_that_a_spreadsheet_shows():
    notes = ["A day in the tunnel", "", "second note"]
    content = text([{"repeat": "1"}, {"repeat": "2", "tare": ""}], notes=notes)
    blank_line_between = content.replace("\n1,A,2", "\n\n1,A,2")
    found = read_sheet(io.StringIO(blank_line_between))
    assert found.rows.row.tolist() == [5, 7]
    assert [fault.row for fault in found.faults] == [7]
    assert found.notes[:2] == ("A day in the tunnel", "second note")


def test_a_quoted_remark_of_two_lines_is_one_row():
    rows = [{"remarks": '"gust,\nrider moved"', "repeat": "1"}, {"repeat": "2"}]
    assert sheet(*rows).rows.row.tolist() == [2, 3]


# -- differences --------------------------------------------------------------------------------------


def two_set_ups(a, b):
    rows = in_order([*repeats(a, **{"set-up": "A"}), *repeats(b, **{"set-up": "B"})])
    return read_sheet(io.StringIO(text(rows)), NOTHING_SHARED)


def test_compare_is_students_two_sample_interval():
    (record,) = published.for_test("test_compare_is_students_two_sample_interval")
    rng = np.random.default_rng(4)
    low, high = record.inputs["runs"]
    for n_a, n_b, confidence in ((low, high, 0.95), (high, high, 0.8), (low, low, 0.99)):
        a, b = rng.normal(0.30, 0.004, n_a), rng.normal(0.29, 0.004, n_b)
        b = 0.29 + (b - b.mean()) * a.std(ddof=1) / b.std(ddof=1)  # neither is wilder
        content = text([*repeats(a, **{"set-up": "A"}), *repeats(b, **{"set-up": "B"})])
        found = read_sheet(io.StringIO(content), NOTHING_SHARED)
        used = found.rows.groupby("set_up").drag_area
        expected = stats.ttest_ind(*(used.get_group(name) for name in "AB"), equal_var=True)
        interval = expected.confidence_interval(confidence)
        difference = compare(found, "A", "B", confidence=confidence)
        assert [difference.low, difference.high] == pytest.approx(list(interval), rel=record.tolerance)
        assert difference.degrees_of_freedom == pytest.approx(expected.df, rel=record.tolerance)
        assert difference.difference == pytest.approx(np.mean(a) - np.mean(b), rel=2e-3)
        assert difference.confidence == confidence


def test_two_runs_each_decide_nothing():
    (record,) = published.for_test("test_two_runs_each_decide_nothing")
    apart, s = record.inputs["difference"], record.inputs["spread"]
    half = s / np.sqrt(2)  # two values this far either side of their mean have that spread
    found = two_set_ups([0.304 - half, 0.304 + half], [0.304 - apart - half, 0.304 - apart + half])
    difference = compare(found, "A", "B")
    assert difference.difference == pytest.approx(apart, rel=1e-3)
    record.assert_close((difference.high - difference.low) / 2)
    assert difference.low < 0 < difference.high


def test_difference_changes_sign_with_the_order_of_the_names(demo):
    there, back = compare(demo, "hoods", "clip-ons"), compare(demo, "clip-ons", "hoods")
    assert there.difference == -back.difference > 0
    assert (there.low, there.high) == (-back.high, -back.low)


def test_shared_errors_scale_the_difference_alone():
    """2 % shared by both is 2 % of their difference, far less than 2 % of either."""
    rows = [*repeats([0.320] * 3, **{"set-up": "A"}), *repeats([0.304] * 3, **{"set-up": "B"})]
    found = read_sheet(io.StringIO(text(rows)), SharedErrors(0.02, 0.0, 0.0, sitting=0.0, drift=0.0))
    difference = compare(found, "A", "B")
    assert difference.standard_uncertainty == pytest.approx(0.02 * 0.016, rel=1e-3)
    assert difference.degrees_of_freedom == pytest.approx(np.inf)
    assert SharedErrors(0.003, 0.004, 0.002).of_drag_area == pytest.approx(
        np.sqrt(0.003**2 + 0.002**2 + (2 * 0.004) ** 2)
    )


def test_between_two_angles_the_difference_lies_on_the_straight_line(demo):
    at = [compare(demo, "hoods", "time-trial", deg(yaw)) for yaw in (5, 7.5, 10)]
    assert at[1].difference == pytest.approx((at[0].difference + at[2].difference) / 2, rel=1e-9)
    # A mean of two is at most as unsure as the more unsure of them.
    most = max(at[0].standard_uncertainty, at[2].standard_uncertainty)
    assert at[1].standard_uncertainty <= most


def test_gap_grows_in_a_crosswind(demo):
    gaps = [compare(demo, "hoods", "time-trial", deg(yaw)).low for yaw in (0, 10)]
    assert gaps[1] - gaps[0] > 0.01


# -- draws --------------------------------------------------------------------------------------------


def test_draws_follow_students_t():
    (record,) = published.for_test("test_draws_follow_students_t")
    areas = [0.300, 0.306, 0.303, 0.307]
    found = read_sheet(io.StringIO(text(repeats(areas))), NOTHING_SHARED)
    mean, s = found.rows.drag_area.mean(), found.rows.drag_area.std(ddof=1)
    drawn = found.draws(200_000, 1)["A"](0.0)
    probabilities = record.inputs["probabilities"]
    expected = stats.t(3, mean, s / 2).ppf(probabilities)
    assert np.quantile(drawn, probabilities) == pytest.approx(expected, abs=record.tolerance * s / 2)


def test_shared_errors_cancel_in_draws_of_a_difference():
    rows = [*repeats([0.320] * 3, **{"set-up": "A"}), *repeats([0.304] * 3, **{"set-up": "B"})]
    found = read_sheet(io.StringIO(text(rows)), SharedErrors(0.02, 0.0, 0.0, 0.0, 0.0, 0.0))
    drawn = found.draws(20_000, 3)
    a, b = drawn["A"](0.0), drawn["B"](0.0)
    assert a / b == pytest.approx(np.full(20_000, 0.320 / 0.304), rel=1e-5)
    assert np.std(np.log(a)) == pytest.approx(0.02, rel=0.02)  # four standard errors of 20,000


def test_the_tares_error_cancels_in_draws_of_a_difference_at_one_yaw():
    rows = [
        {**row, "yaw [deg]": yaw}
        for yaw in ("0", "10")
        for name, area in (("A", 0.320), ("B", 0.304))
        for row in repeats([area] * 3, **{"set-up": name})
    ]
    found = read_sheet(io.StringIO(text(rows)), SharedErrors(0.0, 0.0, 0.0, 0.001, 0.0, 0.0))
    drawn = found.draws(20_000, 3)
    for yaw in deg(np.array([0, 10])):
        a, b = drawn["A"](yaw), drawn["B"](yaw)
        assert a - b == pytest.approx(np.full(20_000, 0.016), rel=2e-4)
        assert np.std(a) == pytest.approx(0.001, rel=0.02)  # four standard errors of 20,000
    both = np.corrcoef(drawn["A"](0.0), drawn["A"](deg(10)))[0, 1]
    assert abs(both) < 0.03  # each angle has a tare of its own


# -- passes: each time the rider takes up a set-up anew -----------------------------------------------


def at_speed(area, speed):
    """Cells of a run at another speed: drag and tare as the pressure of the air has them."""
    q = (speed / 10) ** 2
    return {"speed [m/s]": str(speed), "tare": repr(2 * q),
            "drag": repr(float((2 + area / AREA_A_NEWTON) * q))}  # fmt: skip


def passes_of(sittings, spread=0.0, runs=3, seed=0):
    """A sheet of three speeds: each set-up's passes lie at these areas, their runs about them."""
    rng = np.random.default_rng(seed)
    rows = []
    for name, areas in sittings.items():
        for number, area in enumerate(areas, start=1):
            for speed in (10, 14, 20)[:runs]:
                near = area + spread * rng.standard_normal()
                rows.append({"set-up": name, "repeat": str(number), **at_speed(near, speed)})
    return text(in_order(rows))


def test_the_passes_are_the_repeats_not_their_runs():
    """The exact answer is the two-sample t interval of the means of the passes."""
    sittings = {"A": [0.300, 0.304, 0.299], "B": [0.291, 0.287, 0.293]}
    found = read_sheet(io.StringIO(passes_of(sittings, spread=0.001)), NOTHING_SHARED)
    means = found.rows.groupby(["set_up", "repeat"]).drag_area.mean()
    expected = stats.ttest_ind(means["A"], means["B"])
    interval = expected.confidence_interval(0.95)
    got = compare(found, "A", "B")
    assert [got.low, got.high] == pytest.approx([interval.low, interval.high], rel=1e-9)
    assert got.degrees_of_freedom == pytest.approx(4) == pytest.approx(expected.df)
    drawn = found.draws(100_000, 2)
    ends = np.quantile(drawn["A"](0.0) - drawn["B"](0.0), [0.025, 0.975])
    assert ends == pytest.approx([got.low, got.high], abs=0.03 * got.standard_uncertainty)


def test_a_third_set_up_tells_of_the_spread_too():
    sittings = {"A": [0.300, 0.304, 0.299], "B": [0.291, 0.287, 0.293], "C": [0.270, 0.276, 0.272]}
    found = read_sheet(io.StringIO(passes_of(sittings)), NOTHING_SHARED)
    means = found.rows.groupby(["set_up", "repeat"]).drag_area.mean()
    expected = np.sqrt(np.mean([means[name].var(ddof=1) for name in "ABC"]) * (1 / 3 + 1 / 3))
    got = compare(found, "A", "B")
    assert got.standard_uncertainty == pytest.approx(expected, rel=1e-9)
    assert got.degrees_of_freedom == pytest.approx(6)


def test_two_passes_each_have_two_degrees_of_freedom_however_many_runs():
    found = read_sheet(
        io.StringIO(passes_of({"A": [0.300, 0.304], "B": [0.297, 0.299]}, spread=0.002)),
        NOTHING_SHARED,
    )
    got = compare(found, "A", "B")
    assert got.degrees_of_freedom == pytest.approx(2)
    half = (got.high - got.low) / 2
    assert half / got.standard_uncertainty == pytest.approx(4.303, abs=5e-4)  # any table of t


@pytest.mark.parametrize("angles", [([0, 10], [0, 5, 10]), ([0, 5, 10], [0, 10]), ([0, 10], [0, 10])])
def test_the_stand_counts_where_two_set_ups_were_run_at_different_angles(angles):
    """Each angle has a stand of its own, out by its own luck: drawn here, and read off by straight line."""
    stand, yaw = 0.002, 4.0
    rows = [
        row
        for areas, at, name in zip(([0.300, 0.304], [0.280, 0.283]), angles, "AB")
        for angle in at
        for row in repeats(areas, **{"yaw [deg]": str(angle), "set-up": name})
    ]
    file = text(in_order(rows))
    known, shared = (
        compare(read_sheet(io.StringIO(file), replace(NOTHING_SHARED, tare=tare)), "A", "B", deg(yaw))
        for tare in (0.0, stand)
    )
    errors = stand * np.random.default_rng(8).standard_normal((200_000, 3))  # at 0, 5 and 10 degrees
    a, b = (
        errors[:, np.isin([0, 5, 10], at)] @ [np.interp(yaw, at, one) for one in np.eye(len(at))] for at in angles
    )
    found = np.sqrt(shared.standard_uncertainty**2 - known.standard_uncertainty**2)
    assert found == pytest.approx(np.std(a - b), rel=0.01, abs=1e-9)


def test_a_run_left_out_does_not_move_the_curve_to_the_other_speeds():
    """Drag area 0.30 at 10 m/s and 0.28 at 20 m/s: the mean stays 0.29 with a run missing."""
    speeds = ((10, 0.30), (20, 0.28))
    rows = [{"repeat": n, **at_speed(area, v)} for n in "123" for v, area in speeds][:-1]
    assert sheet(*rows).yaw_curve("A")(0.0) == pytest.approx(0.29, rel=2e-4)


def test_an_angle_without_repeats_takes_the_spread_of_the_nearest_that_has_them():
    rows = [{**row, "yaw [deg]": "0"} for name, areas in
            {"A": [0.300, 0.304, 0.299], "B": [0.291, 0.287, 0.293]}.items()
            for row in repeats(areas, **{"set-up": name})]  # fmt: skip
    once = [{**row, "yaw [deg]": "10"} for name in "AB" for row in repeats([0.31], **{"set-up": name})]
    found = read_sheet(io.StringIO(text(rows + once)), NOTHING_SHARED)
    ahead, side = (compare(found, "A", "B", deg(yaw)) for yaw in (0, 10))
    assert side.degrees_of_freedom == pytest.approx(ahead.degrees_of_freedom)
    # one pass in place of the mean of three
    assert side.standard_uncertainty == pytest.approx(np.sqrt(3) * ahead.standard_uncertainty)
    assert found.draws(100, 1)["A"].shape == (100,)


def test_without_a_column_of_repeats_the_order_run_numbers_the_passes():
    written = passes_of({"A": [0.300, 0.304, 0.299], "B": [0.291, 0.287, 0.293]}, spread=0.001)
    lines = [line.split(",") for line in written.splitlines()]
    place = lines[0].index("repeat")
    bare = "\n".join(",".join(cell for i, cell in enumerate(line) if i != place) for line in lines)
    found, whole = (read_sheet(io.StringIO(t), NOTHING_SHARED) for t in (bare, written))
    assert any("no column 'repeat'" in note for note in found.notes)
    assert not any("no column 'repeat'" in note for note in whole.notes)
    assert found.faults == () and compare(found, "A", "B") == compare(whole, "A", "B")


def test_draws_and_compare_say_the_same(demo):
    drawn = demo.draws(40_000, 5)
    for a, b in (("hoods", "clip-ons"), ("clip-ons", "time-trial")):
        for yaw in deg(np.array([-10.0, 0.0, 2.5, 10.0])):
            expected = compare(demo, a, b, yaw)
            low, high = np.quantile(drawn[a](yaw) - drawn[b](yaw), [0.025, 0.975])
            unit = expected.standard_uncertainty  # an end of 40,000 draws: 2.6 % of it
            assert [low, high] == pytest.approx([expected.low, expected.high], abs=0.1 * unit)


def test_draws_have_the_shape_of_the_curves(demo):
    drawn = demo.draws(7, 2)
    assert list(drawn) == list(demo.set_ups)
    for set_up, curves in drawn.items():
        assert curves.shape == (7,)
        assert curves.yaw == pytest.approx(demo.yaw_curve(set_up).yaw)


def test_same_seed_same_draws(demo):
    def drawn(seed):
        return demo.draws(5, seed)["hoods"].drag_area

    assert np.array_equal(drawn(3), drawn(3))
    assert not np.array_equal(drawn(3), drawn(4))


@given(st.lists(st.floats(0.12, 0.85), min_size=2, max_size=5), st.integers(0, 99))
def test_drawn_drag_areas_are_positive_or_refused(areas, seed):
    found = sheet(*repeats(areas))
    try:
        drawn = found.draws(200, seed)["A"].drag_area
    except ValueError as refused:
        assert "nothing can be said" in str(refused)
        assert found.repeatability.s_r > 0.02
    else:
        assert drawn.shape == (200, 1) and np.all(drawn > 0)


def test_draws_of_a_hopeless_sheet_are_refused():
    """Forty means of two, each 1.3 of its standard deviations above 0: all of them are in two draws of a hundred."""
    cells = [repeats([0.11, 0.89], **{"set-up": f"S{number}"}) for number in range(40)]
    found = sheet(*(row for cell in cells for row in cell))
    with pytest.raises(ValueError, match=r"repeats are 0.55\d m² apart .* 40 degrees of freedom"):
        found.draws(100, 0)


# -- bad input ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda s: s.yaw_curve("drops"), "'drops' has no usable run here; .* hoods, clip-ons"),
        (lambda s: compare(s, "hoods", "drops"), "'drops' has no usable run"),
        (lambda s: compare(s, "hoods", "hoods"), "'hoods' was given twice"),
        (lambda s: compare(s, "hoods", "clip-ons", deg(15)), "15.0 degrees lies beyond"),
        (lambda s: compare(s, "hoods", "clip-ons", 10), "outside the allowed range"),
        (lambda s: compare(s, "hoods", "clip-ons", confidence=95), "Is it in percent?"),
        (lambda s: s.draws(0, 0), "n 0 must be a whole number from 1 to 1000000"),
        (lambda s: s.draws(2.5, 0), "n 2.5 must be a whole number"),
        (lambda s: s.draws(True, 0), "n True must be a whole number"),
        (lambda s: s.draws(10, -1), "seed -1 must be a whole number"),
        (lambda s: s.draws(10, "x"), "seed 'x' must be a whole number"),
        (lambda s: SharedErrors(balance_scale=0.3), "balance scale 0.3 is outside .* percent"),
        (lambda s: SharedErrors(speed=float("nan")), "speed nan is outside"),
        (lambda s: SharedErrors(air_density=-0.1), "air density −0.1 is outside"),
        (lambda s: SharedErrors(tare=0.5), "tare 0.5 m² is outside .* Is it a force"),
        (lambda s: SharedErrors(tare=float("nan")), "tare nan m² is outside"),
    ],
)
def test_bad_input_gets_a_sentence(demo, call, words):
    with pytest.raises(ValueError, match=words):
        call(demo)


def test_a_sheet_without_repeats_gives_areas_but_no_range():
    found = sheet({"set-up": "A"}, {"set-up": "B"})
    assert len(found.drag_areas()) == 2
    for ask in (lambda: found.draws(10, 0), lambda: compare(found, "A", "B")):
        with pytest.raises(ValueError, match="Nothing was repeated"):
            ask()


def test_a_sheet_without_a_usable_row_says_so():
    found = sheet({"tare": ""})
    assert found.set_ups == () and found.drag_areas().empty
    for ask in (lambda: found.draws(10, 0), lambda: found.repeatability):
        with pytest.raises(ValueError, match="no row of this sheet can be used"):
            ask()
    with pytest.raises(ValueError, match="'A' has no usable run here; set-ups that have: none"):
        found.yaw_curve("A")


def test_kmh_is_not_mistaken_for_metres():
    """36 in the column of m/s is out of step with 36 km/h: told, not used."""
    found = sheet({"speed [m/s]": "36", "speed [km/h]": "36"})
    (fault,) = found.faults
    assert fault.column == "speed [m/s]" and "129.6" in fault.what
    assert kmh(36) == 10 and not found.rows.used.any()
