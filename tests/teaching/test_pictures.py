"""The pictures of the page: dots with intervals, and the road as a strip in minutes."""

import numpy as np
import pytest
from PIL import Image

from dragwork.physics.course import Course, Leg, ride
from dragwork.physics.power import Rider
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import CINDER_LANE, LONG_HILL, THREE_KILNS
from dragwork.teaching.figures.road_strip import (
    RoadInMinutes,
    RoadStrip,
    road_in_minutes,
)
from dragwork.teaching.figures.rows import Dots, DragAreas, set_up_looks
from dragwork.units import deg, minutes


def areas(shift=0.0, missing=None):
    middle = np.array([[0.32, 0.318, 0.321], [0.304, 0.302, 0.305]]) + shift
    if missing is not None:
        middle[missing] = np.nan
    return DragAreas(("A", "B"), deg([-10, 0, 10]), middle, middle - 0.004, middle + 0.006, 0.95)


def words(picture):
    """All text that the figure shows."""
    texts = [
        text.get_text()
        for axes in picture.figure.axes
        for text in (*axes.texts, axes.title, axes._left_title, axes.xaxis.label)
    ]
    return [text for text in texts if text]


# -- dots -------------------------------------------------------------------------------------------


def test_each_dot_stands_at_its_drag_area_and_each_line_spans_its_interval():
    picture = Dots(areas())
    picture.update(areas())
    assert len(picture.figure.axes) == 3  # one axis a yaw
    for i, axes in enumerate(picture.figure.axes):
        drawn = [line.get_xdata() for line in axes.lines]
        for j in range(2):
            middle = areas().drag_area[j, i]
            assert any(len(x) == 1 and x[0] == middle for x in drawn)
            assert any(len(x) == 2 and tuple(x) == (middle - 0.004, middle + 0.006) for x in drawn)


def test_dots_say_their_numbers_yaws_and_level_in_words():
    picture = Dots(areas())
    picture.update(areas())
    said = words(picture)
    assert "0.318 (0.314 to 0.324)" in said
    assert "Yaw −10°, air from the left" in said
    assert "Yaw 0°, air from ahead" in said
    assert "Yaw 10°, air from the right" in said
    assert any("95 %" in text for text in said)


def test_a_cell_that_was_not_measured_says_so_and_shows_no_dot():
    picture = Dots(areas())
    picture.update(areas(missing=(1, 0)))
    assert "not measured" in words(picture)
    first = picture.figure.axes[0]
    assert sum(len(line.get_xdata()) for line in first.lines) == 3  # A's dot and interval


def test_set_ups_keep_their_look_when_only_some_are_shown():
    looks = set_up_looks(("A", "B", "C", "D"))
    assert looks["B"] != looks["A"]
    picture = Dots(DragAreas(("B",), *_one_row(areas())), looks)
    assert picture.figure.axes[0].lines[-1].get_marker() == looks["B"]["marker"]
    markers = {looks[name]["marker"] for name in "ABC"}
    assert len(markers) == 3  # apart without colour


def _one_row(all_areas):
    parts = (all_areas.drag_area, all_areas.low, all_areas.high)
    return (all_areas.yaw, *(part[1:] for part in parts), 0.95)


def test_the_state_before_is_traced_and_goes_away_again():
    picture = Dots(areas(), limits=(0.28, 0.34))
    picture.update(areas(), before=areas(0.01))
    drawn = [x for line in picture.figure.axes[1].lines for x in line.get_xdata()]
    assert 0.318 + 0.01 in drawn
    picture.update(areas())
    drawn = [x for line in picture.figure.axes[1].lines for x in line.get_xdata()]
    assert 0.318 + 0.01 not in drawn
    assert picture.figure.axes[0].get_xlim() == (0.28, 0.34)


# -- the strip --------------------------------------------------------------------------------------


def strip_of(road, rider=TOBIN.rider, **options):
    ridden = ride(road.course, rider, **road.day(TOBIN.power))
    picture = RoadStrip(len(road.course.legs), **options)
    picture.update(road_in_minutes(road.course, ridden))
    return picture, ridden


@pytest.mark.parametrize("road", [CINDER_LANE, THREE_KILNS, LONG_HILL], ids=lambda r: r.name)
def test_legs_are_as_long_as_they_last_and_fill_the_strip(road):
    picture, ridden = strip_of(road)
    boxes = picture.figure.axes[0].patches
    widths = [box.get_width() for box in boxes]
    assert widths == pytest.approx(ridden.legs.time / 60)
    assert boxes[0].get_x() == 0
    ends = [box.get_x() + box.get_width() for box in boxes]
    assert [box.get_x() for box in boxes[1:]] == pytest.approx(ends[:-1])
    assert picture.figure.axes[0].get_xlim() == pytest.approx((0, ridden.time / 60))


