"""Steady speed: the speed at which a rider's power just pays for air, tyres, slope and bearings."""

import numpy as np

from dragwork.physics.forces import Rows
from dragwork.physics.newton import steady_speeds
from dragwork.physics.power import Conditions, Rider
from dragwork.quantities import checked, needs, refuse


def steady_speed(rider, conditions, power):
    """The steady speed at a given crank power.

    Equation: P*eta = (F_air + F_r + F_s + F_b)*v

    Newton's method; rows that it does not settle in a few steps are solved again in a bracket,
    where a step that would leave it becomes a bisection.

    Parameters
    ----------
    rider : Rider
    conditions : Conditions
    power : float or array [W]
        At the crank, 0 to 3000. Above 0 there is one answer, also in tailwinds and downhill,
        as long as drag along the road does not fall while speed rises. At 0 it is the coasting
        speed, or 0 where nothing pushes. Rider, conditions and power broadcast.

    Returns
    -------
    float or array [m/s]

    Raises
    ------
    ValueError
        Outside the ranges, for negative power, or where nothing holds the rider back, in words.

    Source: MARTIN1998
    """
    needs(Rider, rider=rider)
    needs(Conditions, conditions=conditions)
    rows = Rows.of(rider, conditions, power=checked(power=power))
    speed = steady_speeds(rows).reshape(rows.shape)[()]
    refuse(
        np.isnan(speed),
        "no steady speed: without drag area or slope there is nothing that holds the rider back.",
    )
    return speed
