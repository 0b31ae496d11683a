"""The panels of the roads: pacing, the strip with watts, one's own road, the tail wind.

Numbers in sentences were worked out from the lesson's formulas, or are held against the library's
ride by another way.
"""

import re
from dataclasses import replace

import numpy as np
import pytest
from ode_ride import ode_ride
from panel_checks import at_both_ends
from scipy.optimize import brentq

from dragwork.physics.course import Course, Leg, ride
from dragwork.physics.power import Conditions
from dragwork.physics.savings import time_saved
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import FAROUK, IMKE, MEMBERS, ROSALIND, TOBIN
from dragwork.scenario.roads import BRICKFIELD_LOOP, CINDER_LANE, ROADS, THREE_KILNS
from dragwork.teaching import panels
from dragwork.teaching.figures.road_strip import RoadInMinutes, RoadStrip
from dragwork.units import clock, kilometres, kmh, minutes, percent


def words(picture):
    return [text.get_text() for axes in picture.figure.axes for text in axes.texts if text.get_text()]


# -- pacing -------------------------------------------------------------------------------------------


def test_pacing_says_both_times_and_what_is_won():
    panel = panels.pacing()
    even, paced = re.search(r"takes (\S+) at an even .* crank: (\S+),", panel.sentence).groups()
    assert even == clock(ride(THREE_KILNS.course, TOBIN.rider, **THREE_KILNS.day(220)).time)
    assert paced < even and "same mean of 208 W" in panel.sentence
    panel.set(shift=0)
    assert "With the same power everywhere" in panel.sentence and ", 0 s saved." in panel.sentence


@pytest.mark.parametrize("knob", ["shift", "power", "wind_speed"])
def test_every_knob_of_pacing_changes_picture_and_sentence(knob):
    panel = panels.pacing()
    turned, seen = panel.knobs[knob], []
    for number in (turned.low, turned.high):
        panel.set(**{knob: turned.into_si(number)})
        seen.append((panel.sentence, panel.picture.png()))
    assert seen[0][0] != seen[1][0] and seen[0][1] != seen[1][1]


def test_pacing_shows_the_watts_of_each_leg():
    panel = panels.pacing()
    said = " ".join(words(panel.picture))
    watts = [int(w) for w in re.findall(r"(\d+) W", said)]
    assert len(watts) >= 3 and max(watts) <= 220 * 1.1 + 0.5 and min(watts) >= 220 * 0.9 * 0.5 - 0.5


# -- the strip ----------------------------------------------------------------------------------------


def test_words_on_the_strip_do_not_touch():
    """Measured on the drawn picture, for roads and riders of all kinds."""
    for road in (*ROADS.values(), BRICKFIELD_LOOP):
        panel = panels.my_road(road, TOBIN)
        for power in ("low", "reference", "high"):
            panel.set(power=getattr(panel.knobs["power"], power))
            figure = panel.picture.figure
            panel.picture.png()
            drawn = figure.canvas.get_renderer()
            texts = [t for t in figure.axes[0].texts if t.get_text()]
            boxes = [t.get_window_extent(drawn) for t in texts]
            for i, one in enumerate(boxes):
                for other in boxes[i + 1 :]:
                    assert not one.overlaps(other), (road.name, power)


def test_a_prediction_is_a_finish_on_the_strip():
    panel = panels.my_road()
    panel.predict(minutes(100))
    (marks,) = [line for line in panel.figure.axes[0].lines if line.get_marker() == "D"]
    assert list(marks.get_xdata()) == [100]


def test_power_stands_below_the_minutes_where_there_is_room():
    data = RoadInMinutes(
        np.array([2e4, 1e3]), np.zeros(2), minutes(np.array([40.0, 2.0])), np.zeros(2, bool), power=np.array([210.0, 250])
    )
    picture = RoadStrip(2)
    picture.update(data)
    said = words(picture)
    assert "40 min\n210 W" in said and not any("250 W" in text for text in said)


