"""The numbers of the page, before a word is said: evidence carried to a rider on a road."""

from contextlib import suppress
from dataclasses import dataclass, fields, replace
from itertools import repeat

import numpy as np

from dragwork import physics
from dragwork.decisions import PLANNING
from dragwork.decisions.options import Option, break_even_power
from dragwork.decisions.rides import EXACT, Unstated, drawn_days, in_parts, ride_on
from dragwork.quantities import Estimate
from dragwork.teaching.report.evidence import CONFIDENCE, change_of_drag_area
from dragwork.units import kmh

CAUSE_DRAWS = 500  # enough to say which cause is the widest
WARMER_TYRES = 0.0005  # of the rolling coefficient, on a warmer day: COMMON_PRACTICE
CORNER, CORNER_SPEED = 10.0, kmh(20)  # m and m/s of a tight corner: COMMON_PRACTICE
MOST_ROWS = 20  # legs in a table that a person still reads
# Upper ends of gradient, and what a table calls the legs up to there.
_SLOPES = (
    (-0.03, "down, 3 % and more"), (-0.01, "down, 1 to 3 %"), (0.01, "nearly flat"),
    (0.03, "up, 1 to 3 %"), (1.0, "up, 3 % and more"),
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Case:
    """What is asked: one rider at one power on one road, with some set-ups, the first as now."""

    evidence: object
    names: tuple
    rider: object
    road: object
    power: float
    air_density: float
    unstated: Unstated
    draws: int
    seed: int

    @property
    def day(self):
        """Power, wind and air, as `ride` takes them."""
        return {**self.road.day(self.power), "air_density": self.air_density}

    def curves(self):
        """The best estimate of each set-up."""
        return {name: self.evidence.curve(name) for name in self.names}

    def riders(self):
        """The rider with each set-up by its best estimate."""
        return {name: replace(self.rider, drag_area=curve) for name, curve in self.curves().items()}

    def conditions(self):
        """The road's conditions, an array with one entry a leg."""
        column = self.road.course.column
        angle = physics.angle_to_road(self.road.wind_from, column("heading"))
        return physics.Conditions(self.air_density, self.road.wind_speed, angle, column("gradient"), column("shelter"))


class Carried:
    """All numbers of a page: the case carried through, told the share of the work that is done.

    Both set-ups ride the road in every draw, so that what they share cancels as it should; the best
    estimates come from the evidence's own curves.

    .areas, `DragAreas`; .yaw [rad] and .change, the `Estimate` of the drag area saved there [m2]; .own_speed [m/s];
    .watts, .seconds at 95 % and .planning, seconds at 80 %, each an `Estimate`; .was and .now, the rides exactly as
    assumed, by the best estimates, and .assumed, the seconds saved by them; .leg_watts [W]; .groups, the rows of the
    table: (words or None, places of its legs, an Estimate of seconds); .air_speed [m/s] on each leg; .causes, what
    widens the range of the seconds, the widest first: (name, the change [s] that it makes if it is alone, an
    `Estimate` at 80 %); .power_to_lose [W], what the change may cost before its seconds are gone, None where it saves
    none; .outside, what the range leaves out and is larger than it: (name, seconds).

    Source: JCGM101
    """

    def __init__(self, case, progress=None):
        first, last = case.names
        best, drawn = case.curves(), case.evidence.draws(case.draws, case.seed)
        self.yaw, self.change = change_of_drag_area(case.evidence, first, last)
        was, now = self.was, self.now = tuple(as_assumed(case).values())
        self.assumed = was.time - now.time
        still = physics.Conditions(case.air_density)
        self.own_speed = physics.steady_speed(case.riders()[first], still, case.power)
        parts = in_parts(progress, 4)
        rides, days = drawn_rides(case, drawn, parts)
        before, after = rides[first], rides[last]
        self.seconds, self.planning = (Estimate.of(before.time - after.time, level) for level in (CONFIDENCE, PLANNING))
        self.watts = Estimate.of(drawn_watts(case, drawn, days)[last], CONFIDENCE)
        self.areas = case.evidence.ranges(best, drawn)
        here, legs = case.conditions(), days.by_leg(before.legs.time - after.legs.time)
        self.leg_watts = _watts(case.rider, best, here, was.legs.speed)[last]
        self.groups = tuple(
            (words, at, Estimate.of(legs[:, at].sum(axis=1), CONFIDENCE)) for words, at in _groups(case.road.course)
        )
        self.air_speed = physics.apparent_wind(was.legs.speed, here.wind_speed, here.wind_angle).speed
        self.causes = _causes(case, best, drawn, self.assumed, parts[2:])
        self.power_to_lose = _power_to_lose(case, was, self.assumed)
        self.outside = _outside(case, was, self.planning)


def _groups(course):
    """The rows of the table: each leg, or on a road of many legs all legs of like slope."""
    gradient = course.column("gradient")
    if gradient.size <= MOST_ROWS:
        return [(None, np.array([i])) for i in range(gradient.size)]
    kind = np.searchsorted([end for end, _ in _SLOPES], gradient)
    kinds = [(words, np.flatnonzero(kind == i)) for i, (_, words) in enumerate(_SLOPES)]
    return [(words, at) for words, at in kinds if at.size]


def as_assumed(case):
    """The ride with each set-up by the best estimates, all as it is assumed: name to Ride."""
    course, riders = case.road.course, case.riders()
    return {name: physics.ride(course, rider, **case.day) for name, rider in riders.items()}


def drawn_rides(case, curves, parts=()):
    """Each set-up on the days of the case, those on which a claim and an option are ridden.

    Parameters
    ----------
    case : Case
    curves : dict of str to YawCurve
        Draws of each set-up, with a leading axis of as many as there are days.
    parts : sequence of callable
        One a set-up, told how far its ride is.

    Returns
    -------
    (rides, days) : dict of str to Ride, Days

    Source: JCGM101
    """
    days = _days(case, case.unstated, case.draws)
    rides = {
        name: ride_on(days, replace(days.rider, drag_area=curves[name]), progress=part)
        for name, part in zip(case.names, parts or repeat(None))
    }
    return rides, days


def _days(case, unstated, n):
    return drawn_days(case.road.course, case.rider, **case.day, unstated=unstated, draws=n, seed=case.seed)


def drawn_watts(case, curves, days):
    """Watts that each set-up saves at the rider's own speed on the drawn days: name to (n,) [W]."""
    still = physics.Conditions(air_density=days.air_density[:, 0])
    rider = replace(days.rider, drag_area=case.evidence.curve(case.names[0]))
    speed = physics.steady_speed(rider, still, np.clip(case.power * days.power_factor, 0, 3000))
    return _watts(days.rider, {name: curves[name] for name in case.names}, still, speed)


def _watts(rider, curves, conditions, speed):
    """Watts that each set-up saves against the first, by name."""
    riders = {name: replace(rider, drag_area=curve) for name, curve in curves.items()}
    first = next(iter(riders.values()))
    return {name: physics.watts_saved(first, r, conditions, speed) for name, r in riders.items()}


def _causes(case, best, drawn, assumed, parts):
    """What widens the range of the seconds, each cause alone, the widest first. Low and high are
    changes from the ride exactly as assumed; a cause with one sign has both on one side."""
    few = min(case.draws, CAUSE_DRAWS)
    named = [field.name for field in fields(Unstated) if getattr(case.unstated, field.name)]
    first, *others = (_days(case, unstated, few) for unstated in (EXACT, *map(case.unstated.only, named)))
    days = first.together(*others)

    def time(name, part):  # the drawn areas on exact days, then the best one on the days of each cause
        same = np.repeat(best[name].drag_area[None], few * len(named), axis=0)
        areas = np.concatenate([drawn[name].drag_area[:few], same])
        rider = replace(days.rider, drag_area=physics.YawCurve(best[name].yaw, areas))
        return ride_on(days, rider, progress=part).time

    was, now = (time(name, part) for name, part in zip(case.names, parts))
    saved = (was - now - assumed).reshape(1 + len(named), few)
    found = [(name, Estimate.of(each, PLANNING)) for name, each in zip(("drag_area", *named), saved)]
    return sorted(found, key=lambda cause: cause[1].low - cause[1].high)


def _power_to_lose(case, was, assumed):
    """Crank power that the change may cost before its seconds are gone [W]; None where it saves
    none, or where half the power is not enough to undo it."""
    before, after = case.riders().values()
    change = Option("the change", after)
    with suppress(ValueError):  # so large that half the power does not undo it
        if assumed > 0:
            return break_even_power(change, before, case.road.course, **case.day) * was.mean_power
    return None


def _outside(case, was, planning):
    """What no range here holds and what is larger than the range: (name, seconds), largest first.

    A corner and warmer tyres move the whole ride, not the saving: they say how small it is.
    """
    rider = case.riders()[case.names[0]]
    grip = min(WARMER_TYRES, rider.rolling_coefficient)
    warm = replace(rider, rolling_coefficient=rider.rolling_coefficient - grip)
    slow = physics.Leg(CORNER, speed_limit=CORNER_SPEED)
    straight = physics.Course([physics.Leg(1000.0)])
    corner = physics.Course([physics.Leg(500.0), slow, physics.Leg(500.0 - CORNER)])
    turning, going = (
        physics.ride(road, rider, case.power, case.air_density).time for road in (corner, straight)
    )
    warmer = was.time - physics.ride(case.road.course, warm, **case.day).time
    sizes = {"corner": turning - going, "tyres": warmer}
    half = (planning.high - planning.low) / 2
    large = [(name, float(size)) for name, size in sizes.items() if size > half]
    return tuple(sorted(large, key=lambda each: -each[1]))
