"""What the reader asks of a sheet as a whole, and what it says that a sheet cannot tell."""

import io
import random
from dataclasses import replace

import numpy as np
import pandas as pd
import published
import pytest
from sheets_by_chance import Day, as_text, full

from dragwork.measurement import tunnel
from dragwork.measurement.checks import (
    UsualWeather,
    nearly_alike,
    one_spelling,
    respelt,
    stated_altitude,
)
from dragwork.measurement.passes import sittings
from dragwork.measurement.tunnel import compare, read_sheet
from dragwork.measurement.tunnel_checks import FAULTS, NOTES
from dragwork.scenario import barrow_lane, data_file

SOUND = Day(tuple("ABCCBAABC"), speeds=(36, 45, 54), yaws=(0, 10), sitting=0.0012)
NAMES = {"A": "hoods", "B": "clip-ons", "C": "time-trial"}


def asked(rows, notes=()):
    """What is said of a sheet made of these rows, but for the lines above its header."""
    found = read_sheet(io.StringIO(as_text(rows, notes)))
    return [note for note in found.notes if note not in notes]


def changed(**columns):
    """The rows of a sound sheet with whole columns changed: heading=function of its number."""
    rows = SOUND.rows(np.random.default_rng(3))
    names = {"drag": "drag [N]", "tare": "tare [N]", "T": "temperature [degC]", "RH": "humidity [%]",
             "p": "station pressure [hPa]", "v": "speed [km/h]"}  # fmt: skip
    return [row | {names[name]: f(row) for name, f in columns.items()} for row in rows]


# -- slips of whole columns ---------------------------------------------------------------------------

POUND, GRAVITY = 4.4482216152605, 9.80665  # N a pound-force (exact), m/s2 (exact)
SLIPS = {
    "tares in kgf": (changed(tare=lambda r: round(r["tare [N]"] / GRAVITY, 3)), "The tares are"),
    "tares in lbf": (changed(tare=lambda r: round(r["tare [N]"] / POUND, 3)), "The tares are"),
    "tares 0": (changed(tare=lambda r: 0), "The tares are"),
    "tares flipped": (changed(tare=lambda r: -r["tare [N]"]), "sign of the tares"),
    "swapped": (
        changed(T=lambda r: 51.0 + 0.1 * (r["order"] % 3), RH=lambda r: round(r["temperature [degC]"])),
        "temperature and humidity swapped",
    ),
    "Fahrenheit": (changed(T=lambda r: round(r["temperature [degC]"] - 8) * 1.8 + 32), "Fahrenheit"),
    "mmHg": (changed(p=lambda r: round(r["station pressure [hPa]"] * 760 / 1013.25, 1)), "in mmHg"),
    "mph": (changed(v=lambda r: round(r["speed [km/h]"] / 1.609344, 2)), "km/h and not mph"),
    "lbf for kgf": (
        changed(drag=lambda r: round(r["drag [N]"] / POUND * GRAVITY, 2),
                tare=lambda r: round(r["tare [N]"] / POUND * GRAVITY, 2)),
        "pounds",
    ),
}  # fmt: skip


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_of_a_whole_column_is_asked_about_and_not_repaired(slip):
    rows, words = SLIPS[slip]
    found = asked(rows)
    assert any(words in note for note in found), found
    assert all("ook it up" in note for note in found)


@pytest.mark.parametrize("by", [-1, 1])
def test_a_drag_column_moved_by_one_row_is_asked_about(by):
    rows = SOUND.rows(np.random.default_rng(4))
    drags = [row["drag [N]"] for row in rows]
    drags = drags[by:] + drags[:by]
    assert any("moved by one row" in note for note in asked([r | {"drag [N]": d} for r, d in zip(rows, drags)]))


def test_tares_in_grams_under_newtons_leave_nothing_to_use():
    rows = changed(tare=lambda r: round(r["tare [N]"] / GRAVITY * 1000))
    found = read_sheet(io.StringIO(as_text(rows)))
    assert not found.rows.used.any() and all("unit" in fault.mend for fault in found.faults)