@pytest.mark.parametrize("member", MEMBERS.values(), ids=lambda m: m.name)
@pytest.mark.parametrize("road", [THREE_KILNS, CINDER_LANE], ids=lambda r: r.name)
def test_ones_own_road_and_rider(road, member):
    panel = panels.my_road(road, member)
    expected = ride(road.course, member.rider, **road.day(member.power)).time
    assert f"{road.name} takes {clock(expected)}." in panel.sentence
    assert "Exactly as assumed" in panel.sentence
    assert panel.observed == pytest.approx(expected)
    panel.set(power=panel.knobs["power"].low, all_up_mass=panel.knobs["all_up_mass"].high)
    assert panel.observed <= minutes(panel.figure.axes[0].get_xlim()[1])


def test_the_sentence_says_for_how_long_the_drag_area_was_not_measured():
    assert "not measured" not in panels.my_road(THREE_KILNS, IMKE).sentence
    found = panels.my_road(BRICKFIELD_LOOP, FAROUK)
    ridden = ride(BRICKFIELD_LOOP.course, FAROUK.rider, **BRICKFIELD_LOOP.day(FAROUK.power))
    beyond = ridden.legs.time[[0, 2, 3]].sum()  # north and south, across the west wind
    assert f"For {beyond / 60:.0f} min of it (dashed)" in found.sentence


# -- two riders ---------------------------------------------------------------------------------------


def test_the_slow_rider_saves_more_on_the_flat_and_less_on_a_climb():
    """Speeds and the gradient where both are even by scipy's brentq, on a force balance of its own."""

    def seconds(member, gradient):
        r, times = member.rider, []
        for area in (r.drag_area, 0.95 * r.drag_area):
            angle = np.arctan(gradient)
            held = r.all_up_mass * 9.80665 * (r.rolling_coefficient * np.cos(angle) + np.sin(angle))
            times.append(10_000 / brentq(lambda v: v * (0.6 * area * v * v + held) - 0.975 * member.power, 0.5, 30))
        return times[0] - times[1]

    panel = panels.who_saves_more()
    for gradient in (0.0, 0.05):
        panel.set(gradient=gradient)
        said = [float(x) for x in re.findall(r"(\d+\.\d) s", panel.sentence)]
        assert said == pytest.approx([seconds(m, gradient) for m in (ROSALIND, IMKE)], abs=0.06)
    assert "Imke saves more" in panel.sentence
    even = brentq(lambda g: seconds(ROSALIND, g) - seconds(IMKE, g), 0.0, 0.08)
    assert f"even at {100 * even:.1f} %" in panel.sentence


# -- whoever rides ------------------------------------------------------------------------------------


@pytest.mark.parametrize("make", [panels.pacing, panels.my_road, panels.rolling_waves, panels.what_first, panels.drag_or_mass,
                                  panels.savings_by_speed])  # fmt: skip
@pytest.mark.parametrize("member", [ROSALIND, FAROUK], ids=["130 W", "95 W"])
def test_the_weakest_of_the_club_can_be_set(make, member):
    panel = make()
    panel.set(power=member.power)
    assert f"{member.power:.0f} W" in panel.sentence


@pytest.mark.parametrize("make", [panels.rolling_waves, panels.what_first])
def test_the_axis_holds_every_range_at_every_end(make):
    panel = make()
    for _ in at_both_ends(panel):
        low, high = panel.figure.axes[0].get_xlim()
        ends = [x for line in panel.figure.axes[0].lines if line.get_marker() == "|" for x in line.get_xdata()]
        assert len(ends) >= 4 and low < min(ends) and max(ends) < high and low < 0 < high


# -- hill after hill ----------------------------------------------------------------------------------


LOW = replace(TOBIN.rider, drag_area=0.95 * TOBIN.rider.drag_area)
LIGHT = replace(TOBIN.rider, all_up_mass=TOBIN.rider.all_up_mass - 3)


