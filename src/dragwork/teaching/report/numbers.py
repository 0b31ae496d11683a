"""The numbers of the page, before a word is said: evidence carried to a rider on a road."""

from dataclasses import dataclass, fields, replace

import numpy as np

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

PLANNING = 0.80  # a choice is planned
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
    """What is asked: one rider at one power on one road, before and after."""

    evidence: object
    before: str
    after: str
    rider: object
    road: object
    power: float
    air_density: float
    unstated: Unstated
    draws: int
    seed: int

    @property
    def names(self):
        return self.before, self.after

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
    best = {name: case.evidence.curve(name) for name in case.names}
    drawn = case.evidence.draws(case.draws, case.seed)
    was, now = (_as_assumed(case, best[name]) for name in case.names)
    saved, legs, watts = _drawn(case, drawn, case.unstated, case.draws)
    still = Conditions(air_density=case.air_density)
    speed = steady_speed(replace(case.rider, drag_area=best[case.before]), still, case.power)
    here = case.conditions()
    total = was.time - now.time
    return Carried(
        areas=with_intervals(best, drawn, CONFIDENCE),
        own_speed=speed,
        watts=range_of(watts, _watts(case.rider, best, case.names, still, speed)),
        seconds=range_of(saved, total),
        planning=range_of(saved, total, PLANNING),
        was=was,
        now=now,
        leg_watts=_watts(case.rider, best, case.names, here, was.legs.speed),
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


def _as_assumed(case, drag_area):
    rider = replace(case.rider, drag_area=drag_area)
    return ride(
        case.road.course, rider, air_density=case.air_density, **case.road.day(case.power)
    )


def _drawn(case, curves, unstated, n):
    """Seconds saved (n,), by leg (n, legs), and watts saved at the rider's own speed (n,)."""
    road = case.road
    day = draw_days(unstated, case.rider, road.day(case.power), case.air_density, n, case.seed)
    was, now = (
        ride(
            road.course, replace(day.rider, drag_area=curves[name]), day.power,
            day.air_density, day.wind_speed, day.wind_from,
        )
        for name in case.names
    )  # fmt: skip
    still = Conditions(air_density=day.air_density[:, 0])
    best = replace(day.rider, drag_area=case.evidence.curve(case.before))
    speed = steady_speed(best, still, np.clip(case.power * day.power_factor, 0, 3000))
    watts = _watts(day.rider, curves, case.names, still, speed)
    return was.time - now.time, was.legs.time - now.legs.time, watts


def _watts(rider, curves, names, conditions, speed):
    was, now = (replace(rider, drag_area=curves[name]) for name in names)
    return watts_saved(was, now, conditions, speed)


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
    alone = {"drag_area": _drawn(case, some, EXACT, few)[0]}
    for field in fields(Unstated):
        if getattr(case.unstated, field.name):
            alone[field.name] = _drawn(case, same, case.unstated.only(field.name), few)[0]
    width = {name: range_of(saved, 0.0, PLANNING) for name, saved in alone.items()}
    return tuple(
        sorted(((n, (w.high - w.low) / 2) for n, w in width.items()), key=lambda cause: -cause[1])
    )
