"""The numbers of the page, before a word is said: evidence carried to a rider on a road."""

from dataclasses import dataclass, fields, replace

import numpy as np

from dragwork.decisions import PLANNING
from dragwork.decisions.unstated import EXACT, Unstated, draw_days
from dragwork.physics.course import ride
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions
from dragwork.physics.savings import watts_saved
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import angle_to_road, apparent_wind
from dragwork.teaching.figures.dots import DragAreas, with_intervals
from dragwork.teaching.report.evidence import CONFIDENCE
from dragwork.teaching.report.page import Range

DRAWS = 2000  # quantiles of the range settle to about a fortieth of its width
CAUSE_DRAWS = 500  # enough to say which cause is the widest
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
    def before(self):
        return self.names[0]

    @property
    def after(self):
        return self.names[-1]

    @property
    def still(self):
        """Still air of the day, where the rider's own speed is reckoned."""
        return Conditions(air_density=self.air_density)

    def curves(self):
        """The best estimate of each set-up."""
        return {name: self.evidence.curve(name) for name in self.names}

    def conditions(self):
        """The road's conditions, an array with one entry a leg."""
        return Conditions(
            air_density=self.air_density,
            wind_speed=self.road.wind_speed,
            wind_angle=angle_to_road(self.road.wind_from, self.road.course.column("heading")),
            gradient=self.road.course.column("gradient"),
        )


@dataclass(frozen=True, eq=False)
class Carried:
    """The case carried through.

    .areas; .own_speed [m/s]; .watts, .seconds at 95 % and .planning, seconds at 80 %, each a
    `Range`; .was and .now, the rides by the best estimates; .leg_watts [W]; .groups, the rows of
    the table: (words or None, places of its legs, a Range of seconds); .air_speed [m/s] on each
    leg; .causes, what widens the range of the seconds, the widest
    first: (name, half-width [s] at 80 % if it were alone).
    """

    areas: DragAreas
    own_speed: float
    watts: Range
    seconds: Range
    planning: Range
    was: object
    now: object
    leg_watts: np.ndarray
    groups: tuple
    air_speed: np.ndarray
    causes: tuple


def carry(case):
    """All numbers of a page. Both set-ups ride the road in every draw, so that what they share
    cancels as it should; the best estimates come from the evidence's own curves.

    Returns
    -------
    Carried

    Source: JCGM101
    """
    best = case.curves()
    drawn = case.evidence.draws(case.draws, case.seed)
    was, now = as_assumed(case).values()
    speed, watts = own_speed_and_watts(case)
    rides, day = drawn_rides(case, drawn, case.unstated, case.draws)
    before, after = (rides[name] for name in case.names)
    legs = before.legs.time - after.legs.time
    saved, total = before.time - after.time, was.time - now.time
    here = case.conditions()
    return Carried(
        areas=with_intervals(best, drawn, CONFIDENCE),
        own_speed=speed,
        watts=range_of(drawn_watts(case, drawn, day)[case.after], watts[case.after]),
        seconds=range_of(saved, total),
        planning=range_of(saved, total, PLANNING),
        was=was,
        now=now,
        leg_watts=_watts(case.rider, best, here, was.legs.speed)[case.after],
        groups=tuple(
            (words, at, range_of(legs[:, at].sum(axis=1), (was.legs.time - now.legs.time)[at].sum()))
            for words, at in _groups(case.road.course)
        ),
        air_speed=apparent_wind(was.legs.speed, here.wind_speed, here.wind_angle).speed,
        causes=_causes(case, best, drawn),
    )


def _groups(course):
    """The rows of the table: each leg, or on a road of many legs all legs of like slope."""
    gradient = course.column("gradient")
    if gradient.size <= MOST_ROWS:
        return [(None, np.array([i])) for i in range(gradient.size)]
    ends = np.array([end for end, _ in _SLOPES])
    kind = np.searchsorted(ends, gradient)
    kinds = [(words, np.flatnonzero(kind == i)) for i, (_, words) in enumerate(_SLOPES)]
    return [(words, at) for words, at in kinds if at.size]


def range_of(drawn, best, confidence=CONFIDENCE):
    """The best estimate with the quantiles of its draws."""
    tail = (1 - confidence) / 2
    low, high = np.quantile(drawn, [tail, 1 - tail])
    return Range(float(low), float(best), float(high), confidence)


def as_assumed(case):
    """The ride with each set-up by the best estimates, all as it is assumed: name to Ride."""
    day = case.road.day(case.power)
    return {
        name: ride(
            case.road.course, replace(case.rider, drag_area=curve), air_density=case.air_density,
            **day,
        )
        for name, curve in case.curves().items()
    }  # fmt: skip


def own_speed_and_watts(case):
    """The rider's own speed now, flat and calm [m/s], and the watts each set-up saves there."""
    best = case.curves()
    rider = replace(case.rider, drag_area=best[case.before])
    speed = steady_speed(rider, case.still, case.power)
    return speed, _watts(case.rider, best, case.still, speed)


def drawn_rides(case, curves, unstated, n):
    """Each set-up on the same n days.

    Parameters
    ----------
    case : Case
    curves : dict of str to YawCurve
        Draws of each set-up, with a leading axis of n.
    unstated : Unstated
    n : int

    Returns
    -------
    (rides, day) : dict of str to Ride, Day

    Source: JCGM101
    """
    road = case.road
    day = draw_days(unstated, case.rider, road.day(case.power), case.air_density, n, case.seed)
    rides = {
        name: ride(
            road.course, replace(day.rider, drag_area=curves[name]), day.power,
            day.air_density, day.wind_speed, day.wind_from,
        )
        for name in case.names
    }  # fmt: skip
    return rides, day


def drawn_watts(case, curves, day):
    """Watts that each set-up saves at the rider's own speed on the drawn days: name to (n,) [W]."""
    still = Conditions(air_density=day.air_density[:, 0])
    rider = replace(day.rider, drag_area=case.evidence.curve(case.before))
    speed = steady_speed(rider, still, np.clip(case.power * day.power_factor, 0, 3000))
    return _watts(day.rider, {name: curves[name] for name in case.names}, still, speed)


def _watts(rider, curves, conditions, speed):
    """Watts that each set-up saves against the first, by name."""
    riders = {name: replace(rider, drag_area=curve) for name, curve in curves.items()}
    first = next(iter(riders.values()))
    return {name: watts_saved(first, each, conditions, speed) for name, each in riders.items()}


def _causes(case, best, drawn):
    """What widens the range of the seconds, each cause alone, the widest first."""
    few = min(case.draws, CAUSE_DRAWS)
    some = {
        name: YawCurve(drawn[name].yaw, drawn[name].drag_area[:few]) for name in case.names
    }
    same = {
        name: YawCurve(curve.yaw, np.repeat(curve.drag_area[None], few, axis=0))
        for name, curve in best.items()
    }
    alone = {"drag_area": _seconds(case, some, EXACT, few)}
    for field in fields(Unstated):
        if getattr(case.unstated, field.name):
            alone[field.name] = _seconds(case, same, case.unstated.only(field.name), few)
    width = {name: range_of(saved, 0.0, PLANNING) for name, saved in alone.items()}
    return tuple(
        sorted(((n, (w.high - w.low) / 2) for n, w in width.items()), key=lambda cause: -cause[1])
    )


def _seconds(case, curves, unstated, n):
    """Seconds saved over the road, drawn (n,)."""
    rides, _ = drawn_rides(case, curves, unstated, n)
    return rides[case.before].time - rides[case.after].time
