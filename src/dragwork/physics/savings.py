"""What a change is worth: watts at a speed, seconds over a distance; exact, and for small changes.

A saving is positive when `after` is better.
"""

from dataclasses import dataclass, replace

import numpy as np

from dragwork.physics.forces import Rows
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import apparent_wind
from dragwork.quantities import checked, needs, refuse
from dragwork.units import hours


def watts_saved(before, after, conditions, ground_speed):
    """Crank power saved at the same speed.

    Equation: dP = P_before - P_after

    Parameters
    ----------
    before, after : Rider
    conditions : Conditions
    ground_speed : float or array [m/s]
        0 to 45.

    Returns
    -------
    float or array [W]
        At the crank. Where the brakes work (total below 0) nothing is saved.

    Source: MARTIN1998
    """
    needs(Rider, before=before, after=after)
    was = power_balance(before, conditions, ground_speed).total
    now = power_balance(after, conditions, ground_speed).total
    return np.maximum(was, 0.0) - np.maximum(now, 0.0)


def time_saved(before, after, conditions, power, distance):
    """Time saved over a distance at the same crank power: both speeds solved in full.

    Equation: dt = d/v_before - d/v_after

    Parameters
    ----------
    before, after : Rider
    conditions : Conditions
    power : float or array [W]
        At the crank, above 0 (or 0 where both roll by themselves) to 3000.
    distance : float or array [m]
        Above 0.

    Returns
    -------
    float or array [s]

    Raises
    ------
    ValueError
        Outside the ranges, or where a rider does not move, in words.

    Source: MARTIN1998
    """
    distance = checked(distance=distance)
    was, now = _both_speeds(before, after, conditions, power)
    return distance / was - distance / now


def _both_speeds(before, after, conditions, power):
    needs(Rider, before=before, after=after)
    was = steady_speed(before, conditions, power)
    now = steady_speed(after, conditions, power)
    refuse(
        np.minimum(was, now) == 0, "power is 0 and the rider does not roll: nothing can be compared."
    )
    return was, now


def speed_gain(before, after, conditions, power):
    """Relative gain of steady speed at the same crank power: both speeds solved in full.

    Equation: gain = v_after/v_before - 1

    Parameters
    ----------
    before, after : Rider
    conditions : Conditions
    power : float or array [W]
        As in `time_saved`.

    Returns
    -------
    float or array
        A fraction.

    Raises
    ------
    ValueError
        Outside the ranges, or where a rider does not move, in words.

    Source: MARTIN1998
    """
    was, now = _both_speeds(before, after, conditions, power)
    return now / was - 1


def time_saved_per_hour(before, after, conditions, power):
    """Seconds saved over the road that the rider covers in an hour before the change.

    Equation: dt_h = t_h*(1 - v_before/v_after)

    Parameters
    ----------
    before, after : Rider
    conditions : Conditions
    power : float or array [W]
        As in `time_saved`.

    Returns
    -------
    float or array [s]
        Out of the hour's 3600 s.

    Raises
    ------
    ValueError
        Outside the ranges, or where a rider does not move, in words.

    Source: MARTIN1998
    """
    was, now = _both_speeds(before, after, conditions, power)
    return hours(1) * (1 - was / now)


def small_change_gain(air_share, drag_area_cut):
    """The small-change rule: relative gain of speed for a relative cut of the drag area.

    Equation: gain = s/(1 + 2*s)*x

    Parameters
    ----------
    air_share : float or array
        Share s of the air in the resisting power, 0 to 1 (see `power_balance`).
    drag_area_cut : float or array
        Relative cut x of the drag area, 0 to 1; 0.05 is five percent less.

    Returns
    -------
    float or array
        A fraction. For still air, constant drag area, constant power and small cuts: at 5 % it
        is low by about a thirtieth of itself, at 30 % by a fifth. Never above a third of the cut.
    """
    s, x = checked(air_share=air_share, drag_area_cut=drag_area_cut)
    return s / (1 + 2 * s) * x


