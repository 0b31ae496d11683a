"""Panel: one road as minutes, for a mass, a power and a cut of the drag area."""

from dataclasses import dataclass, replace

from dragwork import units
from dragwork.physics.course import ride
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import THREE_KILNS, Road
from dragwork.teaching.figures.road_strip import RoadInMinutes, RoadStrip, road_in_minutes
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.panels.panel import Panel

MOST_TIME = units.minutes(160)


@dataclass(frozen=True, eq=False, kw_only=True)
class RoadRidden(RoadInMinutes):
    """A road ridden twice, before and after a cut of the drag area. SI."""

    road: Road
    all_up_mass: float
    power: float
    drag_area_cut: float
    time_before: float
    time_after: float


def ridden(drag_area_cut, power, all_up_mass):
    """Tobin on Three Kilns 60, before and after."""
    road = THREE_KILNS
    rider = replace(TOBIN.rider, all_up_mass=all_up_mass)
    lower = replace(rider, drag_area=rider.drag_area * (1 - drag_area_cut))
    before = ride(road.course, rider, **road.day(power))
    after = ride(road.course, lower, **road.day(power))
    return RoadRidden(
        **vars(road_in_minutes(road.course, before, after)),
        road=road,
        all_up_mass=all_up_mass,
        power=power,
        drag_area_cut=drag_area_cut,
        time_before=before.time,
        time_after=after.time,
    )


def in_words(result):
    """The time, the time after, and the leg that gives most of it."""
    saved = result.time_before - result.time_after
    most = result.saved.argmax()
    return (
        f"With {result.all_up_mass:.0f} kg all up at {result.power:.0f} W {result.road.name} takes "
        f"{units.clock(result.time_before)}. {units.to_percent(result.drag_area_cut):.0f} % less "
        f"drag area makes it {units.clock(result.time_after)}: {saved:.0f} s saved, "
        f"{result.saved[most]:.0f} s of them on leg {most + 1}."
    )


def my_road():
    """The panel: turn the cut, the power and the mass. Reference: Tobin on Three Kilns 60."""
    power = replace(CATALOGUE["power"], low=150)
    mass = replace(CATALOGUE["all_up_mass"], high=120)
    strip = RoadStrip(len(THREE_KILNS.course.legs), MOST_TIME)
    return Panel(("drag_area_cut", power, mass), ridden, strip, in_words)
