"""Panels of lessons 9 and 11: rides on whole roads, in minutes and seconds."""

from contextlib import suppress
from dataclasses import replace
from functools import partial
from math import ceil

import numpy as np

from dragwork import units
from dragwork.decisions.options import rank
from dragwork.decisions.pacing import even_against_paced
from dragwork.physics.course import Course, Leg, ride, steady_ride
from dragwork.scenario.choices import choices
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import THREE_KILNS, waves_of
from dragwork.teaching.figures.road_strip import RoadStrip, road_in_minutes, unmeasured
from dragwork.teaching.figures.rows import RangeRow, Ranges
from dragwork.teaching.figures.style import WIDTH
from dragwork.teaching.panels.knobs import knob, on_a_slope
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.report import listed
from dragwork.teaching.telling import saved_or_lost, sentence
from dragwork.teaching.verdicts import option_rows

WEAKEST, _HEAVIER = 90.0, 20  # W, with the hand-cyclist's 95 in reach; kg on top of the rider's mass
_AXIS = units.minutes(20)  # the minutes shown are a multiple of these


@model
def ridden(drag_area_cut, power, all_up_mass, road=THREE_KILNS, member=TOBIN):
    """A member on a road, before and after; Tobin on Three Kilns 60 unless said.

    Its .strip in minutes, and the rides .before and .after a cut of the drag area.
    """
    rider = replace(member.rider, all_up_mass=all_up_mass)
    lower = replace(rider, drag_area=rider.drag_area * (1 - drag_area_cut))
    before, after = (ride(road.course, who, **road.day(power)) for who in (rider, lower))
    strip = road_in_minutes(road.course, before, saved=before.legs.time - after.legs.time)
    return dict(strip=strip, before=before, after=after)


@sentence
def ridden_in_words(result):
    """Exactly as assumed, with {all_up_mass:.0f kg} all up at {power:.0f W}, {road.name} takes {before}.
    {drag_area_cut:.0f %} less drag area makes it {after}: {saving}, on leg {leg} alone {there}.{unmeasured}"""
    most = abs(result.strip.saved).argmax()
    return _times(result.before, result.after) | dict(
        leg=most + 1, there=saved_or_lost(result.strip.saved[most]), unmeasured=unmeasured(result.before)
    )


def _times(before, after):
    """Two rides of a road, and what the second saves, in words."""
    saving = saved_or_lost(before.time - after.time)
    return dict(before=units.clock(before.time), after=units.clock(after.time), saving=saving)


def _strip(road, slowest):
    """The strip of a road, with whole steps of its axis for the slowest ride."""
    return RoadStrip(len(road.course.legs), ceil(slowest.time / _AXIS) * _AXIS, width=WIDTH)


def my_road(road=THREE_KILNS, member=TOBIN):
    """The panel: turn the cut, the power and the mass.

    Parameters
    ----------
    road : Road
        The editor's `.road`, for one.
    member : Member
        Whose power and mass are the reference.
    """
    mass, power = member.rider.all_up_mass, member.power
    power = knob("power", low=min(WEAKEST, power), reference=power, high=max(450, 2 * power))
    mass = knob("all_up_mass", low=min(45, mass), reference=mass, high=mass + _HEAVIER)
    rides, strip = _shown(road, member, power, mass)
    return Panel(("drag_area_cut", power, mass), rides, strip, ridden_in_words, observed="before.time")


def _shown(road, member, power, mass):
    """The model of a road, and the strip it is drawn on: as long as the slowest ride that can be set."""
    rides = partial(ridden, road=road, member=member)
    return rides, _strip(road, rides(0, power.into_si(power.low), mass.into_si(mass.high)).before)


def edited_road(editor):
    """The panel of the road in a course editor: it follows each change of the table.

    Parameters
    ----------
    editor : CourseEditor
    """
    panel = my_road(editor.road, editor.member)
    knobs = panel.knobs["power"], panel.knobs["all_up_mass"]

    def follow():
        with suppress(ValueError):  # the panel says it
            panel.redo(*_shown(editor.road, editor.member, *knobs))

    editor.follower = follow
    return panel


# -- the same mean power, more of it where the road is slow ----------------------------------------------

@model
def paced(shift, power, wind_speed, road=THREE_KILNS, member=TOBIN):
    """A member on a road, even and paced, with that wind on the legs that have any.

    Its .strip in minutes as ridden paced, whose `saved` is against the even ride. SI, watts at the crank.
    """
    wind = {"wind_speed": np.where(road.wind_speed > 0, wind_speed, 0.0), "wind_from": road.wind_from}
    found = even_against_paced(road.course, member.rider, power * road.power_factor, shift, **wind)
    even, paced = found.even.legs, found.paced.legs
    strip = road_in_minutes(road.course, found.paced, saved=even.time - paced.time, power=paced.power)
    return dict(strip=strip, **vars(found))


