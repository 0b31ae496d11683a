"""Faults: each slip is named at its row and column, and no other row is lost."""

import csv
import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tunnel_sheets import in_order, repeats, sheet

from dragwork.measurement.checks import FALSE_ALARMS_PER_SHEET
from dragwork.measurement.sheet_reading import Fault
from dragwork.measurement.tunnel import read_sheet
from dragwork.measurement.tunnel_checks import drift_limit
from dragwork.scenario import data_file
from dragwork.scenario.barrow_lane import bl7
from dragwork.units import deg

LINES = data_file("BL-7.csv").read_text(encoding="utf-8").splitlines()
HEADER = next(i for i, line in enumerate(LINES) if "set-up," in line)
NAMES = LINES[HEADER].split(",")
RUNS = [dict(zip(NAMES, line)) for line in csv.reader(LINES[HEADER + 1 :])]
FIRST_ROW = HEADER + 2
GRAVITY = 9.80665

SOUND = bl7()
some = settings(max_examples=6)  # a whole sheet is read in each
run_index = st.integers(0, len(RUNS) - 1)


def demo_with(changes):
    """BL-7 with cells changed: index of the run -> {column: text}."""
    out = io.StringIO()
    writer = csv.DictWriter(out, NAMES, lineterminator="\n")
    writer.writeheader()
    writer.writerows({**run, **changes.get(index, {})} for index, run in enumerate(RUNS))
    return read_sheet(io.StringIO("\n".join([*LINES[:HEADER], out.getvalue()])))


def assert_one_fault(found, index, column):
    """Exactly one fault, at that run's row and column; every other row is still in use."""
    (fault,) = found.faults
    assert (fault.row, fault.column) == (FIRST_ROW + index, column)
    assert fault.what and fault.mend
    assert found.rows.row[~found.rows.used].tolist() == [FIRST_ROW + index]


def in_newtons(run, name):
    return float(run[name]) * (GRAVITY / 1000 if run[f"{name} unit"] == "g" else 1)


def test_sound_sheet_has_no_fault():
    assert SOUND.faults == () and SOUND.rows.used.all() and len(SOUND.rows) == len(RUNS) == 108


def test_honest_grams_are_no_fault():
    (run,) = SOUND.rows[SOUND.rows.drag_unit == "g"].itertuples()
    assert run.used and 0.32 < run.drag_area < 0.34 and run.drag < 50


# -- units --------------------------------------------------------------------------------------------


@some
@given(run_index, st.sampled_from([("g", 1000), ("kgf", 1)]), st.sampled_from(["N", "g", "kgf"]))
def test_a_drag_under_another_unit_is_named(index, read_in, labelled):
    unit, size = read_in
    if unit == labelled:
        labelled = "N"
    number = in_newtons(RUNS[index], "drag") / GRAVITY * size
    found = demo_with({index: {"drag": f"{number:.4g}", "drag unit": labelled}})
    assert_one_fault(found, index, "drag unit")
    assert f"Were the unit {unit}, it would be 0.3" in found.faults[0].mend or (
        f"Were the unit {unit}, it would be 0.2" in found.faults[0].mend
    )


@some
@given(run_index)
def test_newtons_labelled_grams_are_named(index):
    number = in_newtons(RUNS[index], "drag")
    found = demo_with({index: {"drag": f"{number:.2f}", "drag unit": "g"}})
    assert_one_fault(found, index, "drag unit")
    assert "Were the unit N" in found.faults[0].mend


@some
@given(run_index, st.sampled_from(["g", "kgf"]))
def test_a_tare_under_another_unit_is_named(index, labelled):
    assert_one_fault(demo_with({index: {"tare unit": labelled}}), index, "tare")


@some
@given(run_index, st.sampled_from(["0", "", "27.5"]))
def test_a_tare_that_is_missing_or_slipped_is_named(index, written):
    assert_one_fault(demo_with({index: {"tare": written}}), index, "tare")


def test_a_tare_without_its_like_is_told_by_its_unit():
    row = {"drag": "20", "tare": "200"}  # 200 g, labelled N
    (fault,) = sheet(row).faults
    assert fault.column == "tare unit" and "Were the unit g, it would be 0.301 m2" in fault.mend


