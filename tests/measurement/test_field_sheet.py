"""Reading a field sheet: laps in SI, faults in words, laps that are no test, pairs, damaged files."""

import io

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lap_sheets import ROW, heading, laps, sheet, text

from dragwork.measurement.field_sheet import SheetError, empty_sheet, read_laps, sort_out
from dragwork.measurement.roadtest import fit
from dragwork.physics.air import density
from dragwork.scenario import data_file

FULL = [{"mean speed [km/h]": v, "start speed [km/h]": v, "end speed [km/h]": v, "mean power [W]": p}
        for v, p in (("22", "90"), ("22", "85"), ("30", "170"), ("30", "160"), ("40", "340"), ("40", "320"))]  # fmt: skip


def test_a_lap_is_read_into_si():
    lap = sheet({}).laps.iloc[0]
    assert lap.speed == pytest.approx(10.0) and lap.start_speed == pytest.approx(10.0)
    assert lap.temperature == pytest.approx(288.15) and lap.pressure == pytest.approx(1e5)
    assert lap.air_density == pytest.approx(density(288.15, 1e5, 0.5))
    assert np.isnan(lap.head_wind) and lap.used


def test_other_units_and_marks_are_understood():
    changes = {"mean speed [km/h]": "36,0", "meter zero [W]": "−2"}
    assert sheet(changes, delimiter=";").laps.speed[0] == pytest.approx(10.0)
    assert sheet(changes, delimiter=";").laps.zero[0] == -2
    metres = text({}).replace("mean speed [km/h]", "Mean_Speed (m/s)").replace(",36,36,36,", ",36,36,10,")
    assert read_laps(io.StringIO(metres)).laps.speed[0] == pytest.approx(10.0)
    assert read_laps(io.BytesIO(b"\xef\xbb\xbf" + text({}).encode())).faults == ()
    assert sheet({}, notes="a note\nanother\n").notes == ("a note", "another")


@pytest.mark.parametrize(
    ("change", "column", "words"),
    [
        ({"mean power [W]": "much"}, "mean power [W]", "'much' is not a number"),
        ({"mean power [W]": ""}, "mean power [W]", "is empty"),
        ({"direction": "north"}, "direction", "Write out or back or loop"),
        ({"position": ""}, "position", "is empty"),
        ({"mean speed [km/h]": "360"}, "mean speed [km/h]", "outside the allowed range"),
        ({"humidity [%]": "150"}, "humidity [%]", "outside the allowed range"),
        ({"brake": "perhaps"}, "brake", "Write yes or no"),
        ({"head wind [m/s]": "99"}, "head wind [m/s]", "outside the allowed range"),
        ({"mean speed [km/h]": "10", "start speed [km/h]": "10", "end speed [km/h]": "10"},
         "mean speed [km/h]", "no rider's"),
        ({"lap": "1"}, "lap", "Lap 1 is in row 2 as well"),
    ],
)  # fmt: skip
def test_a_fault_names_row_and_column_in_words(change, column, words):
    found = sheet({}, change)
    (fault,) = found.faults
    assert (fault.row, fault.column) == (3, column)
    assert words in str(fault) and str(fault).startswith(f"Row 3, column '{column}'")
    assert not found.laps.used[1]


def test_a_file_that_is_no_field_sheet_is_refused_in_words():
    with pytest.raises(SheetError, match="The header lacks the column mean power"):
        read_laps(io.StringIO(text({}).replace("mean power [W]", "watts shown")))
    with pytest.raises(SheetError, match="No header was found"):
        read_laps(data_file("manifest.json"))
    with pytest.raises(SheetError, match="cannot be opened"):
        read_laps("no such file.csv")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"brake": "yes"}, "brakes"),
        ({"traffic": "Yes"}, "traffic"),
        ({"start speed [km/h]": "30", "end speed [km/h]": "40"}, "start and end speed"),
        ({"start speed [km/h]": "30", "end speed [km/h]": "30"}, "mean speed is far"),
        ({"mean power [W]": "3"}, "coasted"),
    ],
)
def test_a_lap_that_is_no_test_is_rejected_with_its_reason(change, words):
    found = sheet({}, change)
    assert found.faults == ()
    (lap,) = found.rejected
    assert (lap.row, lap.lap) == (3, "2") and words in lap.why
    assert list(found.laps.used) == [True, False]
    assert str(lap).startswith("Lap 2 (row 3): ")


def pairs(directions, speeds=None, positions=None):
    n = len(directions)
    made = laps([10.0] * n)
    table = made.laps.iloc[:n].assign(direction=directions)
    table = table.assign(speed=speeds or table.speed, position=positions or table.position)
    return list(sort_out(table).laps.pair)


def test_pairs_are_neighbours_in_opposite_directions():
    assert pairs(["out", "back", "out", "back"]) == [1, 1, 2, 2]
    assert pairs(["back", "out", "back", "out"]) == [1, 1, 2, 2]
    assert pairs(["out", "out", "back"]) == [0, 1, 1]
    assert pairs(["out", "loop", "back"]) == [0, 1, 0]
    assert pairs(["out", "back"], speeds=[10.0, 10.6]) == [0, 0]
    assert pairs(["out", "back"], positions=["K", "P"]) == [0, 0]


