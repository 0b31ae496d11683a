"""A course as a row of legs, ridden at steady speed on each."""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, power_balance
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import angle_to_road
from dragwork.quantities import checked


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

    Raises
    ------
    ValueError
        Outside the ranges, in words.

    Source: ALGEBRA
    """

    distance: float
    gradient: float = 0.0
    heading: float = 0.0
    speed_limit: float | None = None

    def __post_init__(self):
        checked(distance=self.distance, gradient=self.gradient, heading=self.heading)
        if self.speed_limit is not None:
            checked(speed_limit=self.speed_limit)


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

    Source: ALGEBRA
    """

    legs: tuple

    def __post_init__(self):
        object.__setattr__(self, "legs", tuple(self.legs))
        if not self.legs:
            raise ValueError("a course needs at least one leg.")
        for number, leg in enumerate(self.legs):
            if not isinstance(leg, Leg):
                raise ValueError(f"legs[{number}] is a {type(leg).__name__}; a Leg is needed.")

    @property
    def distance(self):
        """Length of the course [m]."""
        return sum(leg.distance for leg in self.legs)

    @property
    def ascent(self):
        """Metres climbed, all climbs added [m]."""
        rise = [leg.distance * leg.gradient / np.hypot(1, leg.gradient) for leg in self.legs]
        return float(sum(r for r in rise if r > 0))

    def column(self, name):
        """One field of all legs as an array; no speed limit is infinity."""
        values = [getattr(leg, name) for leg in self.legs]
        return np.array([np.inf if value is None else value for value in values], dtype=float)


@dataclass(frozen=True, eq=False)
class RiddenLegs:
    """What happened on each leg; the last axis is the leg.

    speed [m/s], time [s], power [W at the crank], braked [W taken by the brakes],
    beyond_yaw (True where the yaw lay outside the measured drag areas).
    """

    speed: np.ndarray
    time: np.ndarray
    power: np.ndarray
    braked: np.ndarray
    beyond_yaw: np.ndarray


@dataclass(frozen=True, eq=False)
class Ride:
    """A ridden course: time [s], crank energy [J], and the legs."""

    time: float
    energy: float
    legs: RiddenLegs

    @property
    def mean_power(self):
        """Mean crank power over the time ridden [W]."""
        return self.energy / self.time

    @property
    def time_beyond_yaw(self):
        """Time during which the drag area was not measured at that yaw [s]."""
        return np.sum(np.where(self.legs.beyond_yaw, self.legs.time, 0.0), axis=-1)


def ride(course, rider, power, air_density=1.2, wind_speed=0.0, wind_from=0.0):
    """Ride a course, each leg at its steady speed or at its speed limit.

    Equation: t = sum(d/v)

    Kinetic energy between legs is left out: on legs of a kilometre and more it hardly counts; on
    short rolling ground it does.

    Parameters
    ----------
    course : Course
    rider : Rider
        Fields may be arrays; the legs become an axis after theirs.
    power : float or array [W]
        At the crank: one number, one a leg, or an array whose last axis is the leg (of length 1
        for powers that differ by rider). Where a leg would be ridden above its limit the crank
        gives only what the limit asks for, or 0, and the brakes take the rest.
    air_density : float or array [kg/m3]
        As `power`.
    wind_speed : float or array [m/s]
        At the rider's height, as `power`.
    wind_from : float or array [rad]
        Compass bearing that it comes from, as `power`.

    Returns
    -------
    Ride
        .time [s], .energy [J at the crank], .legs (arrays: speed, time, power, braked, beyond_yaw)

    Raises
    ------
    ValueError
        Outside the ranges, where power is 0 on a leg that does not roll by itself, or where
        arrays do not fit the number of legs, in words.

    Source: MARTIN1998
    """
    power = checked(power=power)
    number = len(course.legs)
    for name, value in {
        "power": power,
        "air_density": air_density,
        "wind_speed": wind_speed,
        "wind_from": wind_from,
    }.items():
        if np.ndim(value) and np.shape(value)[-1] not in (1, number):
            raise ValueError(
                f"{name} has {np.shape(value)[-1]} values on its last axis, the course has "
                f"{number} legs: give one number, or one a leg."
            )
    rider = _with_leg_axis(rider)
    conditions = Conditions(
        air_density=air_density,
        wind_speed=wind_speed,
        wind_angle=angle_to_road(wind_from, course.column("heading")),
        gradient=course.column("gradient"),
    )
    free = steady_speed(rider, conditions, power)
    speed = np.minimum(free, course.column("speed_limit"))
    if np.any(speed == 0):
        leg = int(np.argwhere(speed == 0)[0][-1])
        raise ValueError(f"power is 0 on leg {leg + 1}, which does not roll by itself.")
    balance = power_balance(rider, conditions, speed)
    limited = free > speed
    crank = np.where(limited, np.maximum(balance.total, 0.0), power)
    braked = np.where(limited, np.maximum(-balance.total, 0.0), 0.0)
    time = course.column("distance") / speed
    legs = RiddenLegs(speed, time, crank, braked, balance.beyond_yaw)
    return Ride(time.sum(axis=-1)[()], (crank * time).sum(axis=-1)[()], legs)


def _with_leg_axis(rider):
    """The same rider or riders with an axis of length 1 for the legs."""
    widened = {}
    for name, value in vars(rider).items():
        if isinstance(value, YawCurve):
            if value.shape:
                widened[name] = YawCurve(value.yaw, value.drag_area[..., None, :])
        elif np.ndim(value):
            widened[name] = np.asarray(value)[..., None]
    return replace(rider, **widened) if widened else rider
