"""The course editor: what is typed stays, what is wrong is told at its row, the road follows."""

import json
import sys
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest

from dragwork.measurement.road import legs_table, read_gpx, read_legs
from dragwork.physics.course import Course, Leg, ride
from dragwork.scenario import data_file
from dragwork.scenario.riders import ROSALIND, TOBIN
from dragwork.scenario.roads import BRICKFIELD_LOOP, THREE_KILNS
from dragwork.teaching.forms.course_editor import CourseEditor, course_editor, my_own_road
from dragwork.teaching.forms.course_editor_view import CourseEditorView
from dragwork.teaching.forms.flow import File
from dragwork.teaching.forms.leg_columns import CELLS
from dragwork.teaching.panels import edited_road, my_road
from dragwork.teaching.profile import Profile
from dragwork.units import clock, deg, kmh, minutes, percent

sys.path.append(str(Path(__file__).parents[2] / "measurement"))
from tracks import gpx  # noqa: E402
from tracks import ride as ride_of_points  # noqa: E402

THREE_KILNS_FILE = data_file("three_kilns.gpx")


@pytest.fixture
def editor(tmp_path):
    return CourseEditor(TOBIN, Profile(tmp_path / "learner.json"), THREE_KILNS)


def same_road(a, b):
    for name in ("distance", "gradient", "heading", "speed_limit"):
        np.testing.assert_allclose(a.course.column(name), b.course.column(name), rtol=1e-3)
    np.testing.assert_allclose(a.power_factor, b.power_factor)
    np.testing.assert_allclose(a.wind_speed, b.wind_speed)


@pytest.mark.parametrize("road", [THREE_KILNS, BRICKFIELD_LOOP], ids=lambda r: r.name)
def test_it_starts_with_a_road_that_comes_back_unchanged(tmp_path, road):
    editor = CourseEditor(TOBIN, Profile(tmp_path / "l.json"), road)
    same_road(editor.road, road)
    assert not editor.remarks and editor.road.name == road.name
    expected = ride(road.course, TOBIN.rider, **road.day(TOBIN.power)).time
    assert editor.ridden.time == pytest.approx(expected, rel=1e-6)
    assert editor.road.course.legs == road.course.legs


def test_a_road_of_ones_own_by_code(editor):
    editor.set(
        name="June's loop",
        legs=[
            {"distance": "12,5 km", "gradient": "2", "heading": "NE", "wind_speed": "3", "wind_from": "W"},
            {"distance": 12.5, "gradient": -2, "heading": 225, "speed_limit": "45 km/h", "power_factor": 60},
        ],
    )  # fmt: skip
    up, down = editor.road.course.legs
    assert (up.distance, up.gradient) == (12_500, percent(2))
    assert up.heading == pytest.approx(deg(45)) and down.heading == pytest.approx(deg(225))
    assert down.speed_limit == pytest.approx(kmh(45)) and up.speed_limit is None
    assert editor.road.power_factor == pytest.approx([1, 0.6])
    assert editor.road.wind_speed.tolist() == [3, 0]
    assert editor.road.wind_from[0] == pytest.approx(deg(270))
    assert editor.sentence.startswith("June's loop: 2 legs, 25.0 km with 250 m of climbing.")


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("gradient", "45", "Leg 2, gradient: 45 % is outside -40 to 40 %"),
        ("gradient", "steep", "Leg 2, gradient: 'steep' is not read as a number"),
        ("distance", "", "Leg 2, length: Nothing typed yet"),
        ("heading", "NNW", "Leg 2, heading:"),
        ("speed_limit", "50 kg", "Leg 2, limit: 'kg' is a unit of mass"),
        ("wind_speed", "40", "Leg 2, wind: 40 m/s is outside 0 to 20"),
    ],
)
def test_a_box_that_cannot_be_read_says_so_at_its_row_and_loses_nothing(editor, field, text, words):
    before = editor.road
    editor.type(1, field, text)
    assert words in editor.remarks[1] and list(editor.remarks) == [1]
    assert editor.rows[1][field] == text
    assert editor.road is before and "as it last could be read" in editor.sentence
    assert editor.remarks[1] in editor.markdown()
    editor.type(1, field, "5")
    assert not editor.remarks and editor.road is not before


def test_two_rows_with_trouble_are_both_told(editor):
    editor.type(0, "distance", "x")
    editor.type(3, "heading", "y")
    assert set(editor.remarks) == {0, 3}