def test_pairs_follow_the_order_ridden_not_that_of_the_file():
    ridden = sheet({"order": "3"}, {"order": "2"}, {"order": "1"}, {"order": "4"})
    by_lap = dict(zip(ridden.laps.lap, ridden.laps.pair))
    assert by_lap["3"] == by_lap["2"] and by_lap["1"] == by_lap["4"]


def test_choosing_and_leaving_out_keep_the_sheet():
    whole = laps((6, 9, 12))
    assert set(whole.choose("out").used.direction) == {"out"}
    assert list(whole.without(1, "2").used.lap) == ["3", "4", "5", "6"]
    assert len(whole.used) == 6
    assert whole.positions == ("K",)


def test_the_empty_sheet_is_read_back_once_it_is_filled_in():
    lines = empty_sheet(6).splitlines()
    assert len(lines) == 7
    headings = lines[0].split(",")
    assert all(name in headings for name in ROW)
    filled = [lines[0]]
    for number, change in enumerate(FULL, 1):
        row = ROW | change | {"lap": str(number), "order": str(number)}
        row["direction"] = lines[number].split(",")[headings.index("direction")]
        filled.append(",".join(row.get(name, "") for name in headings))
    read = read_laps(io.StringIO("\n".join(filled)))
    assert read.faults == () and read.rejected == ()
    assert fit(read).drag_area > 0.1
    with pytest.raises(SheetError, match="cannot|no |lacks"):
        read_laps(io.StringIO(lines[0]))
    with pytest.raises(ValueError, match="whole number"):
        empty_sheet(0)
    assert empty_sheet(1).splitlines()[1].startswith("1,1,out")


def test_an_empty_sheet_that_is_not_filled_in_is_all_faults():
    read = read_laps(io.StringIO(empty_sheet(2)))
    assert not read.laps.used.any()
    assert {fault.column for fault in read.faults} >= {heading("power"), heading("speed")}


SOUND = data_file("saltpan_lane.csv").read_bytes()
HEADER, *LAPS = [line.split(",") for line in SOUND.decode().splitlines() if line.count(",") > 15]


def changed(number, column, change):
    """The demo sheet with one cell changed, read."""
    rows = [list(lap) for lap in LAPS]
    place = HEADER.index(column)
    rows[number][place] = f"{change(float(rows[number][place])):g}"
    return read_laps(io.StringIO("\n".join(",".join(row) for row in [HEADER, *rows])))


@pytest.mark.parametrize(
    ("column", "change"),
    [
        ("station pressure [hPa]", lambda x: x - 300), ("mean power [W]", lambda x: 1.2 * x),
        ("meter zero [W]", lambda x: x + 20), ("all-up mass [kg]", lambda x: x - 10),
        ("distance [m]", lambda x: x + 200), ("temperature [degC]", lambda x: x + 10),
    ],
)  # fmt: skip
def test_one_changed_lap_is_named_and_no_sound_one(column, change):
    planted = {"3", "10", "15", "22"}  # the laps that the demo sheet spoils, see its manifest
    for number, lap in list(enumerate(LAPS))[::4]:
        found = changed(number, column, change)
        names = dict(zip(found.laps.row, found.laps.lap))
        named = {lap.lap for lap in found.rejected} | {names[fault.row] for fault in found.faults}
        assert lap[0] in named and named <= planted | {lap[0]}, (column, lap[0], named)


def test_the_sheet_as_a_whole_is_asked_about():
    assert read_laps(io.BytesIO(SOUND)).asked == ()
    text = SOUND.decode().replace("temperature [degC]", "X").replace("humidity [%]", "temperature [degC]")
    swapped = read_laps(io.StringIO(text.replace("X", "humidity [%]")))
    assert "swapped" in swapped.asked[0] and swapped.asked[0] in swapped.notes
    rows = [[*lap[:3], "k" if lap[3] == "K" and i > 20 else lap[3], *lap[4:]] for i, lap in enumerate(LAPS)]
    one = read_laps(io.StringIO("\n".join(",".join(row) for row in [HEADER, *rows])))
    assert one.positions == ("P", "K") and "read as 'K'" in one.asked[0]


@given(st.data())
def test_a_damaged_file_is_read_in_part_or_refused_in_words(data):
    damaged = bytearray(SOUND)
    for _ in range(data.draw(st.integers(1, 8))):
        at = data.draw(st.integers(0, len(damaged) - 2))
        kind = data.draw(st.sampled_from(("delete", "swap", "byte", "cut")))
        if kind == "delete":
            del damaged[at : at + data.draw(st.integers(1, 30))]
        elif kind == "swap":
            damaged[at], damaged[at + 1] = damaged[at + 1], damaged[at]
        elif kind == "byte":
            damaged[at] = data.draw(st.integers(0, 255))
        else:
            del damaged[at:]
        if len(damaged) < 3:
            break
    try:
        read = read_laps(io.BytesIO(bytes(damaged)))
    except SheetError as error:
        assert len(str(error)) > 20
        return
    used = read.used
    numbers = used[["speed", "power", "distance", "all_up_mass", "air_density"]].to_numpy(dtype=float)
    assert np.isfinite(numbers).all()
    faulty = {row for fault in read.faults for row in fault.rows}
    assert not faulty & set(used.row)
