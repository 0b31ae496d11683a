"""A drag area from one known ride: power, mean speed, and what is remembered of road and wind.

On a flat calm road the power balance leaves over what the air took. On hills and in wind the mean
speed depends on how the power was spread: at an even speed slope and wind cancel out and back to
first order, at an even power they do not, because the slow half takes longer. There the drag area
is the one with which the ride, ridden leg by leg, takes the time that it took.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.optimize.elementwise import find_root

from dragwork.measurement.sentences import say
from dragwork.measurement.uncertainty import check_confidence
from dragwork.physics.course import Course, Leg, ride
from dragwork.physics.drag import dynamic_pressure
from dragwork.physics.power import Rider
from dragwork.physics.resistance import rolling_force, slope_force
from dragwork.quantities import (
    QUANTITIES,
    check_uncertainties,
    checked,
    kept_within,
    needs,
    number_within,
    whole_number,
)

__all__ = ["OneRide", "RideDoubts", "drag_area_of_ride", "from_one_ride"]

MOST_OF_ONE_RIDE = 1.5  # m2: more than a rider sitting bolt upright in loose clothing, COMMON_PRACTICE
USUAL_AREAS = (0.15, 0.60)  # m2, of riders, COMMON_PRACTICE
MOST_IMPOSSIBLE = 0.05  # of the draws: with more of them the range would be cut off, not told
# Steeper roads and stronger winds take more of the watts than the rider's shape changes; the range
# would be more than twice that of a flat calm ride. Found by trial, see the tests.
STEEPEST, WINDIEST = 0.03, 4.0  # mean slope of the climbs, m/s
MOST_CLIMBS = 10  # more of them are short enough to be ridden as one mean of ten

# Standard uncertainties beyond these are no longer small.
MOST_UNCERTAIN = {"all_up_mass": 20.0, "head_wind": 5.0, "gradient": 0.05, "rolling_coefficient": 0.01}


@dataclass(frozen=True)
class RideDoubts:
    """Standard uncertainties of what is said about one ride. Common practice, no source.

    Parameters
    ----------
    power : float
        Relative. 0.02 for a power meter; 0.1 or more for an honest guess.
    ground_speed : float
        Relative.
    air_density : float
        Relative.
    all_up_mass : float [kg]
    rolling_coefficient : float
    drivetrain_efficiency : float
    head_wind : float [m/s]
        Of the mean wind along the road.
    gradient : float
        Of the mean slope.
    ascent : float
        Relative, of the metres climbed.

    Source: COMMON_PRACTICE, SMIT2023
    """

    power: float = 0.02
    ground_speed: float = 0.005
    air_density: float = 0.01
    all_up_mass: float = 1.0
    rolling_coefficient: float = 0.001
    drivetrain_efficiency: float = 0.010
    head_wind: float = 0.5
    gradient: float = 0.001
    ascent: float = 0.04

    def __post_init__(self):
        check_uncertainties(self, {**MOST_UNCERTAIN, "power": 0.5})


@dataclass(frozen=True)
class OneRide:
    """A drag area from one ride, as a range.

    Parameters
    ----------
    drag_area, low, high : float [m2]
        The median of the draws, and the ends of the range.
    confidence : float
    standard_uncertainty : float [m2]
    shares : dict of str to float
        Of the variance, by cause, each moved alone; largest first.
    notes : tuple of str
        What was not known about the ride, and what the range takes it to have been.

    Source: JCGM101
    """

    drag_area: float
    low: float
    high: float
    confidence: float
    standard_uncertainty: float
    shares: dict = field(default_factory=dict)
    notes: tuple = ()

    @property
    def dominant(self):
        """The cause of most of the width."""
        return next(iter(self.shares))


def from_one_ride(
    power,
    ground_speed,
    all_up_mass,
    air_density=1.2,
    rolling_coefficient=0.005,
    drivetrain_efficiency=0.975,
    head_wind=0.0,
    gradient=0.0,
    returns=False,
    ascent=None,
    distance=None,
    climbs=1,
    effort=None,
    doubts=None,
    confidence=0.95,
    draws=5_000,
    seed=0,
):
    """A drag area from one ride that a rider knows, as wide as what is known about it.

    One way: the power balance at the mean speed, solved for the drag area. Out and back: at an even
    speed the same, with wind and slope averaged; at an even power the drag area with which the road,
    ridden leg by leg, takes the time that it took. What is not known exactly is drawn.

    Parameters
    ----------
    power : float [W]
        At the crank, mean of the ride, from a meter or an honest guess.
    ground_speed : float [m/s]
        1 to 45, distance over time, without braking.
    all_up_mass : float [kg]
    air_density : float [kg/m3]
    rolling_coefficient : float
    drivetrain_efficiency : float
    head_wind : float [m/s]
        Mean wind along the road, negative from behind; out and back, that of the way out. At most 4.
    gradient : float
        Mean slope, rise over run; out and back, that of the way out if `ascent` is not given. At
        most 0.03, up or down.
    returns : bool
        True for a ride that came back to its start, out and back or round a loop; so is one with
        metres climbed.
    ascent : float, optional [m]
        Metres climbed on the whole ride; at most 15 in each kilometre. None: not known; the range
        then takes in slopes of up to 3 %.
    distance : float, optional [m]
        Of the whole ride; needed with metres climbed.
    climbs : int
        Over how many climbs. 1: up on the way out and down on the way back.
    effort : str, optional
        'power' where the effort was even, 'speed' where the speed was. None: not known; the range
        then reaches from one to the other.
    doubts : RideDoubts, optional
        By default those of a ride with a power meter.
    confidence : float
    draws : int
        1000 to 1 million.
    seed : int

    Returns
    -------
    OneRide
        .drag_area [m2], .low, .high, .confidence, .dominant, .shares, .notes

    Raises
    ------
    ValueError
        Outside the ranges; where the road is too hilly or the wind too strong; where tyres and
        slope alone take more than the power; where the ride is so slow or so unclear that it tells
        no drag area (above 1.5 m2, or more than 5 % of the draws impossible); in words.

    Source: MARTIN1998, JCGM101, COMMON_PRACTICE
    """
    doubts = RideDoubts() if doubts is None else doubts
    needs(RideDoubts, doubts=doubts)
    check_confidence(confidence)
    said = {
        "power": power, "ground_speed": ground_speed, "air_density": air_density,
        "all_up_mass": all_up_mass, "rolling_coefficient": rolling_coefficient,
        "drivetrain_efficiency": drivetrain_efficiency, "head_wind": head_wind,
        "gradient": gradient,
    }  # fmt: skip
    check_known(**said)
    if not ground_speed >= 1:
        raise ValueError(f"A ground speed of {ground_speed:g} m/s is too low for this; at least 1 m/s.")
    whole_number("draws", draws, 1000, 1_000_000)
    road = _RiddenRoad.of(returns, ascent, distance, climbs, effort, gradient)
    if abs(road.slope or 0.0) > 1.001 * STEEPEST:
        raise ValueError(say("ride", "too steep", slope=abs(road.slope), most=500 * STEEPEST))
    if abs(head_wind) > 1.001 * WINDIEST:
        raise ValueError(say("ride", "too windy", wind=abs(head_wind), most=WINDIEST))
    flat = float(drag_area_of_ride(**said, returns=road.returns))
    _refuse_impossible(flat, road, power, ground_speed)
    normal = np.random.default_rng(seed).standard_normal((len(said) + 1, draws))
    drawn = {name: _drawn(name, said[name], getattr(doubts, name), z) for name, z in zip(said, normal)}
    # What nobody told is one or the other, and the range reaches from one to the other.
    found = [each.areas(drawn, doubts, normal[-1]) for each in road.could_be()]
    could_be = [areas[(areas > 0) & QUANTITIES["drag_area"].allows(areas)] for areas in found]
    impossible = min(1 - areas.size / draws for areas in could_be)
    if impossible > MOST_IMPOSSIBLE:
        gaps = {"speed": ground_speed, "impossible": impossible}
        raise ValueError(say("ride", "too unclear", power=power, better=say("ride", "better ride"), **gaps))
    could_be = [areas for areas in could_be if areas.size >= draws / 2]
    tails = [(1 - confidence) / 2, (1 + confidence) / 2]
    ends = np.array([np.quantile(areas, tails) for areas in could_be])
    pooled = np.concatenate(could_be)
    middle = float(np.median(pooled))
    return OneRide(
        middle, float(ends[:, 0].min()), float(ends[:, 1].max()), confidence, float(np.std(pooled)),
        _shares(said, doubts, road), tuple(road.notes(middle)),
    )  # fmt: skip


def check_known(head_wind, **known):
    """Raise a helpful ValueError for what cannot be; None = not given."""
    checked(**{name: value for name, value in known.items() if value is not None})
    if head_wind is not None and not abs(head_wind) <= 15:
        raise ValueError(say("ride", "head wind", head_wind=head_wind))


@dataclass(frozen=True)
class _RiddenRoad:
    """Where a ride went and how: slope of its climbs (None = not known), and its length."""

    returns: bool
    slope: float | None
    distance: float
    climbs: int
    effort: str | None

    @classmethod
    def of(cls, returns, ascent, distance, climbs, effort, gradient):
        whole_number("climbs", climbs, 1, 1000)
        if effort not in (None, "power", "speed"):
            raise ValueError(f"effort {effort!r} is not known; give 'power' or 'speed', or leave it out.")
        if distance is not None:
            checked(distance=distance)
        if ascent is None:
            slope = gradient if gradient or not returns else None
            return cls(returns, slope, distance or 20e3, climbs, effort)
        number_within("ascent", ascent, 0, 10_000, "m")
        if ascent and distance is None:
            raise ValueError(say("ride", "ascent alone", ascent=ascent))
        return cls(True, 2 * ascent / distance if ascent else 0.0, distance or 20e3, climbs, effort)

    def could_be(self):
        """The roads and efforts that fit what was told, the flat and even ones first."""
        efforts = (self.effort,) if self.effort or not self.returns else ("speed", "power")
        slopes = (0.0, STEEPEST) if self.slope is None else (self.slope,)
        roads = [replace(self, effort=effort, slope=slope) for effort in efforts for slope in slopes]
        # At an even speed the slope does not matter.
        return [road for road in roads if road.effort != "speed" or road.slope == slopes[0]]

    def areas(self, drawn, doubts, normal):
        """The drag area of each draw, -1 where there is none; normal: of the metres climbed."""
        at_even_speed = drag_area_of_ride(**drawn, returns=self.returns)
        if self.effort != "power" or not self.returns:
            return at_even_speed
        if not self.slope:
            return self._solved(0.0, **drawn)
        # Through three slopes, as a leg has one slope for all draws.
        nodes = self.slope * (1 + doubts.ascent * np.array([-2.0, 0.0, 2.0]))
        low, middle, high = (self._solved(slope, **drawn) for slope in nodes)
        z = normal / 2
        found = middle + z * (high - low) / 2 + z**2 * ((high + low) / 2 - middle)
        return np.where(np.minimum(np.minimum(low, middle), high) > 0, found, -1.0)

    def _solved(self, slope, **drawn):
        """The drag area with which the road takes the time that it took, -1 where there is none."""
        legs = min(self.climbs, MOST_CLIMBS)
        each = self.distance / (2 * legs)
        way = [slope * (-1) ** i for i in range(legs)]
        back = [Leg(each, -g, np.pi) for g in reversed(way)]
        course = Course([*(Leg(each, g) for g in way), *back])

        def excess(logarithm, power, speed, air_density, mass, rolling, efficiency, head_wind, _):
            rider = Rider(mass, np.exp(logarithm), rolling, efficiency)
            wind_from = np.where(head_wind < 0, np.pi, 0.0)
            day = (np.maximum(power, 1.0), air_density, np.abs(head_wind), wind_from)
            return np.log(ride(course, rider, *(x[:, None] for x in day)).time * speed / self.distance)

        # No smaller drag area: the descent would be faster than anybody rides.
        least = 2 * drawn["all_up_mass"] * 9.8 * abs(slope) / drawn["air_density"] / 30**2
        ends = np.log(np.maximum(0.02, least)), np.log(2 * MOST_OF_ONE_RIDE)
        found = find_root(excess, ends, args=tuple(drawn.values()), tolerances={"xatol": 1e-7})
        return np.where(found.success, np.exp(found.x), -1.0)

    def notes(self, middle):
        """What was not known about the ride, and what the range takes it to have been."""
        if self.returns and self.slope is None and self.effort != "speed":
            yield say("ride", "no ascent", steepest=STEEPEST)
        if self.returns and self.effort is None:
            yield say("ride", "no effort")
        if not USUAL_AREAS[0] <= middle <= USUAL_AREAS[1]:
            yield say("ride", "unusual area", usual=USUAL_AREAS)


def _refuse_impossible(flat, road, power, ground_speed):
    gaps = {"power": power, "speed": ground_speed, "flat": flat}
    if not flat > 0:
        raise ValueError(say("ride", "nothing left", **gaps))
    if flat > MOST_OF_ONE_RIDE:
        better = say("ride", "better ride")
        raise ValueError(say("ride", "too much", most=MOST_OF_ONE_RIDE, better=better, **gaps))
    if road.returns and road.slope is None and road.effort != "speed" and flat > USUAL_AREAS[1]:
        raise ValueError(say("ride", "hills in it", most=USUAL_AREAS[1], **gaps))


def _shares(said, doubts, road):
    """Share of the variance of each cause, moved alone by one standard uncertainty up and down."""
    causes = [*said, "ascent"]
    normal = np.pad(np.kron(np.eye(len(causes)), [1.0, -1.0]), [(0, 0), (0, 1)])
    drawn = {n: _drawn(n, said[n], getattr(doubts, n), z) for n, z in zip(said, normal)}
    areas = np.array([each.areas(drawn, doubts, normal[-1]) for each in road.could_be()])
    first, told = areas[0], areas[areas[:, -1] > 0, -1]
    parts = dict(zip(causes, np.sum((first[:-1] - first[-1]).reshape(-1, 2) ** 2, axis=1) / 2))
    # Anything between the two ends may be so: the variance of an even spread.
    if told.size > 1:
        parts["ascent" if road.slope is None else "effort"] = np.ptp(told) ** 2 / 12
    total = sum(parts.values())
    shares = {name: float(part / total) if total else 0.0 for name, part in parts.items()}
    return dict(sorted(shares.items(), key=lambda item: -item[1]))


_RELATIVE = ("power", "ground_speed", "air_density")


def _drawn(name, middle, u, normal):
    """Draws about what was said, kept within the ranges of the library."""
    values = middle + u * (middle if name in _RELATIVE else 1.0) * normal
    if name == "head_wind":
        return values
    return kept_within(name, np.maximum(values, 1.0) if name == "ground_speed" else values)


def drag_area_of_ride(
    power,
    ground_speed,
    all_up_mass,
    air_density=1.2,
    rolling_coefficient=0.005,
    drivetrain_efficiency=0.975,
    head_wind=0.0,
    gradient=0.0,
    returns=False,
):
    """The drag area that the power balance leaves over for one steady ride, taken as exact.

    Parameters
    ----------
    power : float or array [W]
        At the crank.
    ground_speed : float or array [m/s]
    all_up_mass : float or array [kg]
    air_density : float or array [kg/m3]
    rolling_coefficient : float or array
    drivetrain_efficiency : float or array
    head_wind : float or array [m/s]
        Along the road, negative from behind.
    gradient : float or array
    returns : bool
        True for a ride out and back at one speed: wind and slope then cancel to first order.

    Returns
    -------
    float or array [m2]
        Not above 0 where tyres, slope and wind take all of the power; -1 where the air stands
        still about the rider, so that nothing can be said.

    Source: MARTIN1998
    """
    if returns:  # (v + w)^2 and (v - w)^2 average to v^2 + w^2; up and down cancel
        pressure, gradient = dynamic_pressure(air_density, np.hypot(ground_speed, head_wind)), 0.0
    else:
        along = ground_speed + np.asarray(head_wind)
        pressure = np.sign(along) * dynamic_pressure(air_density, np.abs(along))
    slope = slope_force(all_up_mass, gradient)
    weight = rolling_force(all_up_mass, rolling_coefficient, gradient)
    P, v, eta = checked(
        power=power, ground_speed=ground_speed, drivetrain_efficiency=drivetrain_efficiency
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        area = (eta * P / v - slope - weight) / pressure
    return np.where(np.isfinite(area), area, -1.0)[()]
