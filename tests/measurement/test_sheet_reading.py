"""Files as people save them, and files that somebody damaged."""

import io
import random
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tunnel_sheets import PLAIN, text

from dragwork.measurement import lap_columns, sheet_reading, tunnel_columns
from dragwork.measurement.lap_columns import HUMIDITY, PRESSURE, TEMPERATURE
from dragwork.measurement.sheet_columns import Column, as_number, split_heading
from dragwork.measurement.sheet_reading import stated_above
from dragwork.measurement.tunnel import SheetError, TunnelSheet, read_sheet
from dragwork.scenario import data_file
from dragwork.scenario.barrow_lane import bl7, bl7_with_faults

BL7 = data_file("BL-7.csv").read_text(encoding="utf-8")
AREAS = bl7().rows.drag_area.tolist()
PLAIN_AREA = read_sheet(io.StringIO(text([{}]))).rows.drag_area.tolist()


def read(content):
    return read_sheet(io.BytesIO(content) if isinstance(content, bytes) else io.StringIO(content))


# -- as people save them ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "content",
    [
        BL7.encode("utf-8-sig"),
        BL7.encode("utf-16"),
        BL7.encode("cp1252"),
        BL7.replace("\n", "\r\n").encode(),
        BL7.replace("\n", "\r").encode(),
        BL7.replace("\n", "\n\n").encode(),
        BL7.replace("\n", "\n,,,,\n").encode(),
        BL7.replace(",", "\t").encode(),
        BL7.replace(",", ";").encode(),
        BL7.replace(",", ";").replace(".", ",").encode(),
        BL7.replace(",-10,", ",\N{MINUS SIGN}10,").encode(),
        BL7.replace(",-10,", ",\N{EN DASH}10,").encode("utf-16"),
        BL7.replace("set-up,repeat", "Set_Up , REPEAT").encode(),
        BL7.replace("[m/s]", "(M/S)").encode(),
        re.sub("(?m)^([0-9]+,.*)$", r"\1,dull", BL7).replace("remarks", "remarks,weather").encode(),
    ],
    ids=[
        "byte-order mark", "UTF-16", "western", "CRLF", "CR", "blank lines", "lines of commas",
        "tabs", "semicolons", "decimal commas", "minus sign", "dash", "heading", "brackets", "extra",
    ],
)  # fmt: skip
def test_the_same_sheet_in_other_clothes(content):
    found = read(content)
    assert found.faults == ()
    assert found.rows.drag_area.tolist() == AREAS


@pytest.mark.parametrize("mark", ["_", " ", "(", "[ "])
def test_a_ruled_line_is_no_heading(mark):
    """Looked through for a unit it took two minutes."""
    line = "x" + mark * 5_000
    assert split_heading(line) == (line, "")
    assert read_sheet(io.StringIO(f"{line}\n{BL7}")).faults == ()


def test_columns_in_any_order():
    lines = [line.split(",") for line in BL7.splitlines()[5:]]
    shuffled = random.Random(3).sample(range(len(lines[0])), len(lines[0]))
    found = read("\n".join(",".join(line[i] for i in shuffled) for line in lines))
    assert found.rows.drag_area.tolist() == AREAS


def test_path_as_text_and_open_files():
    path = data_file("BL-7.csv")
    with path.open(encoding="utf-8") as words, path.open("rb") as raw:
        for source in (path, str(path), words, raw):
            assert read_sheet(source).rows.drag_area.tolist() == AREAS


def test_pressure_in_pascals():
    hectopascals = text([{}])
    pascals = hectopascals.replace("[hPa]", "[Pa]").replace("1013.25", "101325")
    assert read(pascals).rows.drag_area[0] == pytest.approx(read(hectopascals).rows.drag_area[0])


@pytest.mark.parametrize(
    ("cell", "number"),
    [("1.5", 1.5), ("1,5", 1.5), ("-2", -2), ("+3.", 3), (".5", 0.5), ("1e3", 1000), ("1,013.2", None),
     ("1 000", None), ("", None), ("nan", None), ("inf", None), ("1e999", None), ("0x10", None),
     ("1_000", None), ("--1", None), ("5 N", None)],
)  # fmt: skip
def test_numbers(cell, number):
    assert as_number(cell) == number


