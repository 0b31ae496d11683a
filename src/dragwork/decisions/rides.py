"""The drawn ride, the same for every page: one set of days, one number of draws, one seed."""

import numpy as np

from dragwork.decisions.unstated import CAREFUL, draw_days
from dragwork.physics.course import Course, ride
from dragwork.physics.power import Rider
from dragwork.quantities import checked, needs, whole_number

DRAWS = 2000  # the ends of a range settle to about a fortieth of its width
SEED = 1


def drawn_days(
    course, rider, power, air_density=1.2, wind_speed=0.0, wind_from=0.0, unstated=CAREFUL,
    draws=DRAWS, seed=SEED,
):  # fmt: skip
    """The days on which a claim, an option or a page is ridden: the same for the same seed.

    Parameters
    ----------
    course : Course
    rider : Rider
    power, air_density, wind_speed, wind_from
        As in `physics.course.ride`; one air density.
    unstated : Unstated
    draws, seed : int

    Returns
    -------
    Day

    Raises
    ------
    ValueError
        Outside the ranges, in words.

    Source: JCGM101
    """
    needs(Course, course=course)
    needs(Rider, rider=rider)
    draws = whole_number("draws", draws, 1, 1_000_000)
    seed = whole_number("seed", seed, 0, 2**63)
    told = {"power": power, "wind_speed": wind_speed, "wind_from": wind_from}
    by_leg = {
        name: np.broadcast_to(checked(**{name: value}), len(course.legs))
        for name, value in told.items()
    }
    return draw_days(unstated, rider, by_leg, air_density, draws, seed)


def ride_on(days, course, rider):
    """A course ridden on drawn days by one rider a day.

    Parameters
    ----------
    days : Day
    course : Course
    rider : Rider
        `days.rider`, or that rider after a change.

    Returns
    -------
    Ride
        Its time (n,), its legs (n, legs).

    Source: MARTIN1998
    """
    return ride(course, rider, days.power, days.air_density, days.wind_speed, days.wind_from)