def test_a_high_tunnel_is_believed_where_the_sheet_says_so():
    high = changed(p=lambda r: round(r["station pressure [hPa]"] - 250, 1))  # 755 hPa
    assert any("2,4" in note and "above sea level" in note for note in asked(high))
    assert asked(high, ("Tunnel at 2,400 m above sea level",)) == []
    assert any("stated altitude of 200 m" in note for note in asked(high, ("altitude 200 m",)))
    assert stated_altitude(["runs of 400 m"]) is None
    assert UsualWeather().lowest == 80_000


# -- sound sheets -------------------------------------------------------------------------------------

LAYOUTS = {
    "two set-ups in turn": Day(tuple("ABABABAB"), speeds=(40,), sitting=0.002),
    "mirrored": Day(tuple("ABBAABBA"), speeds=(40, 50), sitting=0.002),
    "three sittings of three": Day(tuple("ABABAB"), runs=3, sitting=0.002),
    "missing runs": full(drift=0.0),
    "tenths of a newton": Day(tuple("ABCCBAABC"), speeds=(45, 54), yaws=(-10, 0, 10), step=0.1),
    "high and cold": Day(tuple("ABBAAB"), speeds=(45,), temperature=6, pressure=850),
}


def false_notes(files):
    return [n for f in files for n in read_sheet(f).notes if n not in barrow_lane.NOTES[1:]]


def demo(seed):
    return io.StringIO("\n".join(barrow_lane.sheet(seed).splitlines()[len(barrow_lane.NOTES) :]))


def test_sound_sheets_of_the_demo_kind_are_not_asked_about():
    assert false_notes(demo(seed) for seed in range(2)) == []


@pytest.mark.parametrize("layout", LAYOUTS)
def test_sound_sheets_of_other_kinds_are_not_asked_about(layout):
    assert false_notes(LAYOUTS[layout].file([5, seed]) for seed in range(2)) == []


@pytest.mark.tour
def test_how_often_sound_sheets_are_asked_about():
    """None of 200 of the demo kind, at most 2 % of 200 of each other kind."""
    assert false_notes(demo(seed) for seed in range(200)) == []
    for day in LAYOUTS.values():
        assert len(false_notes(day.file([6, seed]) for seed in range(200))) <= 4


# -- names of set-ups ---------------------------------------------------------------------------------


def test_names_that_differ_by_capitals_spaces_or_a_hyphen_are_one_set_up():
    spellings = {"A": ["Hoods", "hoods", "hoods "], "B": ["clip ons", "clip-ons", "Clip-Ons", "clip-ons"]}
    rows = [row | {"set-up": NAMES[row["set-up"]]} for row in SOUND.rows(np.random.default_rng(1))]
    sound = read_sheet(io.StringIO(as_text(rows)))
    rng = random.Random(1)
    back = {name: letter for letter, name in NAMES.items()}
    for row in rows:
        row["set-up"] = rng.choice(spellings.get(back[row["set-up"]], [row["set-up"]]))
    found = read_sheet(io.StringIO(as_text(rows)))
    assert len(found.set_ups) == 3 and found.faults == ()
    assert sum("only capitals, spaces or hyphens differ" in note for note in found.notes) == 2
    assert found.rows.drag_area.tolist() == sound.rows.drag_area.tolist()
    a, b = compare(found, *found.set_ups[:2]), compare(sound, *sound.set_ups[:2])
    assert (a.low, a.high) == (b.low, b.high)


def test_a_name_with_a_letter_too_few_is_a_question():
    rows = [row | {"set-up": NAMES[row["set-up"]]} for row in SOUND.rows(np.random.default_rng(1))]
    for row in rows[:6]:
        row["set-up"] = "hood"
    assert any("'hood' and 'hoods' differ by one letter" in note for note in asked(rows))