OTHERS = {  # ours, and how others write them
    "set-up": ["Setup", "configuration", "POSITION", "set_up"],
    "speed [m/s]": ["Tunnel speed (m/s)", "v [m/s]", "airspeed, m/s", "velocity [m s-1]"],
    "yaw [deg]": ["Yaw angle (°)", "turntable [degrees]", "beta °", "angle_deg"],
    "temperature [degC]": ["T degC", "Temp. (°C)", "air temperature [C]", "T_°C"],
    "station pressure [hPa]": ["barometer (mbar)", "p hPa", "Air pressure, hPa"],
    "humidity [%]": ["RH %", "RH%", "Relative humidity (%)", "rel. humidity [percent]"],
    "drag": ["Drag reading", "axial force", "balance_reading", "F"],
    "tare": ["tare force", "F0", "stand drag"],
    "drag unit": ["unit", "Force unit"],
    "repeat": ["rep", "Repetition"],
    "order": ["run order", "sequence"],
    "axis": ["Axes"],
}


@pytest.mark.parametrize("one", range(max(map(len, OTHERS.values()))))
def test_words_of_the_trade_are_understood(one):
    """A sheet whose headings are all somebody else's: the first of each, then the second."""
    theirs = {ours: words[one % len(words)] for ours, words in OTHERS.items()}
    header, row = text([{}], delimiter=";").splitlines()
    found = read("\n".join([";".join(theirs.get(ours, ours) for ours in header.split(";")), row]))
    assert found.faults == () and found.rows.drag_area.tolist() == PLAIN_AREA
    assert not any("not read" in note for note in found.notes)


def test_other_units_in_headings():
    kelvin = text([{"temperature [degC]": "293.15", "station pressure [hPa]": "101.325"}])
    found = read(kelvin.replace("[degC]", "K").replace("[hPa]", "(kPa)"))
    assert found.rows.drag_area.tolist() == pytest.approx(PLAIN_AREA, rel=1e-12)


def test_a_force_bears_its_unit_in_the_heading_or_in_a_column():
    for drag, tare, size in (("drag [g]", "tare [g]", 1000), ("drag kgf", "tare (kg)", 1)):
        row = {"drag": repr(20 / 9.80665 * size), "tare": repr(2 / 9.80665 * size)}
        content = _without(text([row]), "drag unit", "tare unit")
        found = read(content.replace(",drag,", f",{drag},").replace(",tare,", f",{tare},"))
        assert found.rows.drag_area.tolist() == pytest.approx(PLAIN_AREA, rel=1e-12)


def test_a_synonym_without_its_unit_is_another_quantity():
    """'t [s]' is a time: passed over, and said so."""
    found = read(text([{"t [s]": "30"}]))
    assert "columns that were not read: t [s]" in " ".join(found.notes)
    assert found.rows.drag_area.tolist() == PLAIN_AREA


def test_a_repeated_header_goes_on():
    one, two = text([{"repeat": "1"}]), text([{"repeat": "2"}])
    found = read(one + "\n" + two)
    assert found.rows.row.tolist() == [2, 5] and found.faults == ()


def test_a_note_that_names_columns_is_no_header():
    content = "speed, yaw and tare, as planned\nJune wrote it down\n" + text([{}])
    found = read(content)
    assert found.rows.row.tolist() == [4] and found.faults == ()
    assert found.notes[:2] == ("speed, yaw and tare, as planned", "June wrote it down")


def test_text_of_two_bytes_without_a_mark():
    for encoding in ("utf-16-le", "utf-16-be"):
        assert read(BL7.encode(encoding)).rows.drag_area.tolist() == AREAS


def _without(content, *columns):
    lines = [line.split(",") for line in content.splitlines()]
    kept = [i for i, name in enumerate(lines[0]) if name not in columns]
    return "\n".join(",".join(line[i] for i in kept) for line in lines)


# -- rows and files that cannot be told apart ---------------------------------------------------------


def test_a_row_that_lost_a_cell_is_named_and_alone_in_it():
    lines = text([{"repeat": str(n)} for n in range(1, 4)]).splitlines()
    lines[2] = lines[2].replace(",10,", ",", 1)
    (fault,) = (found := read("\n".join(lines))).faults
    assert fault.row == 3 and "12 cells, but the header names 13" in fault.what
    assert found.rows.used.tolist() == [True, False, True]