def test_a_leg_that_cannot_be_ridden_is_told_at_its_row(editor):
    editor.set(legs=[{"distance": 5}, {"distance": 10, "gradient": -4, "speed_limit": 50}])
    editor.type(1, "speed_limit", "")
    editor.type(1, "gradient", "-40")
    editor.blow("20", "S")
    assert "Leg 2 would be ridden at" in editor.remarks[1]
    assert editor.remarks[1].endswith("give it a limit.")
    editor.type(1, "speed_limit", "60")
    assert not editor.remarks
    editor.blow("", "")
    editor.type(0, "power_factor", "0")
    assert "leg 1 the rider comes to a halt" in editor.remarks[0]


def test_legs_come_and_go_and_one_stays(editor):
    editor.add(0)
    assert len(editor.rows) == 5 and editor.rows[1]["distance"] == "20"
    for _ in range(4):
        editor.remove(0)
    assert len(editor.rows) == 1
    editor.remove(0)
    assert len(editor.rows) == 1 and "at least one leg" in editor.note
    for _ in range(40):
        editor.add()
    assert len(editor.rows) == 30 and "30 rows" in editor.note


def test_the_same_wind_on_every_leg(editor):
    editor.blow("4,5", "SW")
    assert editor.road.wind_speed.tolist() == [4.5] * 4
    assert editor.road.wind_from == pytest.approx([deg(225)] * 4)


def test_a_recorded_ride_asks_about_its_ends_first(editor):
    assert not editor.load(THREE_KILNS_FILE)
    assert "First choose whether to leave out the first and last 300 m" in editor.note
    assert len(editor.rows) == 4
    assert editor.load(THREE_KILNS_FILE, "drop")
    assert editor.road.course.distance == pytest.approx(59_400, rel=0.01)
    assert editor.road.course.ascent == pytest.approx(400, rel=0.05)
    assert len(editor.rows) <= 30 and "The first and last 300 m are left out." in editor.note
    assert editor.load(THREE_KILNS_FILE, "keep")
    assert editor.road.course.distance == pytest.approx(60_000, rel=0.01)


def test_descents_of_a_recorded_ride_are_capped(editor):
    editor.load(THREE_KILNS_FILE, "keep", "42", bends=False)
    limits = editor.road.course.column("speed_limit")
    downhill = editor.road.course.column("gradient") < percent(-2)
    assert downhill.any() and limits[downhill] == pytest.approx(kmh(42))
    assert np.all(np.isinf(limits[editor.road.course.column("gradient") > percent(-1)]))
    assert "Limits: 42 km/h on 1 descent (10.0 km). They are proposals" in editor.note
    assert editor.load(THREE_KILNS_FILE, "keep", "")
    assert "Limits: 11 km/h in 1 bend." in editor.note  # where they turn round
    assert not editor.load(THREE_KILNS_FILE, "keep", "fast")
    assert "Limit on descents: 'fast'" in editor.note


@pytest.mark.parametrize(
    ("file", "words"),
    [
        (None, "No file chosen yet"),
        ("no_such.gpx", "cannot be opened"),
        (File("a.gpx", b"nonsense"), "no GPX file"),
        (File("a.csv", b"a,b\n1,2\n"), "No header was found"),
    ],
)
def test_a_file_that_is_no_road_changes_nothing(editor, file, words):
    before = editor.rows
    assert not editor.load(file, "keep")
    assert words in editor.note and editor.rows is before
    with pytest.raises(ValueError, match=words):
        editor.set(file=file or "", ends="keep")


@pytest.fixture
def hills(tmp_path):
    """A recorded ride of 18 km in waves of 1 km with 24 m each: 432 m of climbing."""
    points = ride_of_points(lambda s: 12 * np.sin(2 * np.pi * s / 1000), length=18_000)
    path = tmp_path / "wavy_way.gpx"
    path.write_text(gpx(points), encoding="utf-8")
    return path


def test_the_legs_of_a_recorded_ride_stay_behind_the_rows(editor, hills):
    read = read_gpx(hills)
    assert editor.load(hills, "keep", "", bends=False)
    road = editor.road
    assert len(editor.rows) <= 12 and len(road.course.legs) == len(read.legs) > 180
    assert road.course.ascent == pytest.approx(432, rel=0.05)
    expected = ride(read, TOBIN.rider, TOBIN.power).time
    assert editor.ridden.time == pytest.approx(expected, rel=1e-4)
    assert f"{len(read.legs)} legs in {len(editor.rows)} rows, 18.0 km" in editor.sentence
    assert sum(float(row["distance"]) for row in editor.rows) == pytest.approx(18.0, rel=2e-3)


