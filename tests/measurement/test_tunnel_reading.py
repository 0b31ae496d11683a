"""What the reader of a tunnel sheet finds: tares of the empty stand, units, slips, where numbers stand."""

import csv
import io
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tunnel_sheets import AREA_A_NEWTON, PLAIN, in_order, repeats, sheet, text

from dragwork.measurement.tunnel import SheetError, read_sheet
from dragwork.measurement.tunnel_checks import apart_limit
from dragwork.physics.air import density
from dragwork.units import celsius, deg, hectopascal, percent

EMPTY = {"set-up": "empty stand", "drag": "2", "temperature [degC]": "", "humidity [%]": ""}


# -- the empty stand ----------------------------------------------------------------------------------


def test_one_reading_of_the_stand_serves_its_speed_and_yaw():
    runs = [{"yaw [deg]": y, "tare": "", "repeat": n} for y in ("0", "10") for n in "12"]
    stand = [{**EMPTY, "yaw [deg]": "0"}, {**EMPTY, "yaw [deg]": "10", "drag": "2.5"}]
    found = sheet(*stand, *runs)
    assert found.faults == () and found.set_ups == ("A",)
    assert found.rows.tare.tolist() == [2, 2, 2.5, 2.5]
    assert found.rows.tare_rows.tolist() == [(2,), (2,), (3,), (3,)]
    assert set(found.rows.tare_column) == {"drag"}
    assert found.stand.drag.tolist() == [2, 2.5]
    assert "the tares of 4 runs are the readings of the empty stand" in found.notes[1]
    assert "rows 2, 3" in found.notes[1]


def test_a_reading_of_the_stand_does_not_replace_a_tare_that_is_there():
    found = sheet({**EMPTY, "drag": "2.2"}, {"repeat": "1"}, {"repeat": "2", "tare": ""})
    assert found.rows.tare.tolist() == [2, 2.2]
    assert found.rows.tare_rows.tolist() == [(3,), (2,)]


def test_two_readings_of_the_stand_are_averaged_and_both_named():
    found = sheet({**EMPTY, "drag": "2.2"}, {**EMPTY, "drag": "2.4"}, {"tare": ""})
    assert found.rows.tare[0] == pytest.approx(2.3)
    assert found.rows.tare_rows[0] == (2, 3)


@pytest.mark.parametrize("other", [{"speed [m/s]": "12"}, {"yaw [deg]": "5"}, {"axis": "wind"}])
def test_the_stand_at_another_speed_yaw_or_axis_does_not_serve(other):
    (fault,) = sheet({**EMPTY, **other}, {"tare": ""}).faults
    assert (fault.row, fault.column) == (3, "tare")
    assert "no reading of the empty stand fits 36.0 km/h and 0 deg" in fault.what


def test_a_reading_of_the_stand_at_fault_does_not_serve():
    found = sheet({**EMPTY, "drag": "two"}, {"tare": ""})
    assert [(f.row, f.column) for f in found.faults] == [(2, "drag"), (3, "tare")]
    assert found.stand.empty and not found.rows.used.any()


def test_a_small_table_of_tares_above_or_below_the_runs():
    runs = text([{"tare": "", "repeat": n} for n in "12"])
    table = "speed [m/s],yaw [deg],tare [g]\n10,0,203.943\n"
    for content, row in ((table + "\n" + runs, 2), (runs + "\n" + table, 6)):
        found = read_sheet(io.StringIO(content))
        assert found.faults == ()
        assert found.rows.tare.tolist() == pytest.approx([2, 2], rel=1e-5)
        assert found.rows.tare_rows.tolist() == [(row,), (row,)]
        assert set(found.rows.tare_column) == {"tare [g]"}


def test_a_table_of_tares_may_be_all_there_is():
    lines = [line.split(",") for line in text([{}]).splitlines()]
    kept = [i for i, name in enumerate(lines[0]) if name not in ("tare", "tare unit")]
    runs = "\n".join(",".join(line[i] for i in kept) for line in lines)
    found = read_sheet(io.StringIO(f"{runs}\n\nspeed [km/h],yaw [deg],tare [N]\n36,0,2\n"))
    assert found.faults == () and found.rows.drag_area[0] == pytest.approx(18 * AREA_A_NEWTON, rel=1e-4)
    with pytest.raises(SheetError, match="lacks the column tare.*'empty stand'"):
        read_sheet(io.StringIO(runs))


