"""Riding behind others: what shelter saves a rider on a course, by places that were measured."""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.decisions import PLANNING
from dragwork.decisions.rides import CAREFUL, DRAWS, SEED, drawn_days, ride_on
from dragwork.quantities import Estimate, needs


@dataclass(frozen=True)
class Place:
    """A place behind others: the share of the drag area that the air still meets, low to high."""

    words: str
    low: float
    high: float
    source: str  # a key of `dragwork.sources`


# The last two were found in still air with gaps of a wheel or less: a club ride has more.
BEHIND_ONE = Place("behind one rider of a club ride, a metre or two away", 0.70, 0.85, "COMMON_PRACTICE")
IN_LINE = Place("close in line behind one to three riders", 0.50, 0.70, "BLOCKEN2018")
PELOTON = Place("deep in a dense peloton of 121", 0.05, 0.10, "BLOCKEN2018")
PLACES = (BEHIND_ONE, IN_LINE, PELOTON)


def sheltered(rider, share):
    """The rider in shelter: the air meets that share of each drag area.

    Parameters
    ----------
    rider : Rider
    share : float or array
        1 is alone.

    Returns
    -------
    Rider
    """
    areas = {name: getattr(rider, name) * share for name in ("drag_area", "wheel_drag_area")}
    return replace(rider, **areas)


def time_saved_in_shelter(
    place, course, rider, power, air_density=1.2, wind_speed=0.0, wind_from=0.0, unstated=CAREFUL,
    draws=DRAWS, seed=SEED,
):  # fmt: skip
    """Seconds saved by riding a whole course in one place behind others, at the same power.

    The share is drawn evenly between the ends of the place, the days as for a claim.

    Parameters
    ----------
    place : Place
    course : Course
    rider : Rider
    power, air_density, wind_speed, wind_from
        As in `physics.course.ride`.
    unstated : Unstated
    draws, seed : int

    Returns
    -------
    Estimate
        At 80 %.

    Source: MARTIN1998, JCGM101
    """
    needs(Place, place=place)
    days = drawn_days(course, rider, power, air_density, wind_speed, wind_from, unstated, draws, seed)
    share = np.random.default_rng([seed, 3]).uniform(place.low, place.high, draws)
    alone, behind = (ride_on(days, r).time for r in (days.rider, sheltered(days.rider, share)))
    return Estimate.of(alone - behind, PLANNING)
