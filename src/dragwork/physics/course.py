"""A course as a row of legs, and a ride over it: with inertia, or at steady speed on each leg."""

from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from dragwork.physics.forces import Rows, beyond_yaw
from dragwork.physics.newton import steady_speeds
from dragwork.physics.power import Conditions, Rider
from dragwork.physics.relaxation import LegTimes, ride_leg
from dragwork.physics.wind import angle_to_road
from dragwork.quantities import QUANTITIES, checked, in_words, needs

_FASTEST = QUANTITIES["ground_speed"].high
_TOLD_EVERY = 20  # legs
_CRAWL = 0.2  # m/s: a rider who gets slower than this has come to a halt


@dataclass(frozen=True)
class Leg:
    """A stretch of road with one slope and one heading.

    Parameters
    ----------
    distance : float [m]
        Along the road, above 0.
    gradient : float
        Rise over run, -0.4 to 0.4.
    heading : float [rad]
        Compass bearing of travel, clockwise from north, within 2 pi.
    speed_limit : float [m/s], optional
        The speed that the rider brakes to at the most: a bend, a town, a descent.
    shelter : float
        Share of the drag area that the air still meets behind others, above 0 to 1; 1 alone.
    """

    distance: float
    gradient: float = 0.0
    heading: float = 0.0
    speed_limit: float | None = None
    shelter: float = 1.0

    def __post_init__(self):
        for name, value in vars(self).items():
            if (value is not None or name != "speed_limit") and np.ndim(checked(**{name: value})):
                raise ValueError(f"{name} of a Leg is one number; make a Leg for each.")


@dataclass(frozen=True)
class Course:
    """Legs in the order they are ridden.

    Parameters
    ----------
    legs : sequence of Leg

    Raises
    ------
    ValueError
        Where there is no leg, or something that is not one.
    """

    legs: tuple

    def __post_init__(self):
        object.__setattr__(self, "legs", tuple(self.legs if np.iterable(self.legs) else ()))
        if not self.legs:
            raise ValueError("a course needs a sequence of legs, at least one.")
        needs(Leg, **{f"leg {place + 1}": leg for place, leg in enumerate(self.legs)})

    @property
    def distance(self):
        """Length of the course [m]."""
        return float(sum(leg.distance for leg in self.legs))

    @property
    def ascent(self):
        """Metres climbed, all climbs added [m]."""
        rise = [leg.distance * leg.gradient / np.hypot(1, leg.gradient) for leg in self.legs]
        return float(sum(r for r in rise if r > 0))

    def in_pieces(self, longest):
        """The same road in legs of at most `longest` [m], and of which leg each is a piece."""
        counts = [int(np.ceil(leg.distance / longest)) for leg in self.legs]
        pieces = [[replace(leg, distance=leg.distance / n)] * n for leg, n in zip(self.legs, counts)]
        return Course(chain.from_iterable(pieces)), np.repeat(np.arange(len(self.legs)), counts)

    def column(self, name):
        """One field of all legs as an array; no speed limit is infinity."""
        values = [getattr(leg, name) for leg in self.legs]
        return np.array([np.inf if value is None else value for value in values], dtype=float)


@dataclass(frozen=True, eq=False)
class RiddenLegs:
    """What happened on each leg; the last axis is the leg.

    speed [m/s, distance over time], end_speed [m/s], time [s], power [W at the crank, mean],
    braked [W taken by the brakes, mean], time_at_limit [s at the speed limit], beyond_yaw (True
    where the yaw at that speed lay outside the measured drag areas).
    """

    speed: np.ndarray
    end_speed: np.ndarray
    time: np.ndarray
    power: np.ndarray
    braked: np.ndarray
    time_at_limit: np.ndarray
    beyond_yaw: np.ndarray


@dataclass(frozen=True, eq=False)
class Ride:
    """A ridden course: time [s], the legs, and where the energy went [J].

    energy [J at the crank]; air, rolling, slope, bearings [J at the wheel]; kinetic [J, gained
    from start to end]; braked [J]. Crank energy times the drivetrain's efficiency is the sum of
    the others.
    """

    time: float
    energy: float
    air: float
    rolling: float
    slope: float
    bearings: float
    kinetic: float
    braked: float
    legs: RiddenLegs

    @property
    def mean_power(self):
        """Mean crank power over the time ridden [W]."""
        return self.energy / self.time

    @property
    def time_beyond_yaw(self):
        """Time during which the drag area was not measured at that yaw [s]."""
        return np.sum(np.where(self.legs.beyond_yaw, self.legs.time, 0.0), axis=-1)


