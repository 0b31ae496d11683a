"""The drawn ride, the same for every page: what is not stated, one set of days, one number of draws, one seed."""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.physics.course import Course, ride
from dragwork.physics.power import Rider
from dragwork.quantities import check_uncertainties, checked, kept_within, needs, whole_number
from dragwork.units import kmh, to_kmh

SLOWEST, FASTEST = kmh(5), kmh(70)  # a walk; more than anybody holds on the flat. COMMON_PRACTICE
DRAWS = 2000  # the ends of a range settle to about a fortieth of its width
SEED = 1
GUST = 2000.0  # m: on longer legs the wind of a day changes on the way. COMMON_PRACTICE

_LARGEST = {"rolling_coefficient": 0.01, "all_up_mass": 20.0, "wind_speed": 5.0, "gusts": 0.5}
_UNITS = {"all_up_mass": "kg", "wind_speed": "m/s"}


@dataclass(frozen=True)
class Unstated:
    """Standard uncertainties of what is assumed about a ride. Common practice, no source.

    Parameters
    ----------
    power : float
        Relative, of the rider's crank power: meter and day together.
    air_density : float
        Relative: the weather of another day.
    rolling_coefficient : float
        Tyres, pressure and road.
    all_up_mass : float [kg]
    wind_speed : float [m/s]
        At the rider's height, of each of the wind's two components: a wind that was not expected,
        from any side.
    gusts : float
        Of each of the two components too, as a share of the wind of the day: strength and
        direction change along the road. Over open ground a quarter is usual.

    Raises
    ------
    ValueError
        Below 0, or too large to be a standard uncertainty, in words.

    Source: COMMON_PRACTICE
    """

    power: float = 0.02
    air_density: float = 0.01
    rolling_coefficient: float = 0.0005
    all_up_mass: float = 1.0
    wind_speed: float = 0.5
    gusts: float = 0.25

    def __post_init__(self):
        check_uncertainties(self, _LARGEST, _UNITS)

    def only(self, name):
        """The same doubt about one thing, none about the others."""
        return replace(EXACT, **{name: getattr(self, name)})


