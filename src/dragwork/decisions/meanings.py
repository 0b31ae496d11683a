"""Three things that people mean by "the same saving", each over a road and by the hour."""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Rider
from dragwork.physics.speed import steady_speed
from dragwork.quantities import checked, needs, refuse
from dragwork.units import hours


@dataclass(frozen=True, eq=False)
class TimeSaved:
    """Seconds saved over a distance, and over the road covered before in an hour."""

    over_distance: float
    per_hour: float


@dataclass(frozen=True, eq=False)
class Meanings:
    """The same percent of drag area, the same drag area, the same watts."""

    same_percent: TimeSaved
    same_drag_area: TimeSaved
    same_watts: TimeSaved


def meanings(rider, conditions, power, distance, drag_area_cut, drag_area, watts):
    """What a rider saves if the same percent, drag area or watts is given to everybody.

    Equation: dt = d/v_before - d/v_after

    Parameters
    ----------
    rider : Rider
        With a plain drag area.
    conditions : Conditions
    power : float or array [W]
        At the crank, above 0.
    distance : float or array [m]
    drag_area_cut : float or array
        The same percent: a fraction of the rider's drag area.
    drag_area : float or array [m2]
        The same drag area, taken off the rider's.
    watts : float or array [W]
        The same watts, added to the rider's crank power. No item does this; it is what "saves
        20 W" says when it is taken literally.

    Returns
    -------
    Meanings
        .same_percent .same_drag_area .same_watts, each with .over_distance [s] and .per_hour [s]

    Raises
    ------
    ValueError
        Outside the ranges, for a rider with a yaw curve, or one who does not move, in words.

    Source: MARTIN1998
    """
    needs(Rider, rider=rider)
    distance, cut, area, watts = checked(
        distance=distance, drag_area_cut=drag_area_cut, drag_area=drag_area, watts=watts
    )
    if isinstance(rider.drag_area, YawCurve):
        raise ValueError("rider has a yaw curve; give one with a plain drag area.")
    old = steady_speed(rider, conditions, power)
    refuse(old == 0, "power is 0 and the rider does not roll: nothing can be compared.")

    def saved(changes, extra=0.0):
        new = steady_speed(replace(rider, **changes), conditions, np.add(power, extra))
        return TimeSaved(distance / old - distance / new, hours(1) * (1 - old / new))

    return Meanings(
        same_percent=saved({"drag_area": rider.drag_area * (1 - cut)}),
        same_drag_area=saved({"drag_area": rider.drag_area - area}),
        same_watts=saved({}, watts),
    )