def test_tabs_at_the_end_of_a_line_may_be_lost():
    content = text([{"remarks": "", "photo": ""}], delimiter="\t")
    assert read(re.sub("\t+\n", "\n", content)).faults == ()


WHOLE = "set-up,axis,speed [km/h],yaw [deg],temperature [degC],station pressure [hPa],humidity [%],"


def test_whole_numbers_alone_are_no_trouble():
    found = read(WHOLE + "drag [g],tare [g],remarks\nA,body,45,5,20,1013,50,3400,300,\n")
    assert found.faults == () and 0.32 < found.rows.drag_area[0] < 0.33


@pytest.mark.parametrize(
    "row",
    ["A,body,45,5,20,1013,50,27,8,3", "A,body,45,5,20,1013,50,27,8"],
    ids=["27,8 N and 3 N?", "27 N or 27,8 N?"],
)
def test_commas_that_may_be_decimal_marks_are_refused(row):
    with pytest.raises(SheetError, match="nothing shows which.*with semicolons .* decimal points"):
        read(WHOLE + f"drag [N],tare [N],remarks\n{row}\n")


def test_runs_above_the_header_are_refused():
    header, run = text([{}]).splitlines()
    with pytest.raises(SheetError, match="Row 1 is above the header but looks like a run"):
        read("\n".join([run, header, run]))


def test_a_second_table_of_something_else_is_refused():
    other = "speed [km/h],yaw [deg],order\n36,0,1\n"
    with pytest.raises(SheetError, match="Row 4 is a second header with other columns"):
        read(text([{}]) + "\n" + other)


# -- files that are no sheet --------------------------------------------------------------------------


HEADER = ",".join(PLAIN)
ROW = "\n" + ",".join(PLAIN.values())


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\n \n", "empty"),
        (b"PK\x03\x04 and more", "spreadsheet that cannot be read.*save it as .xlsx or as CSV"),
        (b"\xd0\xcf\x11\xe0 and more", "spreadsheet file"),
        (b"\x89PNG\r\n\x1a\n\0\0\0", "not text"),
        (b"\xff\xfea", "not text"),
        (b"a,b,c\n1,2,3\n", "No header was found.*set-up"),
        (b"once upon a time", "No header was found"),
        (HEADER.encode(), "no run is below it"),
        (text([{}]).replace(",tare,", ",post,").encode(), "lacks the column tare.*square brackets"),
        (HEADER.replace("[deg]", "[turns]").encode() + b"\n1", r"unit \[turns\], which is not known"),
        ((HEADER + ",yaw [deg]\n1").encode(), "'yaw \\[deg\\]' is there twice"),
        (text([{"drag": "20,5", "tare": "2,1"}]).encode(), "semicolons between the columns"),
        (text([{"set-up": '"A'}]).encode(), "not a clean CSV.*quotation mark"),
        (text([{"drag": "1;2"}], delimiter=";").encode(), "Row 2 has 14 cells"),
        (b"x" * 6_000_000, "larger than"),
    ],
)
def test_a_file_that_is_no_sheet_is_refused_in_words(content, words):
    with pytest.raises(SheetError, match=words):
        read(content)


def test_missing_columns_name_what_was_not_understood():
    with pytest.raises(SheetError, match="lacks the column tare, the drag of the empty stand. Not understood: post"):
        read(HEADER.replace(",tare,", ",post,") + ROW)


class _Broken(io.StringIO):
    def read(self, *args):
        raise OSError("the stick was pulled out")


def test_what_cannot_be_opened_is_refused_in_words(tmp_path):
    closed = io.StringIO(BL7)
    closed.close()
    for source in (tmp_path / "none.csv", tmp_path, "a\0b", None, 7, 3.5, ["x"], b"x.csv", closed, _Broken()):
        with pytest.raises(SheetError, match="cannot be opened"):
            read_sheet(source)
    assert issubclass(SheetError, ValueError)


# -- damaged files ------------------------------------------------------------------------------------