def test_the_same_slip_in_both_readings_is_told_by_the_drag():
    row = {"drag": "2000", "tare": "200"}  # both in grams, labelled N
    (fault,) = sheet(row).faults
    assert fault.column == "drag unit" and "Were the unit g, it would be 0.294 m2" in fault.mend


def test_a_slip_that_no_unit_explains_is_not_called_one():
    (fault,) = sheet({"drag": "90"}, {"repeat": "2"}, {"repeat": "3"}).faults
    assert fault.column == "drag" and "unit" in fault.mend and "Were" not in fault.mend


def test_an_absurd_reading_is_named_in_any_axes():
    for axis in ("body", "wind"):
        row = {"drag": "9e5", "drag unit": "kgf", "axis": axis, "yaw [deg]": "10",
               "side force [N]": "3", "side tare [N]": "1"}  # fmt: skip
        (fault,) = sheet(row).faults
        assert fault.column == "drag" and "no rider has that" in fault.what


# -- speeds -------------------------------------------------------------------------------------------


@some
@given(run_index, st.sampled_from(["speed [m/s]", "speed [km/h]"]), st.sampled_from([0.95, 1.05, 1.2]))
def test_speeds_that_disagree_are_named(index, column, factor):
    number = float(RUNS[index][column]) * factor
    assert_one_fault(demo_with({index: {column: f"{number:.2f}"}}), index, "speed [m/s]")


@some
@given(st.floats(7, 20), st.integers(1, 3), st.integers(1, 3))  # below, 1 % is less than the digits
def test_rounding_is_no_disagreement(speed, decimals, more):
    row = {"speed [m/s]": f"{speed:.{decimals}f}", "speed [km/h]": f"{speed * 3.6:.{more}f}",
           "drag": repr(2 + 0.18 * speed**2)}  # fmt: skip
    assert sheet(row).faults == ()


@given(st.floats(8, 25), st.integers(2, 3), st.integers(1, 2))
def test_rounding_to_miles_an_hour_is_no_disagreement(speed, decimals, more):
    """A mile is 1609.344 m exactly; a tenth of a mile an hour is more than a tenth of a kilometre."""
    row = {"speed [m/s]": f"{speed:.{decimals}f}", "speed [mph]": f"{speed / 0.44704:.{more}f}",
           "drag": repr(2 + 0.18 * speed**2)}  # fmt: skip
    assert sheet(row).faults == ()


@pytest.mark.parametrize(
    ("miles", "metres", "sound"),
    [("22.4", "10.04", True), ("22.4", "10.05", False), ("44.7", "20.01", True), ("44.7", "20.02", False)],
)
def test_what_rounding_to_miles_an_hour_does_not_explain_is_named(miles, metres, sound):
    """Beyond 0.05 mph and 0.005 m/s: 22.4 mph is 10.0137 m/s, and 44.7 mph is 19.9827 m/s."""
    assert (abs(float(miles) * 0.44704 - float(metres)) <= 0.05 * 0.44704 + 0.005) == sound
    drag = repr(2 + 0.18 * float(metres) ** 2)
    found = sheet({"speed [m/s]": metres, "speed [mph]": miles, "drag": drag}).faults
    assert [fault.column for fault in found] == ([] if sound else ["speed [m/s]"])


def test_speeds_that_disagree_are_told_in_the_unit_of_the_column():
    """10.3 m/s over 0.44704 m/s is 23.04 mph; 22.4 mph is 10.01 m/s."""
    (fault,) = sheet({"speed [m/s]": "10.3", "speed [mph]": "22.4"}).faults
    assert fault.what == "10.3 m/s is 23.04 mph, but 'speed [mph]' says 22.4."
    assert fault.mend.endswith("; 22.4 mph is 10.01 m/s.")


# -- signs and copies ---------------------------------------------------------------------------------

sideways = [i for i, run in enumerate(RUNS) if abs(int(run["yaw [deg]"])) == 10]


def same_place(run, index):
    other = RUNS[index]
    alike = all(run[name] == other[name] for name in ("set-up", "repeat"))
    return alike and abs(float(run["speed [m/s]"]) / float(other["speed [m/s]"]) - 1) < 0.03