def test_wind_axes_take_the_side_force_of_the_stand_too():
    """25 N along the stream and 5 N across, at a 3-4-5 angle: 17 N along the bicycle."""
    angle = {"yaw [deg]": "36.86989764584402", "axis": "wind"}
    stand = {**EMPTY, **angle, "side force [N]": "0.5"}
    found = sheet(stand, {**angle, "tare": "", "drag": "27", "side force [N]": "5.5"})
    assert found.faults == ()
    assert found.rows.drag_area[0] == pytest.approx(17 * AREA_A_NEWTON, rel=1e-4)


# -- units --------------------------------------------------------------------------------------------


def test_a_unit_that_disagrees_with_its_heading_is_named():
    found = read_sheet(io.StringIO(text([{}, {"drag unit": "g", "repeat": "2"}]).replace(",drag,", ",drag [N],")))
    (fault,) = found.faults
    assert (fault.row, fault.column) == (3, "drag unit")
    assert fault.what == "g does not agree with the heading, drag [N]."


def test_a_unit_that_nothing_says_is_refused():
    content = text([{}]).replace(",tare unit,", ",gear,")
    with pytest.raises(SheetError, match=r"Nothing says the unit of 'tare'.*tare \[N\]"):
        read_sheet(io.StringIO(content))


def test_a_tare_whose_unit_is_missing_is_named():
    (fault,) = sheet({}, {"tare unit": "", "repeat": "2"}).faults
    assert (fault.row, fault.column, fault.what) == (3, "tare unit", "is empty.")


# -- what is taken for granted stands among the notes -------------------------------------------------


def test_what_the_sheet_does_not_say_is_a_remark():
    content = text([{}, {}]).replace("order,", "gear,").replace("station pressure", "pressure")
    remarks = " ".join(read_sheet(io.StringIO(content)).notes)
    assert "no column 'order'" in remarks
    assert "'pressure [hPa]' was taken as the pressure at the tunnel" in remarks
    assert "columns that were not read: gear" in remarks
    assert not [note for note in sheet({}, {"repeat": "2", "order": "2"}).notes if "Remark" in note]


# -- every number used stands in the file -------------------------------------------------------------

numbers = st.floats(20, 45).map(lambda x: f"{x:.2f}")


@settings(max_examples=25)
@given(st.data())
def test_every_number_used_stands_at_the_row_and_column_that_the_table_names(data):
    """Drag areas worked out from the file's own cells, wherever the tare comes from."""
    mark, decimal = data.draw(st.sampled_from([(",", "."), (";", ","), ("\t", ".")]))
    lost = data.draw(st.lists(st.booleans(), min_size=6, max_size=6))
    rows = [{**EMPTY, "yaw [deg]": y, "drag": t} for y, t in (("0", "2.1"), ("10", "2.3"))]
    rows += [
        {"yaw [deg]": y, "drag": data.draw(numbers), "repeat": str(n), "tare": "" if gone else t}
        for (y, t, n), gone in zip(
            ((y, t, n) for y, t in (("0", "2.1"), ("10", "2.3")) for n in range(1, 4)), lost
        )
    ]
    order = data.draw(st.permutations(rows))
    content = "a note\n\n" + text(order, delimiter=mark).replace(".", decimal)
    found = read_sheet(io.StringIO(content))
    lines = list(csv.reader(io.StringIO(content), delimiter=mark))
    header = next(line for line in lines if "set-up" in line)

    def cell(row, heading):
        return float(lines[row - 1][header.index(heading)].replace(",", "."))

    assert len(found.rows) == 6
    for run in found.rows[found.rows.used].itertuples():
        rho = density(
            celsius(cell(run.row, found.headings["temperature"])),
            hectopascal(cell(run.row, found.headings["pressure"])),
            percent(cell(run.row, found.headings["relative_humidity"])),
        )
        tare = np.mean([cell(row, run.tare_column) for row in run.tare_rows])
        force = cell(run.row, found.headings["drag"]) - tare
        speed = cell(run.row, found.headings["speed"])
        assert run.drag_area == pytest.approx(force / (0.5 * rho * speed**2), rel=1e-12)
        assert run.yaw == pytest.approx(deg(cell(run.row, found.headings["yaw"])))