@pytest.mark.parametrize(
    ("a", "b", "alike"),
    [("hoods", "hood", True), ("drops", "drosp", True), ("baseline", "baselne", True),
     ("clip-ons", "clip-on", True), ("time-trial", "time-trail", True), ("hoops", "hoods", True),
     ("helmet A", "helmet B", False), ("setupA", "setupB", False), ("P1", "P2", False),
     ("wheel 40", "wheel 400", False), ("helmet", "helmet A", False), ("A", "B", False)],
)  # fmt: skip
def test_codes_are_not_taken_for_slips(a, b, alike):
    assert bool(nearly_alike([a, b])) is alike


def test_the_commonest_spelling_names_the_set_up():
    names = ["Hoods", "hoods", "hoods", "HOODS"]
    assert set(one_spelling(names).values()) == {"hoods"}
    assert respelt(names) and not respelt(["hoods", "clip-ons"])


# -- order of checks ----------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [0, pytest.param(1, marks=pytest.mark.tour)])
def test_the_order_of_the_checks_does_not_matter(monkeypatch, seed):
    files = [data_file("BL-7_faulty.csv").read_text(encoding="utf-8"), as_text(_with_slips(seed))]
    before = [read_sheet(io.StringIO(file)) for file in files]
    rng = random.Random(seed)
    monkeypatch.setattr(tunnel, "FAULTS", rng.sample(FAULTS, len(FAULTS)))
    monkeypatch.setattr(tunnel, "NOTES", rng.sample(NOTES, len(NOTES)))
    for sheet, file in zip(before, files):
        again = read_sheet(io.StringIO(file))
        assert again.faults == sheet.faults and set(again.notes) == set(sheet.notes)
        assert again.rows.used.tolist() == sheet.rows.used.tolist()


def _with_slips(seed):
    rows, rng = SOUND.rows(np.random.default_rng(seed)), random.Random(seed)
    slips = [{"tare [N]": 0}, {"drag [N]": 300}, {"temperature [degC]": 33}, {"yaw [deg]": 4},
             {"drag [N]": 38.0}, {"speed [km/h]": 48}]  # fmt: skip
    for slip, place in zip(slips, rng.sample(range(len(rows)), len(slips))):
        rows[place] |= slip
    return rows


def test_every_check_has_a_reason():
    assert all(len(check.reason) > 10 for check in (*FAULTS, *NOTES))


# -- sittings -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("order", "numbers"),
    [
        ("AAAABBBB", "11111111"),
        ("ABBA", "1122"),
        ("ABABAB", "112233"),
        ("ABCCBAABC", "111222333"),
        ("AABBAABB", "11112222"),
        ("AAABBBAAABBB", "111111222222"),
        ("AAABBBBBBAAA", "111111222222"),
        ("ABBAABBA", "11223344"),
    ],
)  # fmt: skip
def test_sittings_are_read_from_the_order(order, numbers):
    """By eye: what a club would call sitting down anew, from the order alone."""
    rows = Day(tuple(order)).rows(np.random.default_rng(0))
    found = read_sheet(io.StringIO(as_text(rows))).rows.sitting
    expected = dict.fromkeys("ABC", "")
    for name, number in zip(order, numbers):
        expected[name] += number
    for name, there in found.groupby([row["set-up"] for row in rows]):
        assert "".join(f"{number:.0f}" for number in there) == expected[name], name


def test_a_reading_of_the_empty_stand_between_parts_two_sittings():
    rows = Day(tuple("AABB")).rows(np.random.default_rng(0))
    stand = rows[0] | {"set-up": "empty stand", "drag [N]": rows[0]["tare [N]"], "tare [N]": ""}
    rows = [rows[0], stand, *rows[1:3], stand, rows[3]]
    rows = [row | {"order": place} for place, row in enumerate(rows, 1)]
    assert read_sheet(io.StringIO(as_text(rows))).rows.sitting.tolist() == [1, 2, 1, 2]


