"""The panels of the wind: triangles of known angles, a gap worked out by hand, shares by trial.

The numbers come from geometry and from the lesson's formulas, apart from this library.
"""

import numpy as np
import pytest
from matplotlib.patches import FancyArrowPatch

from dragwork.physics.drag import YawCurve
from dragwork.scenario.wheels import DEEP, SHALLOW
from dragwork.teaching import panels
from dragwork.teaching.panels.wind import day, gap_between, triangle
from dragwork.units import deg, kmh, to_deg

# -- the triangle -----------------------------------------------------------------------------------


def test_as_much_wind_as_speed_halves_the_angle():
    """A rhombus: 18 km/h is 5 m/s, and so is the wind."""
    assert "at 18 km/h the yaw is 30° and at 48 km/h the yaw is 15°" in panels.wind_triangle().sentence
    assert to_deg(triangle(5, 5, deg(60)).yaw) == pytest.approx(30)


def test_three_four_five():
    panel = panels.wind_triangle()
    panel.set(ground_speed=4, wind_speed=3, wind_angle=deg(90))
    assert "the apparent wind is 5.0 m/s at a yaw of 36.9°" in panel.sentence


@pytest.mark.parametrize("case", [(10, 5, 60), (5, 8, 150), (12, 0, 0), (3, 9, 180)])
def test_the_arrows_close_the_triangle_to_scale(case):
    """Own speed and wind, head to tail, are the felt air; as drawn, and by the law of cosines."""
    v, w, degrees = case
    panel = panels.wind_triangle()
    panel.set(ground_speed=v, wind_speed=w, wind_angle=deg(degrees))
    arrows = [patch for patch in panel.figure.axes[0].patches if isinstance(patch, FancyArrowPatch)]
    own, wind, felt = (np.diff(np.array(arrow._posA_posB), axis=0)[0] for arrow in arrows)
    assert own + wind == pytest.approx(felt)
    assert np.hypot(*own) == pytest.approx(v) and np.hypot(*wind) == pytest.approx(w)
    square = v**2 + w**2 + 2 * v * w * np.cos(deg(degrees))
    assert np.hypot(*felt) == pytest.approx(np.sqrt(square))


def test_the_trace_and_the_guess_stand_where_they_should():
    panel = panels.wind_triangle()
    panel.predict(deg(60), ground_speed=kmh(18))
    panel.set(wind_angle=deg(90))
    _, plane = panel.picture.planes
    assert plane.guesses.artists[0].get_xydata() == pytest.approx(np.array([[18, 60]]))
    (trace,), (curve, *_) = plane.traces.values(), plane.lines
    assert trace.get_ydata()[-1] < curve.get_ydata()[-1]


# -- the gap ----------------------------------------------------------------------------------------


def test_wheels_that_take_more_are_said_to_cost():
    """A tailwind of 6 m/s on 10 km/h: the air pushes, and the lower drag area is pushed less."""
    panel = panels.crosswind_gap()
    panel.set(ground_speed=kmh(10), wind_speed=6, wind_angle=deg(180))
    pushed = 0.5 * 1.2 * (6 - kmh(10)) ** 2 * kmh(10) * (SHALLOW.extended(np.pi) - DEEP.extended(np.pi))
    assert f"deep wheels cost {abs(pushed):.1f} W of air power" in panel.sentence


def test_the_gap_by_hand():
    """3 m/s square from the side of 10 m/s: 16.7°, between two angles of the sheet."""
    v, w = 10.0, 3.0
    yaw = np.degrees(np.arctan(w / v))
    share = (yaw - 15) / 5  # between the sheet's 15° and 20°
    shallow = 0.3250 + share * (0.3268 - 0.3250)
    deep = 0.3145 + share * (0.3160 - 0.3145)
    watts = 0.6 * (v**2 + w**2) * (shallow - deep) * v
    panel = panels.crosswind_gap()
    panel.set(ground_speed=v, wind_speed=w, wind_angle=deg(90))
    assert f"save {watts:.1f} W of air power" in panel.sentence
    assert f"In still air they save {0.6 * v**3 * 0.001:.1f} W" in panel.sentence


