"""Panel: the same climbing cut into more and more hills, and what drag area and mass save there."""

from dataclasses import replace

import numpy as np

from dragwork import units
from dragwork.physics.course import ride, steady_ride
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import waves_of
from dragwork.teaching.figures.ranges import RangeRows, Ranges
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import sentence

CUT, LIGHTER = units.percent(5), 3.0  # of the drag area; kg
HILLS = Knob("hills", "Hills on 24 km", "", "1", 2, 2, 30, 1, 0)


@model
def waves(hills, gradient, power):
    """Tobin as he is, with less drag area and with less mass, over 24 km of hills.

    `.ridden .steady`: seconds saved by less drag area and by less mass. `.time`: the whole road as he
    is, ridden and at steady speed on each leg. `.rows`: the ride is the dot, the other end of its line
    is at steady speed on each leg. SI.
    """
    rider, road = TOBIN.rider, waves_of(round(hills), gradient)
    three = replace(
        rider, drag_area=rider.drag_area * np.array([1, 1 - CUT, 1]),
        all_up_mass=rider.all_up_mass - np.array([0, 0, LIGHTER]),
    )  # fmt: skip
    both = [way(road, three, power).time for way in (ride, steady_ride)]
    ridden, steady = (tuple(map(float, time[0] - time[1:])) for time in both)
    pairs = list(zip(ridden, steady))
    rows = RangeRows(
        (f"{units.to_percent(CUT):.0f} % less drag area", f"{LIGHTER:.0f} kg off the bicycle"),
        tuple(map(min, pairs)), ridden, tuple(map(max, pairs)),
        tuple(f"{rode:.0f} s (at steady speed {held:.0f} s)" for rode, held in pairs),
    )  # fmt: skip
    return dict(
        hills=round(hills), length=road.legs[0].distance, ridden=ridden, steady=steady, rows=rows,
        by_drag=ridden[0], time=tuple(float(time[0]) for time in both),
    )  # fmt: skip


@sentence
def in_words(result):
    """{hills} hills at {power:.0f W}, each {each} up {gradient:.1f %} and down again, take Tobin {ride} (at steady
    speed on each leg {held}). {cut:.0f %} less drag area saves {ridden[0]:.0f} s (at steady speed {steady[0]:.0f} s),
    {lighter:.0f kg} less {ridden[1]:.0f} s (at steady speed {steady[1]:.0f} s)."""
    length = f"{result.length:.0f} m" if result.length < 1000 else f"{units.to_kilometres(result.length):.3g} km"
    ride, held = map(units.clock, result.time)
    return dict(each=length, ride=ride, held=held, cut=CUT, lighter=LIGHTER)


def rolling_waves():
    """The panel: turn the number of hills, their slope and the power; the length stays 24 km."""
    gradient = knob("gradient", low=1, reference=3, high=5)
    power = knob("power", low=90, high=400)
    across = (
        "Seconds saved over 24 km. Dot: the ride. Line: to steady speed.\n"
        "Ring: the ride before the last move. Diamond: your prediction."
    )
    first = waves(HILLS.reference, units.percent(gradient.reference), power.reference).rows
    title = "Seconds saved on hills by less drag area and by less mass"
    picture = Ranges(title, across, first)
    return Panel((HILLS, gradient, power), waves, picture, in_words, observed="by_drag")