SHEETS = [
    BL7.encode(),
    data_file("BL-7_faulty.csv").read_bytes(),
    BL7.replace(",", ";").replace(".", ",").encode(),
    BL7.encode("utf-16"),
    ("\ufeff" + BL7.replace(",", "\t").replace("degC", "°C")).encode("cp1252", "replace"),
    (text([{"set-up": "empty stand", "drag": "2"}, *({"tare": "", "repeat": n} for n in "123")])
     + "\nspeed [m/s],yaw [deg],tare [N]\n10,0,2\n").encode(),
]
JUNK = [b"", b",", b";", b'"', b"\n", b"\r", b"\0", b"\xff", b"nan", b"1e308", b"-", b"0", b"999999999",
        b" ", b"N", b"kgf", b"wind", b"-1", b"1,5", b"empty stand", b"yaw", "°".encode(), "\N{MINUS SIGN}".encode()]  # fmt: skip


def damaged(content, rng):
    """A file with one to thirty accidents: bytes lost or typed over, lines swapped, copied, cut off."""
    for _ in range(rng.choice([1, 1, 2, 5, 30])):
        at = rng.randrange(len(content) + 1)
        lines = content.split(b"\n")
        a, b = (rng.randrange(len(lines)) for _ in range(2))
        cells = lines[a].split(b",")
        accident = rng.randrange(7)
        if accident == 0:
            content = content[:at] + content[at + rng.choice([1, 2, 10, 300]) :]
        elif accident == 1:
            content = content[:at] + rng.choice(JUNK) + content[at + rng.choice([0, 1, 3]) :]
        elif accident == 2:
            cells[rng.randrange(len(cells))] = rng.choice(JUNK)
            content = b"\n".join([*lines[:a], b",".join(cells), *lines[a + 1 :]])
        elif accident == 3:
            lines[a], lines[b] = lines[b], lines[a]
            content = b"\n".join(lines)
        elif accident == 4:
            content = b"\n".join([*lines[:a], lines[b], *lines[a:]])
        elif accident == 5:
            content = _saved_by_another_program(content, rng)
        elif rng.random() < 0.3:
            content = content[:at]
    return content


def _saved_by_another_program(content, rng):
    """Read as one encoding, written as another."""
    encodings = ["utf-8", "cp1252", "utf-16", "utf-16-le", "latin-1", "cp437", "utf-8-sig"]
    was, now = rng.choice(encodings), rng.choice(encodings)
    return content.decode(was, "replace").encode(now, "replace")


def assert_consistent(found):
    """Every row is either used, with a drag area that a rider can have, or named by a fault."""
    assert isinstance(found, TunnelSheet)
    named = {row for fault in found.faults for row in fault.rows} & set(found.rows.row)
    assert set(found.rows.row[~found.rows.used]) == named
    used = found.rows[found.rows.used]
    assert np.all((used.drag_area > 0.1) & (used.drag_area < 0.9))
    assert found.drag_areas().runs.sum() == len(used)
    assert all(str(fault).startswith(f"Row {fault.row}, column '") for fault in found.faults)


@given(st.sampled_from(SHEETS), st.integers(0, 2**32))
def test_a_damaged_file_is_read_in_part_or_refused_in_words(content, seed):
    try:
        found = read(damaged(content, random.Random(seed)))
    except SheetError as refused:
        assert str(refused).endswith(".")
        return
    assert_consistent(found)
    for set_up in found.set_ups:
        found.yaw_curve(set_up)
    try:
        found.draws(5, 0)
    except ValueError as refused:
        assert "repeat" in str(refused) or "no row" in str(refused)


@given(st.binary(max_size=300))
def test_any_bytes(content):
    with pytest.raises(SheetError):
        read(content)


@given(st.integers(0, 2**32))
def test_a_number_lost_from_a_sound_sheet_costs_its_row_alone(seed):
    rng = random.Random(seed)
    lines = BL7.splitlines()
    row = rng.randrange(6, len(lines))
    cells = lines[row].split(",")
    cells[rng.choice([4, 6, 7, 8, 9, 10, 12])] = ""
    found = read("\n".join([*lines[:row], ",".join(cells), *lines[row + 1 :]]))
    assert [fault.row for fault in found.faults] == [row + 1]
    assert (~found.rows.used).sum() == 1
    assert_consistent(found)


def test_the_copy_with_slips_is_consistent():
    assert_consistent(bl7_with_faults())


# -- tables that no day fills -------------------------------------------------------------------------