def test_minutes_not_kilometres():
    """Twice the time for the same distance is twice the length, by definition of the strip."""
    slow_and_fast = RoadInMinutes(
        np.array([1e4, 1e4]), np.zeros(2), minutes(np.array([40.0, 20.0])), np.zeros(2, bool)
    )
    picture = RoadStrip(2)
    picture.update(slow_and_fast)
    first, second = picture.figure.axes[0].patches
    assert first.get_width() == pytest.approx(2 * second.get_width())


def test_legs_say_length_slope_minutes_and_seconds():
    data = RoadInMinutes(
        np.array([2e4, 1e4, 1e4]),
        np.array([0.0, 0.04, -0.06]),
        minutes(np.array([40.0, 30.0, 20.0])),
        np.array([False, True, False]),
        np.array([12.4, 3.0, -2.0]),
    )
    picture = RoadStrip(3)
    picture.update(data)
    said = words(picture)
    for text in (
        "20 km\nflat",
        "10 km\n4 % up",
        "10 km\n6 % down",
        "40 min",
        "12 s\nsaved",
        "2 s\nlost",
    ):
        assert text in said, text


def test_slopes_differ_without_colour():
    picture, _ = strip_of(THREE_KILNS)
    flat, up, down, _ = picture.figure.axes[0].patches
    assert len({flat.get_hatch(), up.get_hatch(), down.get_hatch()}) == 3


def test_a_leg_beyond_the_measured_yaw_is_underlined():
    data = RoadInMinutes(
        np.array([2e4, 1e4]), np.zeros(2), np.array([600.0, 300.0]), np.array([False, True])
    )
    picture = RoadStrip(2)
    picture.update(data)
    drawn = [line.get_xdata() for line in picture.figure.axes[0].lines]
    assert [x[:-1] for x in drawn if len(x)] == [pytest.approx([10.0, 15.0])]  # and a gap before the next


def test_a_fixed_axis_stays_fixed_and_the_time_before_is_traced():
    picture = RoadStrip(4, most_time=minutes(160))
    course = THREE_KILNS.course
    slow = ride(course, TOBIN.rider, **THREE_KILNS.day(160))
    fast = ride(course, TOBIN.rider, **THREE_KILNS.day(250))
    picture.update(road_in_minutes(course, fast), before=road_in_minutes(course, slow))
    axes = picture.figure.axes[0]
    assert axes.get_xlim() == (0, 160)
    assert max(max(line.get_xdata(), default=0) for line in axes.lines) == pytest.approx(
        slow.time / 60
    )


def test_words_never_stand_closer_than_they_are_wide():
    """A road of many short legs: some words are left out, none overlap."""
    course = Course([Leg(2e4), *[Leg(800.0, 0.03)] * 4, Leg(2e4)])
    picture = RoadStrip(6)
    picture.update(road_in_minutes(course, ride(course, Rider(84, 0.32), 220)))
    picture.png()
    renderer = picture.figure.canvas.get_renderer()
    texts = [t for t in picture.figure.axes[0].texts if t.get_text()]
    boxes = [text.get_window_extent(renderer) for text in texts]
    for i, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[i + 1 :])


def test_a_road_of_many_legs_is_drawn_without_words():
    course = Course([Leg(1000.0)] * 40)
    picture = RoadStrip(40)
    picture.update(road_in_minutes(course, ride(course, Rider(84, 0.32), 220)))
    assert words(picture) == ["Minutes from the start, exactly as assumed"]
    assert len(picture.figure.axes[0].patches) == 40


# -- both -------------------------------------------------------------------------------------------


def test_saved_pictures_are_small_and_the_same_each_time():
    pictures = []
    for _ in range(2):
        dots = Dots(areas())
        dots.update(areas())
        pictures.append((dots.saved_png(), strip_of(THREE_KILNS)[0].saved_png()))
    assert pictures[0] == pictures[1]
    assert all(len(png) < 60_000 for png in pictures[0])


def test_pictures_read_in_grey():
    """The two set-ups, drawn in grey, are still two: dark on white, markers of different shape."""
    dots = Dots(areas())
    dots.update(areas())
    from io import BytesIO

    grey = np.asarray(Image.open(BytesIO(dots.saved_png())).convert("L"))
    assert grey.max() == 255 and (grey < 120).mean() > 0.005