def ride(
    course, rider, power, air_density=1.2, wind_speed=0.0, wind_from=0.0, start_speed=None,
    progress=None,
):  # fmt: skip
    """Ride a course with inertia: speed lags behind the road, kinetic energy is carried along.

    Equation: dK_dd = P*eta/v - (F_air + F_r + F_s + F_b)

    On each leg power, slope and wind are constant, and the speed settles towards the leg's steady
    speed. A limit holds from its leg's first metre: the rider arrives braked, and what the drop
    of speed takes out of the kinetic energy is booked as braked. At the limit the crank gives
    what the limit asks for, or 0 and the brakes take the rest.

    Parameters
    ----------
    course : Course
    rider : Rider
        Fields may be arrays; the legs become an axis after theirs.
    power : float or array [W]
        At the crank: one number, one a leg, or an array whose last axis is the leg (of length 1
        for powers that differ by rider).
    air_density : float or array [kg/m3]
        As `power`.
    wind_speed : float or array [m/s]
        At the rider's height, as `power`.
    wind_from : float or array [rad]
        Compass bearing that it comes from, as `power`.
    start_speed : float or array [m/s], optional
        One a rider, 0 to 45; by default the steady speed of the first leg, at most its limit.
    progress : callable, optional
        Told the share of the legs that are ridden, 0 to 1, now and then.

    Returns
    -------
    Ride
        .time [s], .energy [J at the crank] and where it went, .legs (arrays)

    Raises
    ------
    ValueError
        Outside the ranges, where a rider comes to a halt or would pass 45 m/s, or where arrays do
        not fit the number of legs, in words.

    Examples
    --------
    >>> tobin = Rider(all_up_mass=84, drag_area=0.32)
    >>> waves = Course([Leg(500, 0.03), Leg(500, -0.03)] * 10)
    >>> found = ride(waves, tobin, 220)
    >>> round(found.time / 60, 1), round(steady_ride(waves, tobin, 220).time / 60, 1)

    Source: MARTIN1998
    """
    road = _Road(course, rider, power, air_density, wind_speed, wind_from)
    steady, limit = road.steady_speeds(), course.column("speed_limit")
    if start_speed is None:
        start_speed = np.minimum(steady[0], limit[0]).reshape(road.riders)
    start = speed = np.broadcast_to(checked(start_speed=start_speed), road.riders).reshape(-1)
    at_steady = road.rows.forces(steady.reshape(-1))
    force, slope = (part.reshape(steady.shape) for part in (at_steady.total, at_steady.by_speed))
    entry, found = np.empty(steady.shape), np.empty((len(LegTimes._fields), *steady.shape))
    with np.errstate(all="ignore"):  # whoever halts is refused at the end
        for i, distance in enumerate(course.column("distance")):
            if progress and i % _TOLD_EVERY == 0:
                progress(i / road.number)
            entry[i] = np.minimum(speed, limit[i])
            found[:, i] = leg = ride_leg(
                road.rows_of(i), steady[i], force[i], slope[i], entry[i], distance, limit[i]
            )
            speed = leg.end_speed
    legs = LegTimes(*found)
    road.refuse_halts_and_flights(legs, entry)
    arrival = np.vstack([start, legs.end_speed[:-1]])
    inertia = road.rows["inertia"][: speed.size] / 2
    return road.ride(legs, inertia * (arrival**2 - entry**2), inertia * (speed**2 - start**2))


def steady_ride(course, rider, power, air_density=1.2, wind_speed=0.0, wind_from=0.0):
    """Ride a course without inertia: each leg at its steady speed, at most its limit.

    Equation: t = sum(d/v)

    To teach with: here speed jumps from leg to leg. On legs of some kilometres that hardly
    matters; on rolling ground it does, and `ride` tells how much.

    Parameters
    ----------
    course : Course
    rider : Rider
    power : float or array [W]
        As in `ride`, like what follows.
    air_density : float or array [kg/m3]
    wind_speed : float or array [m/s]
    wind_from : float or array [rad]

    Returns
    -------
    Ride
        .time [s], .energy [J at the crank] and where it went, .legs (arrays)

    Raises
    ------
    ValueError
        Outside the ranges, where power is 0 on a leg that does not roll by itself, where a leg
        would be ridden above 45 m/s, or where arrays do not fit the number of legs, in words.

    Source: MARTIN1998
    """
    road = _Road(course, rider, power, air_density, wind_speed, wind_from)
    steady, limit = road.steady_speeds(), course.column("speed_limit")[:, None]
    speed = np.minimum(steady, limit)
    _refuse_leg(speed == 0, "power is 0 on leg {}, which does not roll by itself.")
    time = course.column("distance")[:, None] / speed
    legs = LegTimes(time, speed, np.where(steady > limit, time, 0.0), speed**2 * time)
    road.refuse_halts_and_flights(legs, np.zeros_like(speed))
    return road.ride(legs, np.zeros_like(speed), np.zeros(speed.shape[1]))


