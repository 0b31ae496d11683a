"""A course as a row of legs, ridden at steady speed on each."""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.physics.drag import YawCurve, as_curve
from dragwork.physics.power import Conditions, Rider, air_force, power_balance
from dragwork.physics.resistance import bearing_resistance, rolling_force, slope_force
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import angle_to_road
from dragwork.quantities import QUANTITIES, checked, needs

_FASTEST = QUANTITIES["ground_speed"].high
_CRAWL = 0.2  # m/s: slower than this nobody stays upright, and power over speed loses its meaning


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
        for name, value in vars(self).items():
            given = not (name == "speed_limit" and value is None)
            if given and np.ndim(checked(**{name: value})):
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

    Source: ALGEBRA
    """

    legs: tuple

    def __post_init__(self):
        legs = self.legs if np.iterable(self.legs) else ()
        object.__setattr__(self, "legs", tuple(legs))
        if not self.legs:
            raise ValueError("a course needs a sequence of legs, at least one.")
        for number, leg in enumerate(self.legs):
            if not isinstance(leg, Leg):
                raise ValueError(f"legs[{number}] is a {type(leg).__name__}; a Leg is needed.")

    @property
    def distance(self):
        """Length of the course [m]."""
        return float(sum(leg.distance for leg in self.legs))

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
        Outside the ranges, where power is 0 on a leg that does not roll by itself, where a leg
        would be ridden above 45 m/s, or where arrays do not fit the number of legs, in words.

    Source: MARTIN1998
    """
    needs(Course, course=course)
    needs(Rider, rider=rider)
    power = checked(power=power)
    number = len(course.legs)
    for name, value in {
        "power": power,
        "air_density": air_density,
        "wind_speed": wind_speed,
        "wind_from": wind_from,
    }.items():
        value = checked(**{name: value})
        if value.ndim and value.shape[-1] not in (1, number):
            raise ValueError(
                f"{name} has {value.shape[-1]} values on its last axis, the course has "
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
    if np.any(speed > _FASTEST):
        leg = int(np.argwhere(speed > _FASTEST)[0][-1])
        raise ValueError(
            f"leg {leg + 1} would be ridden at {np.max(speed[..., leg]):.0f} m/s, above the allowed "
            f"{_FASTEST:g} m/s; give it a speed_limit."
        )
    balance = power_balance(rider, conditions, speed)
    limited = free > speed
    crank = np.where(limited, np.maximum(balance.total, 0.0), power)
    braked = np.where(limited, np.maximum(-balance.total, 0.0), 0.0)
    time = course.column("distance") / speed
    legs = RiddenLegs(speed, time, crank, braked, balance.beyond_yaw)
    return Ride(time.sum(axis=-1)[()], (crank * time).sum(axis=-1)[()], legs)


@dataclass(frozen=True, eq=False)
class DynamicRide:
    """A course ridden with inertia: time [s], where the energy went [J], speed along the road.

    energy [J at the crank]; air, rolling, slope, bearings [J at the wheel]; kinetic [J, gained];
    braked [J]; distance [m] and speed [m/s], arrays along the ride.
    """

    time: float
    energy: float
    air: float
    rolling: float
    slope: float
    bearings: float
    kinetic: float
    braked: float
    distance: np.ndarray
    speed: np.ndarray


def ride_dynamic(
    course, rider, power, air_density=1.2, wind_speed=0.0, wind_from=0.0, start_speed=None
):
    """Ride a course with inertia: speed lags behind the road, kinetic energy is carried along.

    Equation: dK_dd = P*eta/v - (F_air + F_r + F_s + F_b)

    Integrated over distance, leg by leg, by scipy's adaptive solver (DOP853). Use it to see when
    `ride` is good enough: on long legs always, on rolling ground with legs of a few hundred
    metres not.

    Parameters
    ----------
    course : Course
    rider : Rider
        One rider.
    power : float or array [W]
        At the crank, above 0: one number, or one a leg.
    air_density : float [kg/m3]
    wind_speed : float or array [m/s]
        At the rider's height: one number, or one a leg.
    wind_from : float or array [rad]
        Compass bearing that it comes from, as `wind_speed`.
    start_speed : float [m/s], optional
        Above 0 to 45; by default the steady speed of the first leg, or its limit.

    Returns
    -------
    DynamicRide

    Raises
    ------
    ValueError
        Outside the ranges, at power 0, where the rider comes to a halt, or where a leg without a
        limit would be ridden above 45 m/s, in words.

    Source: MARTIN1998
    """
    needs(Course, course=course)
    needs(Rider, rider=rider)
    legs = len(course.legs)
    power = np.broadcast_to(checked(power=power), legs)
    if np.any(power == 0):
        raise ValueError("power 0 W: a ride with inertia needs a rider who pedals on every leg.")
    angle = angle_to_road(wind_from, course.column("heading"))
    wind = np.broadcast_to(checked(wind_speed=wind_speed), legs)
    days = [
        Conditions(air_density, w, phi, leg.gradient)
        for leg, w, phi in zip(course.legs, wind, np.broadcast_to(angle, legs))
    ]
    mass = rider.all_up_mass + rider.rotating_mass
    if np.ndim(power_balance(rider, days[0], 1.0).total + mass):
        raise ValueError("a ride with inertia takes one rider and one air density.")
    if start_speed is None:
        start_speed = min(
            steady_speed(rider, days[0], power[0]), course.column("speed_limit")[0]
        )
    start_speed = float(checked(start_speed=start_speed))
    rider = replace(  # the curves made once, not at each step
        rider,
        drag_area=as_curve(rider.drag_area),
        wheel_drag_area=as_curve(rider.wheel_drag_area),
    )
    state = _Rolling(speed=start_speed)
    for leg, day, watts in zip(course.legs, days, power):
        state = state.over(leg, rider, day, float(watts), mass)
    return DynamicRide(
        time=state.account[0],
        energy=state.account[1],
        air=state.account[2],
        rolling=state.account[3],
        slope=state.account[4],
        bearings=state.account[5],
        kinetic=mass / 2 * (state.speed**2 - start_speed**2),
        braked=state.braked,
        distance=np.concatenate([[0.0], *state.distances]),
        speed=np.concatenate([[start_speed], *state.speeds]),
    )


@dataclass(frozen=True, eq=False)
class _Rolling:
    """A rider between two legs: speed, accounts so far, and the track behind."""

    speed: float
    account: tuple = (0.0,) * 6  # time, crank, air, rolling, slope, bearings
    braked: float = 0.0
    distances: tuple = ()
    speeds: tuple = ()

    def over(self, leg, rider, day, power, mass):
        """The same rider at the end of the leg."""
        from scipy.integrate import solve_ivp

        limit = _FASTEST if leg.speed_limit is None else leg.speed_limit
        braked = self.braked + mass / 2 * max(self.speed**2 - limit**2, 0.0)
        eta = rider.drivetrain_efficiency

        rolling = rolling_force(rider.all_up_mass, rider.rolling_coefficient, leg.gradient)
        slope = slope_force(rider.all_up_mass, leg.gradient)

        def forces(v):
            air, _ = air_force(rider, day, v)
            bearings = bearing_resistance(v, rider.bearing_force, rider.bearing_slope)
            return np.array([air, rolling, slope, bearings])

        def slopes(_, y):
            # The solver tries a step further before it finds the event; what lies there is cut off.
            v = np.sqrt(np.clip(2 * y[0] / mass, _CRAWL**2, _FASTEST**2))
            resisting = forces(v)
            return [power * eta / v - resisting.sum(), 1 / v, power / v, *resisting]

        def at_limit(_, y):
            return np.sqrt(max(2 * y[0] / mass, 0.0)) - limit

        def halted(_, y):
            return y[0] - mass / 2 * _CRAWL**2

        at_limit.terminal, at_limit.direction = True, 1
        halted.terminal, halted.direction = True, -1
        start = [mass / 2 * min(self.speed, limit) ** 2, *self.account]
        held = self.speed >= limit and slopes(0, start)[0] >= 0
        track_d, track_v, y, done = [0.0], [min(self.speed, limit)], np.array(start), 0.0
        if not held:
            solved = solve_ivp(
                slopes, (0, leg.distance), start, "DOP853", rtol=1e-9, atol=1e-6,
                events=(at_limit, halted),
            )  # fmt: skip
            if solved.t_events[1].size:
                raise ValueError(
                    f"the rider comes to a halt: {power:g} W is too little for a gradient of "
                    f"{leg.gradient:g} with that wind."
                )
            if solved.t_events[0].size and leg.speed_limit is None:
                raise ValueError(
                    f"the rider would pass the allowed {limit:g} m/s on a gradient of "
                    f"{leg.gradient:g}; give the leg a speed_limit."
                )
            track_d, track_v = list(solved.t), list(np.sqrt(2 * solved.y[0] / mass))
            y, done = solved.y[:, -1], solved.t[-1]
        rest = leg.distance - done
        if rest > 0:  # at the limit for the rest of the leg: the crank eases off, the brakes work
            asked = power_balance(rider, day, limit)
            time = rest / limit
            crank = max(float(asked.total), 0.0)
            parts = forces(limit) * rest
            y = y + np.array([0.0, time, crank * time, *parts])
            braked += max(-float(asked.total), 0.0) * time
            track_d, track_v = [*track_d, leg.distance], [*track_v, limit]
        behind = self.distances[-1][-1] if self.distances else 0.0
        return _Rolling(
            speed=float(np.sqrt(2 * y[0] / mass)),
            account=tuple(float(part) for part in y[1:]),
            braked=braked,
            distances=(*self.distances, np.array(track_d[1:]) + behind),
            speeds=(*self.speeds, np.array(track_v[1:])),
        )


def _with_leg_axis(rider):
    """The same rider or riders with an axis of length 1 for the legs."""
    widened = {}
    for name, value in vars(rider).items():
        if isinstance(value, YawCurve):
            widened[name] = value.with_axis()
        elif np.ndim(value):
            widened[name] = np.asarray(value)[..., None]
    return replace(rider, **widened) if widened else rider
