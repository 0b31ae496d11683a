"""The panels of the lessons: every knob does something, and the sentences tell known numbers.

The numbers were worked out by hand from the lesson's formulas, apart from this library.
"""

import re
from dataclasses import replace

from ode_ride import ode_ride

from dragwork.scenario.barrow_lane import bl7
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import THREE_KILNS
from dragwork.teaching import panels
from dragwork.units import deg, kmh, percent


def test_watts_quoted_at_50_carried_to_three_riders():
    panel = panels.quoted_watts()
    for speed, wind, watts in ((28.3, 0, "3.6 W"), (44.1, 0, "13.7 W"), (28.9, 3, "7.3 W")):
        panel.set(ground_speed=kmh(speed), wind_speed=wind)
        assert f"saves {watts} at the wheel" in panel.sentence


def test_a_tenth_less_drag_area_makes_tobin_three_and_a_half_percent_faster():
    panel = panels.two_ways()
    assert "3.4 %" not in panel.sentence  # the lesson asks for it first
    panel.set(drag_area_cut=percent(10))
    assert "3.4 % faster" in panel.sentence


def test_seconds_over_ten_kilometres_rise_on_the_hill_and_fall_on_the_flat():
    panel = panels.savings_by_speed()
    told = []
    for power, gradient in ((160, 5), (300, 5), (220, 0)):
        panel.set(power=power, gradient=percent(gradient))
        told.append(panel.sentence)
    assert "6.3 s over 10 km" in told[0]
    assert "8.8 s over 10 km" in told[1]
    assert "16.3 s over 10 km" in told[2]
    panel.set(power=220, wind_speed=3)
    assert "24.3 s over 10 km" in panel.sentence


def test_three_kilns_gives_tobin_81_seconds():
    """By an ODE solver apart from the library; 80 s at the steady speed of each leg."""
    day = THREE_KILNS.day(220)
    low = replace(TOBIN.rider, drag_area=0.95 * TOBIN.rider.drag_area)
    was, now = (ode_ride(THREE_KILNS.course, rider, **day).time for rider in (TOBIN.rider, low))
    assert f"{was - now:.0f} s saved" in panels.my_road().sentence


def test_the_gap_between_hoods_and_time_trial_bike_grows_with_yaw():
    panel = panels.yaw_curves(bl7())
    at = {}
    for yaw in (0, 10, -10):
        panel.set(yaw=deg(yaw))
        at[yaw] = float(re.search(r"it is (0\.\d+) m² here", panel.sentence)[1])
    assert at[10] > at[0] and at[-10] > at[0]
