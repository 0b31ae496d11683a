"""The course editor: what is typed stays, what is wrong is told at its row, the road follows."""

import numpy as np
import pytest

from dragwork.measurement.road import read_legs
from dragwork.physics.course import ride
from dragwork.scenario.riders import ROSALIND, TOBIN
from dragwork.scenario.roads import BRICKFIELD_LOOP, THREE_KILNS
from dragwork.scenario.three_kilns import three_kilns_file
from dragwork.teaching.forms.course_editor import CourseEditor, course_editor, my_own_road
from dragwork.teaching.forms.course_editor_view import CourseEditorView
from dragwork.teaching.forms.flow import File
from dragwork.teaching.panels import my_road
from dragwork.teaching.profile import Profile
from dragwork.units import deg, kmh, minutes, percent


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
    assert "Power is 0 on leg 1" in editor.remarks[0]


def test_legs_come_and_go_and_one_stays(editor):
    editor.add(0)
    assert len(editor.rows) == 5 and editor.rows[1]["distance"] == "20"
    for _ in range(4):
        editor.remove(0)
    assert len(editor.rows) == 1
    editor.remove(0)
    assert len(editor.rows) == 1 and "one leg at least" in editor.note
    for _ in range(40):
        editor.add()
    assert len(editor.rows) == 30 and "30 legs" in editor.note


def test_the_same_wind_on_every_leg(editor):
    editor.blow("4,5", "SW")
    assert editor.road.wind_speed.tolist() == [4.5] * 4
    assert editor.road.wind_from == pytest.approx([deg(225)] * 4)


def test_a_recorded_ride_asks_about_its_ends_first(editor):
    assert not editor.load(three_kilns_file())
    assert "First choose whether to leave out the first and last 300 m" in editor.note
    assert len(editor.rows) == 4
    assert editor.load(three_kilns_file(), "drop")
    assert editor.road.course.distance == pytest.approx(59_400, rel=0.01)
    assert editor.road.course.ascent == pytest.approx(400, rel=0.05)
    assert len(editor.rows) <= 30 and "The first and last 300 m are left out." in editor.note
    assert editor.load(three_kilns_file(), "keep")
    assert editor.road.course.distance == pytest.approx(60_000, rel=0.01)


def test_descents_of_a_recorded_ride_are_capped(editor):
    editor.load(three_kilns_file(), "keep", "42")
    limits = editor.road.course.column("speed_limit")
    downhill = editor.road.course.column("gradient") < percent(-2)
    assert downhill.any() and np.all(limits[downhill] == kmh(42))
    assert np.all(np.isinf(limits[~downhill]))
    assert not editor.load(three_kilns_file(), "keep", "fast")
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
    assert "Three Kilns 60: 4 legs, 60.0 km with 400 m of climbing. Tobin at 220 W needs 1:53:52." in said


def test_the_road_goes_into_the_panel(tmp_path):
    editor = CourseEditor(ROSALIND, Profile(tmp_path / "l.json"), BRICKFIELD_LOOP)
    panel = my_road(editor.road, editor.member)
    assert panel.values["power"] == 130 and panel.values["all_up_mass"] == 72
    assert "Brickfield Loop 27" in panel.sentence and "not measured" in panel.sentence


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
    view._add(1)
    assert len(view._table.children) == 6 and boxes(view, 2)["gradient"].value == "0"
    assert view._picture.value != picture
    view.remove(0)
    assert len(view._table.children) == 5
    for box, text in zip(view._wind, ("5", "E")):
        box.value = text
    view._blow()
    assert editor.road.wind_speed.tolist() == [5] * 4
    view._ends.value = "drop"
    editor.load(three_kilns_file(), "drop")
    assert "2401 points read" in view._note.value and view._name.value == "three kilns"
    view._load()
    assert "No file chosen yet" in view._note.value
    assert "No file chosen yet" in view._live.value
    view.close()


def test_every_box_and_button_has_a_name(editor):
    view = CourseEditorView(editor)
    for row in view._rows:
        for box in row._boxes.values():
            assert box.description.startswith(f"Leg {row._place + 1}, ")
        names = [child.tooltip for child in row.box.children[0].children[-2:]]
        assert len(set(names)) == 2 and all(names)
    assert "Course editor" in str([c.value for c in view.box.children if hasattr(c, "value")])


def test_a_bad_leg_leaves_the_time_of_the_last_good_road(editor):
    time = editor.ridden.time
    editor.type(0, "distance", "far")
    assert editor.ridden.time == time and time == pytest.approx(minutes(113.9), rel=0.001)