@sentence
def paced_in_words(result):
    """{road.name} in {wind_speed:.1f m/s} of wind takes {before} at an even {power:.0f W}. {moved}, at the same mean of
    {even.mean_power:.0f W} at the crank: {after}, {saving}."""
    most, least = (units.to_percent(end - 1) for end in (result.factor.max(), result.factor.min()))
    moved = f"With {most:+.0f} % on the slowest leg and {least:+.0f} % on the fastest"
    if most - least < 0.5:
        moved = "With the same power everywhere"
    return _times(result.even, result.paced) | dict(moved=moved)


def pacing(road=THREE_KILNS, member=TOBIN):
    """The panel: turn the shift, the power and the wind. No leg moves by more than a tenth."""
    power = knob("power", low=90)
    wind = knob("wind_speed", label="Wind on the legs that have any", reference=3, high=8)
    rides = partial(paced, road=road, member=member)
    strip = _strip(road, rides(0.0, power.low, wind.high).even)
    return Panel(("shift", power, wind), rides, strip, paced_in_words, observed="paced.time")


# -- the same climbing cut into more and more hills ------------------------------------------------------

CUT, LIGHTER = units.percent(5), 3.0  # of the drag area; kg


@model
def waves(hills, gradient, power):
    """Tobin as he is, with less drag area and with less mass, over 24 km of hills.

    `.ridden .steady`: seconds saved by less drag area and by less mass. `.time`: the whole road as he
    is, ridden and at steady speed on each leg. `.rows`: the ride is the dot, the other end of its line
    is at steady speed on each leg. SI.
    """
    rider, road = TOBIN.rider, waves_of(round(hills), gradient)
    drag_area = rider.drag_area * np.array([1, 1 - CUT, 1])
    mass = rider.all_up_mass - np.array([0, 0, LIGHTER])
    three = replace(rider, drag_area=drag_area, all_up_mass=mass)
    both = [way(road, three, power).time for way in (ride, steady_ride)]
    ridden, steady = (tuple(map(float, time[0] - time[1:])) for time in both)
    names = f"{units.to_percent(CUT):.0f} % less drag area", f"{LIGHTER:.0f} kg off the bicycle"
    rows = [
        RangeRow(name, min(rode, held), rode, max(rode, held), f"{rode:.0f} s (at steady speed {held:.0f} s)")
        for name, rode, held in zip(names, ridden, steady)
    ]
    times, length = [float(time[0]) for time in both], road.legs[0].distance
    return dict(hills=round(hills), length=length, ridden=ridden, steady=steady, rows=rows, time=times)


@sentence
def waves_in_words(result):
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
    hills = knob("hills")
    picture = Ranges(
        "Seconds saved on hills by less drag area and by less mass",
        "Seconds saved over 24 km. Dot: the ride. Line: to steady speed.\n"
        "Ring: the ride before the last move. Diamond: your prediction.",
        waves(hills.reference, units.percent(gradient.reference), power.reference).rows,
    )
    return Panel((hills, gradient, power), waves, picture, waves_in_words, lambda result: result.ridden[0])


# -- five things that Tobin could change, each with its range --------------------------------------------

DISTANCE = units.kilometres(10)
_DRAWS = 200  # a range that moves with the slider; a table takes more


@model
def ranked(power, gradient, held):
    """Tobin's five options over 10 km of one slope: the rows of the picture, best first."""
    table = rank(choices(TOBIN, held), TOBIN.rider, Course([Leg(DISTANCE, gradient)]), power, draws=_DRAWS)
    return dict(rows=option_rows(table))


@sentence
def ranked_in_words(result):
    """Over 10 km {road} at {power:.0f W}, the position held for {held:.0f %} of the way, the order is: {said}."""
    said = [f"{row.name} ({abs(row.mid):.0f} s{' lost' if round(row.mid) < 0 else ''})" for row in result.rows]
    return dict(road=on_a_slope(result.gradient), said=listed(said))


def what_first():
    """The panel: turn the power, the slope and how long the position is held."""
    power = knob("power", low=90, high=400)
    gradient = knob("gradient", low=0, high=5)
    picture = Ranges(
        "Seconds saved by each of five options",
        "Seconds saved over 10 km. Dot: median. Line: 80 % range.\nRing: the median before the last move.",
        ranked(TOBIN.power, 0.0, 0.8).rows,
    )
    return Panel((power, gradient, "held"), ranked, picture, ranked_in_words)