def test_a_file_is_known_by_what_is_in_it_not_by_its_name(editor, hills):
    named = File("rides.csv", hills.read_bytes())
    assert editor.load(named, "keep") and len(editor.road.course.legs) > 180
    table = File("legs.txt", b"length [km];gradient [%];heading [deg]\n7,5;1;90\n")
    assert editor.load(table) and editor.road.name == "legs" and "in one leg" in editor.note
    assert editor.road.course.distance == 7500


def test_the_summit_is_where_two_rows_meet(editor):
    editor.load(THREE_KILNS_FILE, "keep")
    height = np.cumsum(editor.road.course.column("distance") * editor.road.course.column("gradient"))
    ends = np.cumsum([row.number for row in editor.rows])
    assert min(abs(ends - 1 - np.argmax(height))) <= 3 and len(ends) <= 12


def test_a_change_in_a_row_changes_its_stretch_and_nothing_else(editor, hills):
    editor.load(hills, "keep", "", bends=False)
    before = editor.road.course
    first, second = editor.rows[0].number, editor.rows[0].number + editor.rows[1].number
    net, length = float(editor.rows[1]["gradient"]), float(editor.rows[1]["distance"])
    editor.type(1, "gradient", f"{net + 2:g}")
    editor.type(1, "distance", f"{2 * length:g}")
    editor.type(1, "speed_limit", "35")
    after, behind = editor.road.course, slice(first, second)
    assert after.legs[:first] == before.legs[:first] and after.legs[second:] == before.legs[second:]
    tilt = after.column("gradient")[behind] - before.column("gradient")[behind]
    assert tilt == pytest.approx(0.02, abs=1e-4)
    stretch = after.column("distance")[behind] / before.column("distance")[behind]
    assert stretch == pytest.approx(2.0, rel=1e-3)
    assert after.column("speed_limit")[behind] == pytest.approx(kmh(35))
    assert editor.road.about.endswith("Changed by hand.")
    editor.type(1, "gradient", "38")
    assert "Stretch 2, gradient: some of its legs would be too steep." in editor.remarks[1]


def test_a_row_opens_down_to_its_legs_and_sums_up_again(editor, hills):
    editor.load(hills, "keep")
    road, rows = editor.road, [dict(row) for row in editor.rows]
    assert editor.rows[0].number > 12, "it opens into rows that open again"
    while editor.rows[0].number > 1:
        editor.open(0)
    assert editor.road.course.legs == road.course.legs
    leg = road.course.legs[0]
    assert float(editor.rows[0]["gradient"]) == pytest.approx(100 * leg.gradient, abs=1e-2)
    editor.open(0)
    assert "already a single leg" in editor.note
    editor.type(0, "gradient", "5")
    assert editor.road.course.legs[0].gradient == percent(5)
    assert editor.road.course.legs[1:] == road.course.legs[1:]
    editor.type(0, "gradient", "x")
    editor.sum_up()
    assert "First: Stretch 1, gradient: 'x'" in editor.note
    editor.remove(0)
    editor.sum_up()
    assert len(editor.rows) == len(rows)


def test_legs_that_differ_are_told_as_mixed(editor, hills):
    editor.load(hills, "keep")
    assert "mixed" in {row["speed_limit"] for row in editor.rows}
    editor.add(0)
    assert editor.rows[1]["speed_limit"] == "" and editor.rows[1].number == 1
    assert not editor.remarks


def test_a_recorded_ride_comes_back_with_its_legs(tmp_path, hills):
    path = tmp_path / "learner.json"
    first = CourseEditor(TOBIN, Profile(path), THREE_KILNS)
    first.load(hills, "drop")
    first.type(0, "gradient", "oops")
    again = CourseEditor(TOBIN, Profile(path), THREE_KILNS)
    assert again.rows == first.rows and again.remarks == first.remarks
    assert again.name == "wavy way"
    for editor in (first, again):
        editor.type(0, "gradient", "1")
    same_road(again.road, first.road)
    assert again.road.course.legs == first.road.course.legs
    assert again.ridden.time == first.ridden.time
    assert again.road.settings() == first.road.settings()
    assert path.stat().st_size < 100_000


