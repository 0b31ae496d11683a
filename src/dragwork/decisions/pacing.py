"""Pacing as a free control: the same mean power, more of it where the road is slow."""

from dataclasses import dataclass

import numpy as np

from dragwork.decisions.search import crossing
from dragwork.physics.course import Course, Ride, ride
from dragwork.quantities import checked, needs, number_within

BOUND = 0.1  # at most a tenth more or less than the even power on any leg
_LEAST = 0.1  # of what the rule wants on a leg: above 0, and below any bound


@dataclass(frozen=True, eq=False)
class Pacing:
    """A course ridden evenly and paced, at the same mean power.

    Parameters
    ----------
    even, paced : Ride
    factor : (n,) array
        Power over even power on each leg.
    """

    even: Ride
    paced: Ride
    factor: np.ndarray

    @property
    def seconds_saved(self):
        """Positive where pacing is the quicker way [s]."""
        return self.even.time - self.paced.time


def hardness(even):
    """How much slower than the mean speed each leg is when ridden evenly, as a share of it.

    Climbs and headwinds come out above 0, descents and tailwinds below.

    Parameters
    ----------
    even : Ride

    Returns
    -------
    array

    Source: COMMON_PRACTICE
    """
    mean = (even.legs.speed * even.legs.time).sum() / even.time
    return 1 - even.legs.speed / mean


def even_against_paced(course, rider, power, shift, bound=BOUND, **day):
    """Ride a course evenly, and paced by one rule with one parameter, at the same mean power.

    Power on a leg is c P (1 + k hardness), kept within the bound. The shift k says how much more
    power goes where the road is slow; c is solved so that the mean power over the time ridden is
    that of the even ride. It leaves the rider's body out: minutes above an even power cost more
    than minutes below it give back, and that is why there is a bound.

    Parameters
    ----------
    course : Course
    rider : Rider
    power : float or array [W]
        At the crank, even: one number, or one a leg.
    shift : float
        k, 0 to 2; 0 is the even ride.
    bound : float
        No leg is ridden at more or less than this share from its even power, 0 to 0.5; c stays
        within it too.
    **day
        air_density [kg/m3], wind_speed [m/s] and wind_from [rad], as in `ride`.

    Returns
    -------
    Pacing
        .even .paced .factor .seconds_saved [s]

    Raises
    ------
    ValueError
        Outside the ranges, or where nobody pedals at all, in words.
    """
    needs(Course, course=course)
    number_within("shift", shift, 0, 2)
    number_within("bound", bound, 0, 0.5)
    power = checked(power=power)
    if power.shape not in ((), (len(course.legs),)):
        raise ValueError(f"power must be one number, or one of each of {len(course.legs)} legs.")
    power = np.broadcast_to(power, len(course.legs))
    even = ride(course, rider, power, **day)
    if even.mean_power == 0:
        raise ValueError("nobody pedals on this course at that power, so there is nothing to pace.")
    wanted = np.maximum(1 + shift * hardness(even), _LEAST)

    def factors(scale):
        return np.clip(scale * wanted, 1 - bound, 1 + bound)

    def excess(scale):  # the mean power rises with the scale
        return ride(course, rider, power * factors(scale), **day).mean_power / even.mean_power - 1

    low, high = (1 - bound) / wanted.max(), (1 + bound) / wanted.min()  # all legs at the bound
    factor = factors(crossing(excess, low, high, "no pacing within the bound keeps the mean power."))
    return Pacing(even, ride(course, rider, power * factor, **day), factor)