def test_a_lost_sign_is_named_and_never_pinned_on_another_row():
    """Blocks are run angle by angle, so that a row's neighbours mostly tell where it belongs."""
    pinned = []
    for index in sideways[::3]:
        lost = str(-int(RUNS[index]["yaw [deg]"]))
        twins = [i for i in sideways if RUNS[i]["yaw [deg]"] == lost and same_place(RUNS[i], index)]
        found = demo_with({index: {"yaw [deg]": lost}})
        (fault,) = found.faults
        assert fault.column == "yaw [deg]" and FIRST_ROW + index in fault.rows
        assert "is there twice" in fault.what and "is missing" in fault.what
        assert set(fault.rows) <= {FIRST_ROW + i for i in (index, *twins)}
        assert found.rows.row[~found.rows.used].tolist() == sorted(fault.rows)
        pinned.append(len(fault.rows) == 1)
    assert np.mean(pinned) > 0.8


def test_a_lost_sign_between_both_angles_names_both_rows():
    """Both rows at 10 m/s and +10 deg were run between a +10 and a -10: nothing tells them apart."""
    forces = {"10": ("20", "2"), "20": ("80", "8"), "30": ("180", "18")}  # one drag area
    runs = [(0, "10"), (0, "20"), (0, "30"), (10, "20"), (10, "10"), (-10, "20"), (10, "10"), (10, "30")]
    rows = in_order(
        {"yaw [deg]": str(a), "speed [m/s]": v, "drag": forces[v][0], "tare": forces[v][1]}
        for a, v in runs
    )
    (fault,) = sheet(*rows).faults
    assert sorted(fault.rows) == [6, 8] and "nothing shows which" in fault.what


def test_a_lost_sign_in_an_order_by_chance_names_both_rows():
    angles = [10, 10, 0, -10, 0, 10, 10, 0, -10]  # the second is a -10 without its sign
    numbers = [1, 1, 1, 2, 2, 2, 3, 3, 3]
    rows = in_order({"yaw [deg]": str(a), "repeat": str(n)} for a, n in zip(angles, numbers))
    (fault,) = sheet(*rows).faults
    assert sorted(fault.rows) == [2, 3] and "nothing shows which" in fault.what
    assert not sheet(*rows).rows.used[:2].any()


@pytest.mark.parametrize("written", ["-5", "45", "0.5"])
def test_an_angle_that_nothing_else_was_run_at_is_named(written):
    at_five = next(i for i in range(108) if demo_with({}).rows.yaw[i] == pytest.approx(np.deg2rad(5)))
    found = demo_with({at_five: {"yaw [deg]": written}})
    assert_one_fault(found, at_five, "yaw [deg]")
    assert "was run once in the whole sheet" in found.faults[0].what
    assert np.rad2deg(found.yaw_curve("hoods").yaw) == pytest.approx([-10, 0, 5, 10])


def test_a_small_sheet_may_hold_single_angles():
    angles = ["0", "0", "0", "5", "10"]
    rows = in_order({"yaw [deg]": a, "repeat": str(n)} for n, a in enumerate(angles, 1))
    assert not sheet(*rows).faults


def test_a_copied_row_takes_both_out_until_the_repeats_are_numbered():
    rows = in_order([{"repeat": "1"}, {"repeat": "2"}, {"repeat": "2"}, {"repeat": "3"}])
    (fault,) = sheet(*rows).faults
    assert fault.column == "repeat" and fault.rows == (3, 4)
    assert "appears 2 times, in rows 3 and 4" in fault.what


def test_a_sheet_of_one_side_only_has_no_lost_sign():
    rows = in_order({"yaw [deg]": a, "repeat": n} for n in "12" for a in ("0", "5", "10"))
    assert sheet(*rows).faults == ()


# -- drift --------------------------------------------------------------------------------------------


def cells_of(runs):
    places = {}
    for index, run in enumerate(runs):
        speed = round(float(run["speed [m/s]"]) * 2)
        places.setdefault((run["set-up"], speed, run["yaw [deg]"]), []).append(index)
    return list(places.values())


@some
@given(st.sampled_from(cells_of(RUNS)), st.sampled_from([-1, 1]))
def test_repeats_that_climb_or_fall_are_named(cell, way):
    spread = SOUND.repeatability.s_r
    changes = {}
    first = SOUND.rows.iloc[cell[0]]
    for step, index in enumerate(cell):
        run = SOUND.rows.iloc[index]
        area = first.drag_area + way * 4.5 * spread * step
        drag = area * run.dynamic_pressure + run.tare
        changes[index] = {"drag": f"{drag:.2f}", "drag unit": "N"}
    found = demo_with(changes)
    (fault,) = found.faults
    assert sorted(fault.rows) == [FIRST_ROW + index for index in cell]
    assert fault.column == "drag" and ("climb" if way > 0 else "fall") in fault.what
    assert found.rows.row[~found.rows.used].tolist() == sorted(fault.rows)