def _refuse_leg(bad, sentence, *by_leg):
    """Raise a ValueError where `bad` holds, (legs, riders): the sentence with the first such leg."""
    found = np.flatnonzero(np.any(bad, axis=1))
    if found.size:
        raise ValueError(sentence.format(found[0] + 1, *(values[found[0]] for values in by_leg)))


class _Road:
    """A course, its riders and its day as rows: leg by leg, and in each leg all riders."""

    def __init__(self, course, rider, power, air_density, wind_speed, wind_from):
        needs(Course, course=course)
        needs(Rider, rider=rider)
        self.course, self.rider, self.number = course, rider, len(course.legs)
        day = {
            "power": power, "air_density": air_density, "wind_speed": wind_speed,
            "wind_from": wind_from,
            **{name: course.column(name) for name in ("heading", "gradient", "shelter")},
        }  # fmt: skip
        day = {name: self._by_leg(name, value) for name, value in day.items()}
        of_riders = max(len(np.shape(value)) for value in vars(rider).values())
        axes = max(of_riders + 1, *(value.ndim for value in day.values()))
        power, density, wind, wind_from, heading, gradient, shelter = (  # the leg's axis in front
            np.moveaxis(value.reshape((1,) * (axes - value.ndim) + value.shape), -1, 0)
            for value in day.values()
        )
        angle = angle_to_road(wind_from, heading)
        self.rows = Rows.of(rider, Conditions(density, wind, angle, gradient, shelter), power=power)
        self.riders = self.rows.shape[1:]

    def _by_leg(self, name, value):
        """The argument with the leg as its last axis."""
        value = np.atleast_1d(checked(**{name: value}))
        if value.shape[-1] not in (1, self.number):
            raise ValueError(
                f"{in_words(name)} has {value.shape[-1]} values on its last axis, the course has "
                f"{self.number} legs: give one number, or one a leg."
            )
        return value

    def rows_of(self, leg):
        """The rows of one leg."""
        riders = len(self.rows) // self.number
        return self.rows.taken(slice(leg * riders, (leg + 1) * riders))

    def steady_speeds(self):
        """Of each leg, for each rider [m/s]."""
        speed = steady_speeds(self.rows).reshape(self.number, -1)
        _refuse_leg(
            np.isnan(speed),
            "no steady speed on leg {}: without drag area or slope there is nothing that holds the "
            "rider back.",
        )
        return speed

    def refuse_halts_and_flights(self, legs, entry):
        """Refuse a leg on which a rider comes to a halt, or would pass the fastest speed."""
        slow = (legs.end_speed < _CRAWL) & (legs.end_speed <= entry)
        _refuse_leg(
            slow | ~np.isfinite(legs.time),
            "on leg {} the rider comes to a halt: that power is too little for a gradient of {:g} "
            "with that wind.",
            self.course.column("gradient"),
        )
        _refuse_leg(
            legs.end_speed > _FASTEST,
            "leg {} would be ridden at {:.0f} m/s, above the allowed "
            f"{_FASTEST:g} m/s; give it a limit.",
            legs.end_speed.max(axis=1),
        )

    def ride(self, legs, dropped, kinetic):
        """What is told of a ride: its legs and the account of its energy, all (legs, riders)."""
        rows = {name: column.reshape(self.number, -1) for name, column in self.rows.columns.items()}
        distance = self.course.column("distance")[:, None]
        crank = rows["power"] * (legs.time - legs.time_at_limit)
        braked = dropped
        for i in np.flatnonzero(legs.time_at_limit.any(axis=1)):
            limit = self.course.legs[i].speed_limit
            asked = self.rows_of(i).forces(limit).total * limit * legs.time_at_limit[i]
            crank[i] += np.maximum(asked, 0.0) / rows["efficiency"][i]
            braked[i] += np.maximum(-asked, 0.0)
        speed = distance / legs.time
        rolling, slope = (np.sum(rows[name] * distance, axis=0) for name in ("rolling", "slope"))
        path = rows["bearing_force"] * distance + rows["bearing_slope"] * legs.square_of_speed
        bearings = np.sum(path, axis=0)
        pedalled = np.sum(crank * rows["efficiency"], axis=0)
        time, energy, taken = (part.sum(axis=0) for part in (legs.time, crank, braked))
        air = pedalled - rolling - slope - bearings - kinetic - taken
        beyond = beyond_yaw(self.rider, self.rows.yaw(speed.reshape(-1)).reshape(self.rows.shape))
        whole = time, energy, air, rolling, slope, bearings, kinetic, taken
        by_leg = (speed, legs.end_speed, legs.time, crank / legs.time, braked / legs.time,
                  legs.time_at_limit, beyond)  # fmt: skip
        return Ride(
            *(part.reshape(self.riders)[()] for part in whole),
            RiddenLegs(*(np.moveaxis(part.reshape(self.rows.shape), 0, -1) for part in by_leg)),
        )