def test_a_learners_file_of_november_still_opens(tmp_path):
    profile = Profile(tmp_path / "learner.json")
    empty = dict.fromkeys(("speed_limit", "power_factor", "wind_speed", "wind_from"), "")
    rows = [{"distance": "7", "gradient": "2", "heading": "N", **empty}]
    profile.keep_typed("my road", json.dumps(["Home", "Typed in, leg by leg.", rows]))
    editor = CourseEditor(TOBIN, profile, THREE_KILNS)
    assert editor.road.name == "Home" and editor.road.course.distance == 7000
    assert editor.road.course.ascent == pytest.approx(140, rel=1e-3)


def test_a_new_file_has_a_new_name(editor, hills):
    editor.load(hills, "keep")
    assert editor.name == "wavy way"
    editor.load(THREE_KILNS_FILE, "keep")
    assert editor.road.name == "three kilns"


def test_what_made_the_road_is_among_its_settings(editor, hills):
    editor.load(hills, "drop", "45", bends=False)
    editor.blow("4", "W")
    found = editor.road.settings()
    assert found["File of the road"] == f"wavy_way.gpx (fingerprint {sha256(hills.read_bytes()).hexdigest()[:12]})"
    assert found["Ends of the ride"] == "300 m at each end left out"
    assert found["Wind"] == "4 m/s at the rider from 270°, where 0 is north"
    assert found["Speed limits"].startswith("45 km/h on ")
    assert THREE_KILNS.settings() == {
        "Legs": "4, 60 km together",
        "Wind": "3 m/s at the rider from 0°, where 0 is north; calm elsewhere",
        "Speed limits": "50 km/h on 10 km",
        "Power by leg": "50 to 100 % of the rider's power",
    }


def test_a_ride_without_elevations_asks_whether_the_road_is_flat(editor, tmp_path):
    path = tmp_path / "zero.gpx"
    path.write_text(gpx(ride_of_points(lambda s: 0 * s, length=4000)), encoding="utf-8")
    assert not editor.load(path, "keep") and editor.flat_asked
    assert "zero.gpx has no elevations, or all the same. Is the road flat?" in editor.note
    assert editor.road.name == "Three Kilns 60"
    assert editor.load(path, "keep", flat=True)
    assert editor.road.course.ascent == 0 and editor.name == "zero"


def test_a_road_that_nobody_rides_like_that_gets_a_question(editor):
    assert "?" not in editor.sentence
    editor.set(legs=[{"distance": 650}, {"distance": 650}])
    assert "1,300 km is further than people ride in a day. Are the lengths in kilometres?" in editor.sentence
    editor.set(legs=[{"distance": 20, "gradient": -6}])
    assert "That is a mean speed of " in editor.sentence and "do the descents have a limit?" in editor.sentence
    editor.set(legs=[{"distance": 20, "gradient": 40}])
    assert "slower than people ride" in editor.sentence


def test_a_long_table_of_legs_keeps_all_of_them(editor, tmp_path):
    course = Course([Leg(250 + i, percent(3 if i % 2 else -3), speed_limit=kmh(50)) for i in range(200)])
    path = tmp_path / "waves.csv"
    path.write_text(legs_table(course), encoding="utf-8")
    assert editor.load(path)
    assert len(editor.road.course.legs) == 200 and len(editor.rows) <= 12
    assert editor.road.course.ascent == pytest.approx(course.ascent, rel=1e-4)


def test_legs_as_csv_there_and_back(editor, tmp_path):
    editor.set(legs=[{"distance": 3, "gradient": 1.5, "heading": 90, "wind_speed": 2, "wind_from": 10}])
    road, path = editor.road, editor.save(tmp_path)
    assert path.name == "my_road.csv" and editor.save(tmp_path) == path
    same_road(read_legs(path), road)
    editor.set(legs=[{"distance": 1}])
    assert editor.save(tmp_path).name == "my_road_2.csv"
    assert editor.load(path)
    same_road(editor.road, road)


def test_it_comes_back_as_it_was_left(tmp_path):
    path = tmp_path / "learner.json"
    first = CourseEditor(TOBIN, Profile(path), THREE_KILNS)
    first.call("Home")
    first.type(0, "gradient", "oops")
    again = CourseEditor(TOBIN, Profile(path), THREE_KILNS)
    assert again.name == "Home" and again.rows == first.rows and again.remarks == first.remarks


def test_the_road_kept_in_the_learners_file_can_be_had_elsewhere():
    assert my_own_road() is None
    editor = course_editor()
    editor.set(name="Home", legs=[{"distance": 7}])
    assert my_own_road().name == "Home" and my_own_road().course.distance == 7000
    editor.type(0, "distance", "oops")
    assert my_own_road() is None


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"legs": [{"length": 3}]}, "'length' is no field; there are distance"),
        ({"legs": []}, "0 legs are given; the table holds 1 to 30"),
        ({"legs": [{"distance": -1}]}, "Leg 1, length: -1 km is outside"),
    ],
)
def test_by_code_bad_input_is_refused_in_words(editor, change, words):
    with pytest.raises(ValueError, match=words):
        editor.set(**change)