def test_drag_area_and_mass_change_places_on_short_hills():
    """The ride by an ODE solver apart from the library; at steady speed as 12 km up and 12 km down."""
    panel = panels.rolling_waves()
    panel.set(hills=24)
    road = Course([Leg(500, 0.03), Leg(500, -0.03, speed_limit=kmh(50))] * 24)
    was, low, light = (ode_ride(road, rider, 220).time for rider in (TOBIN.rider, LOW, LIGHT))

    def steady(rider):
        up, down = (steady_speed(rider, Conditions(gradient=g), 220) for g in (0.03, -0.03))
        return 12_000 / up + 12_000 / min(down, kmh(50))

    told = [float(s) for s in re.findall(r"(\d+) s\b", panel.sentence)]
    before = steady(TOBIN.rider)
    expected = [was - low, before - steady(LOW), was - light, before - steady(LIGHT)]
    assert told == pytest.approx(expected, abs=0.6)
    assert told[0] > told[2] and told[1] < told[3]
    assert f"take Tobin {clock(was)} (at steady speed on each leg {clock(before)})" in panel.sentence


def test_steady_legs_cannot_see_how_many_hills_there_are():
    panel = panels.rolling_waves()
    steady = set()
    for hills in (2, 7, 30):
        panel.set(hills=hills)
        steady.add(tuple(re.findall(r"at steady speed on each leg ([\d:]+)", panel.sentence)))
    assert len(steady) == 1


def test_a_prediction_of_the_hills_is_a_mark_in_the_row_of_the_drag_area():
    panel = panels.rolling_waves()
    panel.predict(30.0, hills=24)
    (marks,) = [line for line in panel.figure.axes[0].lines if line.get_marker() == "D"]
    assert list(marks.get_xdata()) == [30] and list(marks.get_ydata()) == [0]


# -- in which sense a saving grows --------------------------------------------------------------------


def test_pushed_by_the_wind_on_a_climb_less_drag_costs_time():
    panel = panels.savings_by_speed()
    panel.set(power=120, gradient=percent(8), wind_speed=-6)
    lost = re.search(r"or (\S+) s over 10 km", panel.sentence)[1]
    pushed = Conditions(wind_speed=6, wind_angle=np.pi, gradient=percent(8))
    slim = TOBIN.rider.__class__(**vars(TOBIN.rider) | {"drag_area": 0.32 * 0.95})
    expected = time_saved(TOBIN.rider, slim, pushed, 120, kilometres(10))
    assert expected < 0 and float(lost) == pytest.approx(-expected, abs=0.05)
    assert "slower than the wind, which pushes him" in panel.sentence and "costs" in panel.sentence
    panel.set(wind_speed=0)
    assert "costs" not in panel.sentence


def test_a_prediction_of_seconds_stands_at_its_speed_while_slope_and_wind_fit():
    panel = panels.savings_by_speed()
    panel.predict(12.0, power=350)
    drawn = [line for axes in panel.figure.axes for line in axes.lines if line.get_marker() == "D"]
    marks = [line for line in drawn if len(line.get_xdata())]
    assert len(marks) == 1
    (x,), (y,) = marks[0].get_data()
    assert y == 12.0
    panel.set(power=350)
    point = next(line for line in panel.figure.axes[2].lines if line.get_marker() == "o")
    assert x == pytest.approx(point.get_xdata()[0], abs=0.1)
    panel.set(gradient=percent(5))
    assert len(marks[0].get_xdata()) == 0


def test_sentences_of_the_road_fit_into_three_lines():
    """90 letters of 16 pixels stand in a line of the panel."""
    panel = panels.savings_by_speed()
    for values in ({}, {"gradient": percent(8), "wind_speed": -6, "power": 120}, {"wind_speed": 6}):
        panel.set(**values)
        assert len(panel.sentence) < 3 * 85
    assert len(panels.pacing().sentence) < 3 * 85
    assert len(panels.rolling_waves().sentence) < 3 * 85
    assert len(panels.my_road(BRICKFIELD_LOOP, ROSALIND).sentence) < 3 * 85