HEADINGS = "run,set-up,speed [m/s],yaw [deg],temperature [degC],pressure [hPa],relative humidity [%],drag,axis"
ENDLESS = {
    "torn": (HEADINGS + "\n" + "a,b,c\n" * 800_000, "has 800001 lines; a sheet has 20000 at the most"),
    "shorter, torn": (HEADINGS + "\n" + "a,b,c\n" * 15_000, "999 of the first 1000 lines have fewer than half the cells"),
    "no header": ("a,b\n" * 1_200_000, "lines; a sheet has 20000"),
    "marks alone": (";,\t\n" * 1_000_000 + "a", "lines; a sheet has 20000"),
    "words": (HEADINGS + "\n" + "x,x,x,x,x,x,x,x,x\n" * 200_000, "lines; a sheet has 20000"),
    "one line": (HEADINGS + "\n" + "," * 4_900_000 + "x", "Row 2 has 4900001 letters"),
    "empty rows": (HEADINGS + "\n" + ",,\n" * 1_600_000, "Row 1 is a header, but no run is below it"),
}


@pytest.mark.parametrize(("content", "words"), ENDLESS.values(), ids=ENDLESS)
def test_what_no_day_fills_is_refused_before_it_is_taken_apart(content, words, monkeypatch):
    """By a look at the first thousand lines: no more than those reach the reader of cells."""
    seen = []
    reader = sheet_reading.csv.reader

    def counting(lines, **options):
        for row in reader(lines, **options):
            seen.append(row)
            assert len(seen) < 50_000, "it was taken apart"
            yield row

    monkeypatch.setattr(sheet_reading.csv, "reader", counting)
    with pytest.raises(SheetError, match=words):
        read(content)


def test_a_million_empty_rows_below_a_sheet_are_no_matter():
    assert read(BL7 + ",,,,\n" * 900_000).rows.drag_area.tolist() == AREAS


def test_a_name_that_is_too_long_leaves_its_rows_out_in_words():
    found = read(BL7.replace("clip-ons", "x" * 70))
    assert "clip-ons" not in found.set_ups and all(len(name) <= 60 for name in found.set_ups)
    assert "the name is too long" in str(found.faults[0]) and "70 letters" in str(found.faults[0])


def test_columns_bear_the_names_of_their_fields():
    """The tables are read in their order: a line moved or left out would give each the next one's name."""
    for module, others in ((tunnel_columns, {"STAND_DRAG"}), (lap_columns, set())):
        named = {n: x for n, x in vars(module).items() if isinstance(x, Column) and n not in others}
        assert len(named) > 20
        assert not {name: each.field for name, each in named.items() if name.lower() not in each.field}


# -- lines and cells of any length --------------------------------------------------------------------

RULES = ["-" * 20_000, "_" * 20_000, "a" * 20_000, "1 " * 10_000, "a: " * 7_000]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule[:3])
def test_a_ruled_line_or_cell_is_read_as_fast_as_any_other(rule):
    """Each of these kept the reader busy for minutes, so this test would never end."""
    sheet = text([{"remarks": rule}, {"order": "2", "repeat": "2"}], notes=[rule, "Altitude 1560 m"])
    found = read_sheet(io.StringIO(sheet))
    assert found.faults == () and rule.strip() in found.notes


@pytest.mark.parametrize(
    "note, said",
    [
        ("-3 °C, 1009 hPa, 60 %", {"temperature": 270.15, "pressure": 100_900.0, "relative_humidity": 0.6}),
        ("Weather: 15C 1009mbar 60%RH", {"temperature": 288.15, "pressure": 100_900.0, "relative_humidity": 0.6}),
        ("59 F, 29.92 in Hg", {"temperature": 288.15, "pressure": 101_320.0}),
        ("start 14 °C, end 16 °C", {}),
        ("12 deg C; 55 % rel. humidity", {"temperature": 285.15, "relative_humidity": 0.55}),
        ("helmet at 40 %", {}),
    ],
)
def test_what_a_line_above_says_of_the_weather(note, said):
    """Kelvin, pascals and shares worked out by hand: 59 F is 15 °C, an inch of mercury 3386.39 Pa (NIST_SP811)."""
    assert stated_above([note], (TEMPERATURE, PRESSURE, HUMIDITY)) == pytest.approx(said, rel=1e-5)