def test_an_order_counted_anew_for_each_set_up_is_no_order():
    rows = Day(tuple("AAABBB")).rows(np.random.default_rng(0))
    found = read_sheet(io.StringIO(as_text([row | {"order": 1 + n % 3} for n, row in enumerate(rows)])))
    assert any("appear twice" in note for note in found.notes)
    assert any("in one sitting" in note for note in found.notes)
    assert found.rows.order.tolist() == [1, 2, 3, 4, 5, 6]


# -- what a sheet cannot tell -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (Day(tuple("AB"), runs=4), ["in one sitting", "0.0030 m² per sitting", "common practice"]),
        (Day(tuple("AABB")), ["finished before others began", "A B B A"]),
        (Day(tuple("ABBAAB"), step=1.0), ["in steps of 1 N"]),
        (Day(tuple("ABCCBAABC"), speeds=(36, 45, 54), yaws=(0, 10), wilder={"A": 30}), ["range rests on them alone"]),
        (Day(tuple("ABBAABBA"), speeds=(40, 45, 50), drift=0.05), ["drift by +0.0", "more than chance"]),
        (Day(tuple("ABBA"), run=0.0, noise=0.0, sitting=0.0), ["agree to the last digit"]),
    ],
    ids=["one sitting", "A A B B", "coarse", "wild", "drift", "copies"],
)  # fmt: skip
def test_what_a_sheet_cannot_tell_is_said_on_the_page_and_beside_the_number(day, words):
    rows = day.rows(np.random.default_rng(8))
    if "agree to the last digit" in words:  # one line, copied
        rows = [{**rows[0], "order": n, "set-up": name, "repeat": r} for n, (name, r) in
                enumerate([("A", 1), ("B", 1), ("B", 2), ("A", 2)], 1)]  # fmt: skip
    found = read_sheet(io.StringIO(as_text(rows)))
    difference = compare(found, "A", "B")
    for notes in (found.notes, difference.notes):
        assert all(word in " ".join(notes) for word in words), notes
    assert difference.high - difference.low > 0.001


def test_a_sheet_that_can_tell_says_nothing():
    found = read_sheet(SOUND.file(2))
    assert found.notes == () and compare(found, "A", "B").notes == ()


def test_copies_give_no_range_of_width_zero():
    rows = Day(tuple("ABBA")).rows(np.random.default_rng(8))
    same = [{**rows[0], "order": n, "set-up": s, "repeat": r} for n, s, r in
            ((1, "A", 1), (2, "B", 1), (3, "B", 2), (4, "A", 2))]  # fmt: skip
    found = read_sheet(io.StringIO(as_text(same)))
    difference = compare(found, "A", "B")
    assert difference.low < -0.005 and difference.high > 0.005
    drawn = found.draws(4000, 1)
    assert np.std(drawn["A"](0.0) - drawn["B"](0.0)) > 0.003


def test_a_known_spread_of_sittings_takes_the_place_of_common_practice():
    one_sitting = read_sheet(Day(tuple("AB"), runs=4).file(1))
    known = replace(one_sitting, shared=replace(one_sitting.shared, sitting=0.0015))
    wide, narrow = (compare(sheet, "A", "B") for sheet in (one_sitting, known))
    assert narrow.high - narrow.low < 0.65 * (wide.high - wide.low)


def test_sittings_counted_by_hand():
    """A A A B B B A A A B B B has two sittings of three runs each; A B B A two of one run each."""
    (record,) = published.for_test("test_sittings_counted_by_hand")
    for order, sat in zip(record.inputs["orders"], record.inputs["sat"]):
        names = order.replace(" ", "")
        repeats = [names[: i + 1].count(name) for i, name in enumerate(names)]
        rows = pd.DataFrame({
            "set_up": list(names), "repeat": [float(r) for r in repeats],
            "order": np.arange(len(names)) + 1.0, "stand": False,
        })  # fmt: skip
        assert sittings(rows).tolist() == [float(n) for n in sat.replace(" ", "")]