def drag_area_behind(power_saved, conditions, ground_speed):
    """The change of drag area that a quoted saving in watts stands for.

    Equation: dCdA = 2*dP/(rho*v_a*u*v)

    Parameters
    ----------
    power_saved : float or array [W]
        At the WHEEL (a saving quoted at the crank times the drivetrain's efficiency), -3000 to
        3000.
    conditions : Conditions
        Of the quotation; its gradient does not matter.
    ground_speed : float or array [m/s]
        Of the quotation, above 0 to 45.

    Returns
    -------
    float or array [m2]
        Positive where the drag area falls. Carried to another speed it says the same thing only
        if the item does at that speed and yaw what it did at the quoted one.

    Raises
    ------
    ValueError
        Outside the ranges, or where no air comes from ahead, in words.
    """
    watts, v = checked(power_saved=power_saved, ground_speed=ground_speed)
    needs(Conditions, conditions=conditions)
    felt = apparent_wind(v, conditions.wind_speed, conditions.wind_angle)
    refuse(
        np.minimum(v, felt.along) <= 0,
        "ground speed {:g} m/s: no air comes from ahead, watts there say nothing of drag.",
        v,
    )
    return 2 * watts / (conditions.air_density * felt.speed * felt.along * v)


@dataclass(frozen=True, eq=False)
class Sensitivities:
    """How fast steady speed changes with each input, all else held; and the speed itself.

    .speed [m/s]; .drag_area [m/s per m2]; .power [m/s per W]; .all_up_mass [m/s per kg];
    .rolling_coefficient [m/s per 1]; .air_density [m/s per kg/m3]; .gradient [m/s per 1];
    .wind_speed [m/s per m/s]
    """

    speed: float
    drag_area: float
    power: float
    all_up_mass: float
    rolling_coefficient: float
    air_density: float
    gradient: float
    wind_speed: float

    def in_watts(self, name, change):
        """What a small change of one input is worth, as crank power that buys the same speed [W]."""
        return getattr(self, name) * change / self.power


def sensitivities(rider, conditions, power):
    """First-order effect of each input on steady speed at constant power.

    Equation: dv_dx = -dP_dx/dP_dv

    In still air, with a constant drag area and no bearing term, this is the rule
    dv/v = -s/(1 + 2 s) dCdA/CdA with s the share of the air.

    Parameters
    ----------
    rider : Rider
        With a yaw curve `drag_area` means a shift of the whole curve.
    conditions : Conditions
    power : float or array [W]
        At the crank, above 0 to 3000.

    Returns
    -------
    Sensitivities

    Raises
    ------
    ValueError
        Outside the ranges or at power 0, in words.
    """
    power = checked(power=power)
    refuse(power == 0, "power 0 W: the small-change rule needs a rider who pedals.")
    v = steady_speed(rider, conditions, power)

    def forces(rider=rider, conditions=conditions):
        rows = Rows.of(rider, conditions, speed=v)
        found = rows.forces(rows["speed"])
        return found.total.reshape(rows.shape), found.by_speed.reshape(rows.shape)

    force, force_by_speed = forces()
    by_speed = force + v * force_by_speed
    slopes = {}
    for name, step in _STEPS.items():
        once, twice = (forces(*_stepped(rider, conditions, name, n * step))[0] for n in (1, 2))
        slopes[name] = (-v * (4 * once - 3 * force - twice) / (2 * step) / by_speed)[()]
    return Sensitivities(speed=v, power=(rider.drivetrain_efficiency / by_speed)[()], **slopes)


# Steps of the three-point differences behind the slopes, upwards because ranges begin at 0.
_STEPS = {
    "drag_area": 1e-3, "all_up_mass": 1e-2, "rolling_coefficient": 1e-4, "air_density": 1e-2,
    "gradient": 1e-5, "wind_speed": 1e-3,
}  # fmt: skip


def _stepped(rider, conditions, name, step):
    """Rider and conditions with one field larger by a step; a yaw curve is shifted as a whole."""
    if hasattr(rider, name):
        return replace(rider, **{name: getattr(rider, name) + step}), conditions
    return rider, replace(conditions, **{name: getattr(conditions, name) + step})