@pytest.mark.parametrize("make", [panels.wind_triangle, panels.crosswind_gap])
def test_where_no_air_moves_there_is_no_yaw(make):
    """A wind from behind at the rider's own speed: their difference is zero, and has no direction."""
    panel = make()
    panel.set(ground_speed=5.0, wind_speed=5.0, wind_angle=np.pi)
    assert "no air moves past the rider" in panel.sentence
    assert "90°" not in panel.sentence and "nan" not in panel.sentence
    panel.set(ground_speed=6.0)
    assert "the yaw is 0°" in panel.sentence or "yaw of 0.0°" in panel.sentence


def test_another_rider_as_fast_as_the_wind_feels_no_air():
    panel = panels.wind_triangle()
    panel.set(ground_speed=10.0, wind_speed=5.0, wind_angle=np.pi)
    assert "at 18 km/h no air moves and at 48 km/h the yaw is 0°" in panel.sentence


def test_without_wind_all_directions_are_alike():
    gap = gap_between({"a": SHALLOW, "b": DEEP})(11.0, 0.0, deg(70))
    assert gap.saved == gap.calm_saved == pytest.approx(gap.mean_saved)
    panel = panels.crosswind_gap()
    panel.set(wind_speed=0)
    assert "in still air the yaw is 0°: deep wheels have 0.3190 m² there against 0.3200 m² for shallow wheels" in panel.sentence


def test_the_mean_is_that_of_random_directions():
    random = np.random.default_rng(5).uniform(-np.pi, np.pi, 4000)
    gap = gap_between({"a": SHALLOW, "b": DEEP})
    some = gap(11.0, 2.0, abs(random[:400])).saved
    assert np.mean(some) == pytest.approx(gap(11.0, 2.0, 0.0).mean_saved, rel=0.1)


def test_the_gap_of_a_set_up_and_itself_is_nothing():
    gap = gap_between({"a": SHALLOW, "b": SHALLOW})(10.0, 5.0, deg(50))
    assert gap.saved == gap.mean_saved == 0 and not gap.along.saved.any()


def test_directions_beyond_the_measured_yaw_are_counted():
    """Curves to 30°: with half as much wind as speed no yaw lies beyond; asin(1/2) is 30°."""
    wide = YawCurve(deg(np.array([0.0, 30.0])), [0.3, 0.31])
    gap = gap_between({"a": wide, "b": wide})
    assert gap(10.0, 4.99, 0.0).share_beyond == 0
    beyond = gap(10.0, 20.0, 0.0).share_beyond  # sin(phi - yaw) = v/w sin(yaw): 44.5° each side
    at_edge = 30 + np.degrees(np.arcsin(0.5 * np.sin(deg(30))))
    assert beyond == pytest.approx(1 - at_edge / 180, abs=1 / 180)


# -- the day ----------------------------------------------------------------------------------------


def test_the_shares_are_those_of_random_winds():
    rng = np.random.default_rng(7)
    mean = 4 * np.log(1 / 0.03) / np.log(10 / 0.03)  # the log law, open grass
    winds = rng.rayleigh(mean * np.sqrt(2 / np.pi), 60_000)
    angles = rng.uniform(-np.pi, np.pi, 60_000)
    air = 10 + winds * np.exp(1j * angles)
    yaw = np.degrees(np.abs(np.angle(air)))
    told = day(10.0, 4.0)
    assert told.rider_wind == pytest.approx(mean)
    assert told.share_small == pytest.approx(np.mean(yaw <= 5), abs=0.01)
    assert told.share_beyond == pytest.approx(np.mean(yaw > 20), abs=0.01)
    assert to_deg(told.half_within) == pytest.approx(np.median(yaw), abs=0.2)
    inside = np.abs(yaw) < 60
    assert told.shares.sum() == pytest.approx(inside.mean(), abs=0.01)
    assert told.shares == pytest.approx(told.shares[::-1], abs=1e-3)


def test_the_faster_rider_has_the_smaller_yaw():
    slow, fast = (day(kmh(speed), 4.0) for speed in (18, 48))
    assert slow.half_within > 2 * fast.half_within
    assert slow.share_beyond > fast.share_beyond


def test_the_panel_opens_at_my_speed():
    panel = panels.yaw_day(kmh(27.34))
    assert "a rider at 27.3 km/h" in panel.sentence
    assert "a rider at 8.0 km/h" in panels.yaw_day(kmh(8)).sentence
