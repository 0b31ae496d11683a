"""Panel: one road as minutes, for a mass, a power and a cut of the drag area."""

from contextlib import suppress
from dataclasses import replace
from functools import partial
from math import ceil

from dragwork import units
from dragwork.physics.course import ride
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import THREE_KILNS
from dragwork.teaching.figures.road_strip import RoadStrip, road_in_minutes, unmeasured
from dragwork.teaching.figures.style import WIDTH
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.telling import saved_or_lost, sentence

WEAKEST, _HEAVIER = 90.0, 20  # W, with the hand-cyclist's 95 in reach; kg on top of the rider's mass
_AXIS = units.minutes(20)  # the minutes shown are a multiple of these


@model
def ridden(drag_area_cut, power, all_up_mass, road=THREE_KILNS, member=TOBIN):
    """A member on a road, before and after; Tobin on Three Kilns 60 unless said.

    Its strip in minutes, and .time_before .time_after [s] of a cut of the drag area.
    """
    rider = replace(member.rider, all_up_mass=all_up_mass)
    lower = replace(rider, drag_area=rider.drag_area * (1 - drag_area_cut))
    before = ride(road.course, rider, **road.day(power))
    after = ride(road.course, lower, **road.day(power))
    return dict(
        **vars(road_in_minutes(road.course, before, after)),
        rider_power=power,
        time_before=before.time,
        time_after=after.time,
        unmeasured=unmeasured(before),
    )


@sentence
def in_words(result):
    """Exactly as assumed, with {all_up_mass:.0f kg} all up at {rider_power:.0f W}, {road.name} takes {before}.
    {drag_area_cut:.0f %} less drag area makes it {after}: {saving}, on leg {leg} alone {there}.{unmeasured}"""
    most = abs(result.saved).argmax()
    return dict(
        before=units.clock(result.time_before),
        after=units.clock(result.time_after),
        saving=saved_or_lost(result.time_before - result.time_after),
        leg=most + 1,
        there=saved_or_lost(result.saved[most]),
    )


def whole_axis(slowest):
    """How far an axis goes that shows the slowest ride [s]."""
    return ceil(slowest / _AXIS) * _AXIS


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
    power = knob("power", low=min(WEAKEST, power), reference=power,
        high=max(450, 2 * power),
    )  # fmt: skip
    mass = knob("all_up_mass", low=min(45, mass), reference=mass, high=mass + _HEAVIER
    )
    knobs = ("drag_area_cut", power, mass)
    return Panel(knobs, *_shown(road, member, power, mass), in_words, observed="time_before")


def _shown(road, member, power, mass):
    """The model of a road, and the strip it is drawn on: as long as the slowest ride that can be set."""
    rides = partial(ridden, road=road, member=member)
    slowest = rides(0, power.into_si(power.low), mass.into_si(mass.high)).time_before
    return rides, RoadStrip(len(road.course.legs), whole_axis(slowest), width=WIDTH)


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