def test_drift_limit_keeps_its_promise():
    """Against pure chance: 36 cells of three, limit set loosely enough to be counted."""
    rng = np.random.default_rng(8)
    chance = rng.standard_normal((4000, 36, 3))
    climb = np.abs(chance[..., 2] - chance[..., 0])
    limit = drift_limit(36, 10_000, 0.05)  # spread as good as known
    alarms = (climb > limit).any(axis=1).mean()
    assert 0.035 < alarms < 0.065  # 4000 sheets: standard error 0.0034
    assert drift_limit(36, 70, FALSE_ALARMS_PER_SHEET) > 4 * np.sqrt(2) > 4  # beyond 4 SD of a climb, and so of a repeat


def test_two_repeats_are_never_called_a_drift():
    rows = in_order([*repeats([0.30, 0.34]), *repeats([0.30, 0.301, 0.299], **{"yaw [deg]": "5"})])
    assert sheet(*rows).faults == ()


# -- cells --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("column", "written", "words"),
    [
        ("yaw [deg]", "ten", "'ten' is not a number"),
        ("yaw [deg]", "95", "95 deg is outside the allowed range, -89 to 89 deg"),
        ("temperature [degC]", "", "is empty"),
        ("temperature [degC]", "293", "293 degC is outside the allowed range, -43.15 to 56.85 degC"),
        ("station pressure [hPa]", "101325", "outside the allowed range, 500 to 1150 hPa"),
        ("station pressure [hPa]", "200", "outside the allowed range, 500 to 1150 hPa"),
        ("humidity [%]", "150", "150 % is outside the allowed range, 0 to 100 %"),
        ("drag", "1.2.3", "'1.2.3' is not a number"),
        ("drag", "33 N", "'33 N' is not a number"),
        ("drag", "nan", "'nan' is not a number"),
        ("drag unit", "stone", "'stone' is not known here"),
        ("tare", "", "is empty"),
        ("axis", "sideways", "'sideways' is not known here"),
        ("repeat", "0", "0 is outside the allowed range, 1 to 100000"),
        ("order", "-3", "outside the allowed range"),
        ("set-up", "", "is empty"),
        ("wheels turning", "maybe", "'maybe' is not known here"),
        ("speed [m/s]", "0", "0 m/s is outside the allowed range, 1 to 45 m/s"),
    ],
)
def test_a_cell_that_is_not_clear_is_named(column, written, words):
    found = demo_with({5: {column: written}})
    assert_one_fault(found, 5, column)
    assert words in found.faults[0].what


def test_two_bad_cells_in_a_row_are_both_named():
    found = demo_with({5: {"tare": "", "yaw [deg]": "ten"}})
    assert [fault.column for fault in found.faults] == ["yaw [deg]", "tare"]
    assert (~found.rows.used).sum() == 1


@some
@given(run_index)
def test_a_fault_leaves_all_other_drag_areas_as_they_were(index):
    before, after = SOUND.rows, demo_with({index: {"tare": ""}}).rows
    kept = after.used.to_numpy()
    assert after.drag_area[kept].tolist() == before.drag_area[kept].tolist()


def test_curves_leave_faulty_rows_out():
    index = next(i for i, run in enumerate(RUNS) if run["yaw [deg]"] == "10")
    found = demo_with({index: {"tare": ""}})
    set_up = RUNS[index]["set-up"]
    rows = SOUND.rows[(SOUND.rows.set_up == set_up) & np.isclose(SOUND.rows.yaw, deg(10))]
    left = rows[rows.row != FIRST_ROW + index]
    expected = left.groupby("speed_setting").drag_area.mean().mean()
    assert found.yaw_curve(set_up)(deg(10)) == pytest.approx(expected, rel=1e-12)
    assert found.drag_areas().runs.sum() == 107


def test_a_fault_reads_as_a_sentence():
    fault = Fault(7, "tare", "is empty.", "Fill it in.", (9,))
    assert str(fault) == "Row 7, column 'tare': is empty. Fill it in."
    assert fault.rows == (7, 9)