EXACT = Unstated(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
CAREFUL = Unstated(0.01, 0.005, 0.0003, 0.5, 0.25, 0.25)  # gusts blow for the careful too


@dataclass(frozen=True, eq=False)
class Days:
    """A road on n days: .course, its legs cut where the wind changes; .legs, which leg of the road
    each of them is a piece of; .rider, the drawn riders, with .power_factor, drawn over assumed;
    .power [W], .air_density [kg/m3], .wind_speed [m/s] and .wind_from [rad], as `ride` takes them."""

    course: Course
    legs: np.ndarray
    rider: Rider
    power_factor: np.ndarray
    power: np.ndarray
    air_density: np.ndarray
    wind_speed: np.ndarray
    wind_from: np.ndarray

    def together(self, *others):
        """These days and others on the same road, one after the other, to be ridden at once."""

        def joined(records, *names):
            return {name: np.concatenate([getattr(each, name) for each in records]) for name in names}

        days = (self, *others)
        riders = joined([each.rider for each in days], "all_up_mass", "rolling_coefficient")
        drawn = joined(days, "power_factor", "power", "air_density", "wind_speed", "wind_from")
        return replace(self, rider=replace(self.rider, **riders), **drawn)

    def by_leg(self, values):
        """Sums over the pieces of each leg of the road; the last axis is the piece, then the leg."""
        return np.add.reduceat(values, np.flatnonzero(np.diff(self.legs, prepend=-1)), axis=-1)


def outside_riding(speed):
    """A sentence where a speed is one that nobody rides at for long; empty where riders do.

    Parameters
    ----------
    speed : float [m/s]
        A mean over a ride, or that of a test.

    Returns
    -------
    str

    Examples
    --------
    >>> outside_riding(0.5)
    '1.8 km/h is outside riding: slower than a walk. Are speed, power and road right?'
    >>> outside_riding(10.0)
    ''

    Source: COMMON_PRACTICE
    """
    if SLOWEST <= speed <= FASTEST:
        return ""
    why = "slower than a walk" if speed < SLOWEST else "faster than anybody holds on the flat"
    return f"{to_kmh(speed):.1f} km/h is outside riding: {why}. Are speed, power and road right?"


def drawn_days(
    course, rider, power, air_density=1.2, wind_speed=0.0, wind_from=0.0, unstated=CAREFUL,
    draws=DRAWS, seed=SEED,
):  # fmt: skip
    """The days on which a claim, an option or a page is ridden: the same for the same seed.

    Everything that is not stated is drawn together: normal draws about what is assumed, kept within
    the ranges of the library (nobody rides with a negative rolling coefficient). The wind is a
    vector; an unexpected one is added to it.

    Parameters
    ----------
    course : Course
    rider : Rider
        With plain fields; its drag area is passed through.
    power, air_density, wind_speed, wind_from
        As in `physics.course.ride`; one air density.
    unstated : Unstated
    draws, seed : int

    Returns
    -------
    Days

    Source: JCGM101
    """
    needs(Course, course=course)
    needs(Rider, rider=rider)
    needs(Unstated, unstated=unstated)
    draws = whole_number("draws", draws, 1, 1_000_000)
    seed = whole_number("seed", seed, 0, 2**63)
    pieces, legs = course.in_pieces(GUST)
    told = {"power": power, "wind_speed": wind_speed, "wind_from": wind_from}
    power, speed, bearing = (
        np.broadcast_to(checked(**{name: value}), len(course.legs))[legs] for name, value in told.items()
    )
    rng = np.random.default_rng([seed, 1])
    shift = {name: u * rng.standard_normal(draws) for name, u in vars(unstated).items() if name != "gusts"}
    across = unstated.wind_speed * rng.standard_normal(draws)
    north = speed * np.cos(bearing) + shift["wind_speed"][:, None]
    east = speed * np.sin(bearing) + across[:, None]
    gust = np.random.default_rng([seed, 2]).standard_normal((2, *north.shape))  # one a leg
    north, east = np.stack([north, east]) + unstated.gusts * np.hypot(north, east) * gust
    factor, rho = 1 + shift["power"], air_density * (1 + shift["air_density"])
    drawn = {
        name: kept_within(name, getattr(rider, name) + shift[name])
        for name in ("all_up_mass", "rolling_coefficient")
    }
    return Days(
        course=pieces,
        legs=legs,
        rider=replace(rider, **drawn),
        power_factor=factor,
        power=kept_within("power", power * factor[:, None]),
        air_density=kept_within("air_density", rho)[:, None],
        wind_speed=kept_within("wind_speed", np.hypot(north, east)),
        wind_from=np.arctan2(east, north),
    )


def in_parts(progress, number):
    """What each of `number` equal parts of a piece of work tells its progress to."""
    if progress is None:
        return [None] * number
    return [lambda share, i=i: progress((i + share) / number) for i in range(number)]


def ride_on(days, rider, power_factor=1.0, progress=None):
    """The road of drawn days, ridden by one rider a day.

    Parameters
    ----------
    days : Days
    rider : Rider
        `days.rider`, or that rider after a change.
    power_factor : float or array
        Power over the drawn power; an array of (n, legs of the road).
    progress : callable, optional
        As in `physics.course.ride`.

    Returns
    -------
    Ride
        Its time (n,), its legs (n, pieces of legs).

    Source: MARTIN1998
    """
    factor = np.asarray(power_factor)
    factor = factor[..., days.legs] if factor.ndim and factor.shape[-1] > 1 else factor
    power = kept_within("power", days.power * factor)
    return ride(
        days.course, rider, power, days.air_density, days.wind_speed, days.wind_from, progress=progress
    )