def test_the_printed_page_shows_the_table_and_the_sentence(editor):
    said = editor.markdown()
    assert said.count("\n|") >= 5 and editor.sentence in said
    time = clock(ride(THREE_KILNS.course, TOBIN.rider, **THREE_KILNS.day(TOBIN.power)).time)
    assert f"Three Kilns 60: 4 legs, 60.0 km with 400 m of climbing. Tobin at 220 W needs {time}." in said


def test_the_road_goes_into_the_panel(tmp_path):
    editor = CourseEditor(ROSALIND, Profile(tmp_path / "l.json"), BRICKFIELD_LOOP)
    panel = my_road(editor.road, editor.member)
    assert panel.values["power"] == 130 and panel.values["all_up_mass"] == 72
    assert "Brickfield Loop 27" in panel.sentence and "not measured" in panel.sentence


def test_the_panel_follows_the_table(tmp_path):
    """Ten flat kilometres in still air at 130 W, then twenty: each by `ride`; a row that cannot be used changes nothing."""
    editor = CourseEditor(ROSALIND, Profile(tmp_path / "l.json"), BRICKFIELD_LOOP)
    panel = edited_road(editor)
    panel.set(power=150)
    for number, legs in ((10, "10;0;0;;;0;0"), (20, "20;0;0;;;0;0")):
        while len(editor.rows) > 1:
            editor.remove(0)
        for cell, text in zip(CELLS, legs.split(";")):
            editor.type(0, cell.field, text)
        course = Course((Leg(1000.0 * number),))
        assert f"takes {clock(ride(course, ROSALIND.rider, 150).time)}" in panel.sentence
        assert panel.values["power"] == 150
    said = panel.sentence
    editor.type(0, "gradient", "99")
    assert panel.sentence == said
    editor.type(0, "gradient", "1")
    editor.add()
    assert panel.sentence != said and len(panel.figure.axes) == 1


# -- the widgets --------------------------------------------------------------------------------------


def boxes(view, row):
    return view._rows[row]._boxes


def test_widgets_follow_and_steer(editor):
    view = editor._view = CourseEditorView(editor)
    boxes(view, 1)["gradient"].value = "99"
    assert editor.remarks and "99 %" in view._rows[1]._remark.value
    boxes(view, 1)["gradient"].value = "5"
    assert not editor.remarks and editor.road.course.legs[1].gradient == percent(5)
    picture = view._picture.value
    view.add(1)
    assert len(view._table.children) == 6 and boxes(view, 2)["gradient"].value == "0"
    assert view._picture.value != picture
    view.do(editor.remove, 0, row=0)
    assert len(view._table.children) == 5
    for box, text in zip(view._wind, ("5", "E")):
        box.value = text
    view._blow()
    assert editor.road.wind_speed.tolist() == [5] * 4
    view._ends.value = "drop"
    editor.load(THREE_KILNS_FILE, "drop")
    assert "2401 points read" in view._note.value and view._name.value == "three kilns"
    legs = len(editor.road.course.legs)
    view.do(editor.open, 0, row=0)
    assert len(view._table.children) == 1 + len(editor.rows) and len(editor.rows) > 12
    assert boxes(view, 0)["distance"].description.startswith("Stretch 1, ")
    view._sum_up.click()
    assert len(editor.rows) <= 12 and len(editor.road.course.legs) == legs
    view._load()
    assert "No file chosen yet" in view._note.value
    assert "No file chosen yet" in view._live.value
    view.close()


def test_every_box_and_button_has_a_name(editor):
    view = CourseEditorView(editor)
    for row in view._rows:
        for box in row._boxes.values():
            assert box.description.startswith(f"Leg {row._place + 1}, ")
        names = [child.tooltip for child in row.box.children[0].children[-3:]]
        assert len(set(names)) == 3 and all(names)
    assert "Course editor" in str([c.value for c in view.box.children if hasattr(c, "value")])


def test_a_bad_leg_leaves_the_time_of_the_last_good_road(editor):
    time = editor.ridden.time
    editor.type(0, "distance", "far")
    assert editor.ridden.time == time and time == pytest.approx(minutes(113.9), rel=0.001)