# -- slips that leave a likely number -----------------------------------------------------------------


def day(change=None, place=4):
    """Two set-ups, two angles, three repeats, nothing amiss but for one changed row."""
    rng = np.random.default_rng(5)
    rows = [
        row
        for name, area in (("A", 0.30), ("B", 0.28))
        for yaw in ("0", "10")
        for row in repeats(area + 0.001 * rng.standard_normal(3), **{"set-up": name, "yaw [deg]": yaw})
    ]
    rows = in_order(rows)
    rows[place] |= change or {}
    return sheet(*rows)


def test_a_day_with_nothing_amiss():
    assert day().faults == ()


@pytest.mark.parametrize(
    ("change", "column", "words"),
    [
        ({"temperature [degC]": "28"}, "temperature [degC]", "is 28 degC; the runs around it say 20 degC"),
        ({"station pressure [hPa]": "1031.25"}, "station pressure [hPa]", "say 1013.25 hPa"),
        ({"humidity [%]": "80"}, "humidity [%]", "is 80 %; the runs around it say 50 %"),
        ({"tare": "2.4"}, "tare", "is 2.4 N; the other runs at \\+10 deg say 2 N"),
        ({"drag": "23"}, "drag", "its repeats 0.3.* m2 .rows 5 and 7.: too far apart"),
        ({"speed [m/s]": "10.6"}, "speed [m/s]", "10.6 m/s .38.16 km/h. was run once"),
    ],
)
def test_a_likely_number_that_does_not_fit_is_named(change, column, words):
    found = day(change)
    (fault,) = found.faults
    assert (fault.row, fault.column) == (6, column)
    assert re.search(words, fault.what), fault.what
    assert found.rows.row[~found.rows.used].tolist() == [6]


def test_two_repeats_far_apart_are_both_named():
    rows = [*repeats([0.30, 0.36]), *repeats([0.300, 0.301, 0.302] * 3, **{"set-up": "B"})]
    rows = [{**row, "repeat": str(i)} for i, row in enumerate(rows)][1:]
    found = sheet(*in_order([{**repeats([0.30])[0], "repeat": "99"}, *rows]))
    (fault,) = found.faults
    assert fault.rows == (2, 3) and "too far apart" in fault.what


def test_weather_that_wanders_all_day_is_no_slip():
    rng = np.random.default_rng(1)
    rows = [{"repeat": str(n), "temperature [degC]": f"{t:.1f}"} for n, t in
            enumerate(rng.uniform(5, 30, 20), start=1)]  # fmt: skip
    assert not [f for f in sheet(*rows).faults if "temperature" in f.column]


def test_weather_that_warms_steadily_or_jumps_over_lunch_is_no_slip():
    for temperatures in (np.linspace(15, 27, 18), np.repeat([18, 26], 9)):
        rows = [{"repeat": str(n), "temperature [degC]": f"{t:.1f}"} for n, t in enumerate(temperatures, 1)]
        assert not [f for f in sheet(*rows).faults if "temperature" in f.column]


def test_the_limit_for_repeats_keeps_its_promise():
    """Against pure chance: 36 cells of three, limit set loosely enough to be counted."""
    rng = np.random.default_rng(9)
    chance = rng.standard_normal((3000, 36, 3))
    gaps = np.abs(chance - chance.mean(axis=2, keepdims=True)) * 1.5
    limit = apart_limit(108, 3, 10_000, 0.05)  # spread as good as known
    alarms = (gaps > limit).any(axis=(1, 2)).mean()
    assert 0.035 < alarms < 0.065  # 3000 sheets: standard error 0.004


def test_plain_has_every_column_that_is_needed():
    assert read_sheet(io.StringIO(",".join(PLAIN) + "\n" + ",".join(PLAIN.values()))).faults == ()
