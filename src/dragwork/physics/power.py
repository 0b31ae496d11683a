"""The power balance: a rider, the conditions, and where the watts go."""

from dataclasses import dataclass

import numpy as np

from dragwork.physics.drag import YawCurve
from dragwork.physics.forces import Rows, beyond_yaw
from dragwork.physics.resistance import crank_power
from dragwork.quantities import checked, needs


class _Checked:
    """A frozen record whose fields are checked where it is made; yaw curves pass through."""

    def __post_init__(self):
        for name, value in list(vars(self).items()):
            if not isinstance(value, YawCurve):
                object.__setattr__(self, name, checked(**{name: value})[()])


@dataclass(frozen=True, eq=False)
class Rider(_Checked):
    """A rider on a bicycle: all that the power balance needs. Fields may be arrays.

    Parameters
    ----------
    all_up_mass : float or array [kg]
        Rider, bicycle, bottles and clothing.
    drag_area : float, array or YawCurve [m2]
        A number is a curve with the one angle 0 (see `drag.YawCurve`).
    rolling_coefficient : float or array
    drivetrain_efficiency : float or array
        Wheel power over crank power.
    wheel_drag_area : float, array or YawCurve [m2]
        Power to spin the wheels in the air, as a drag area; 0 where the drag area was measured
        with the wheels turning.
    bearing_force : float or array [N]
    bearing_slope : float or array [N/(m/s)]
    rotating_mass : float or array [kg]
        Inertia of the wheels over their radius squared.

    Source: MARTIN1998
    """

    all_up_mass: float
    drag_area: float
    rolling_coefficient: float = 0.004
    drivetrain_efficiency: float = 0.975
    wheel_drag_area: float = 0.0
    bearing_force: float = 0.0
    bearing_slope: float = 0.0
    rotating_mass: float = 0.0


@dataclass(frozen=True, eq=False)
class Conditions(_Checked):
    """Air, wind at the rider's height, slope and shelter. Fields may be arrays.

    Parameters
    ----------
    air_density : float or array [kg/m3]
    wind_speed : float or array [m/s]
    wind_angle : float or array [rad]
        From the direction of travel to where the wind comes FROM; 0 = headwind, pi = tailwind.
    gradient : float or array
        Rise over run.
    shelter : float or array
        Share of the drag area that the air still meets behind others, above 0 to 1; 1 alone.

    Source: MARTIN1998
    """

    air_density: float = 1.2
    wind_speed: float = 0.0
    wind_angle: float = 0.0
    gradient: float = 0.0
    shelter: float = 1.0


@dataclass(frozen=True, eq=False)
class PowerBalance:
    """Watts by cause. All but `drivetrain` and `total` are at the wheel; `total` is at the crank."""

    air: float
    rolling: float
    slope: float
    bearings: float
    acceleration: float
    drivetrain: float
    total: float
    air_share: float
    beyond_yaw: bool

    @property
    def wheel(self):
        """Power at the wheel [W], the sum of the parts; negative where the brakes must take it."""
        return self.total - self.drivetrain


def air_force(rider, conditions, ground_speed):
    """Force of the air along the road, rider and spinning wheels together.

    Equation: F_air = k_s*rho*v_a^2*(C + C_w)/2

    Parameters
    ----------
    rider : Rider
    conditions : Conditions
    ground_speed : float or array [m/s]
        0 to 45.

    Returns
    -------
    (force, beyond_yaw) : floats or arrays [N], bool
        Negative where the air pushes; True where the yaw lies beyond the measured angles, of the
        rider's drag area or of the wheels' yaw curve (a plain number for the wheels has no angles).

    Source: MARTIN1998
    """
    rows, v, beyond = _at_speed(rider, conditions, ground_speed)
    return rows.forces(v).air.reshape(rows.shape)[()], beyond


def _at_speed(rider, conditions, ground_speed, acceleration=0.0):
    """Rows, the speed of each [m/s], and whether the yaw there is beyond, in their own shape."""
    needs(Rider, rider=rider)
    needs(Conditions, conditions=conditions)
    v, a = checked(ground_speed=ground_speed, acceleration=acceleration)
    rows = Rows.of(rider, conditions, ground_speed=v, acceleration=a)
    v = rows["ground_speed"]
    return rows, v, beyond_yaw(rider, rows.yaw(v).reshape(rows.shape))[()]


def power_balance(rider, conditions, ground_speed, acceleration=0.0):
    """Where the watts go at one speed.

    Equation: P_wheel = (F_air + F_r + F_s + F_b + F_a)*v
    Equation: s = F_air/(F_air + F_r + F_s + F_b)

    Parameters
    ----------
    rider : Rider
    conditions : Conditions
    ground_speed : float or array [m/s]
        0 to 45.
    acceleration : float or array [m/s2]
        -20 to 20.

    Returns
    -------
    PowerBalance
        .air .rolling .slope .bearings .acceleration [W at the wheel], .drivetrain [W],
        .total [W at the crank; negative = the brakes must take it], .air_share (algebraic:
        above 1 on descents), .beyond_yaw (True where the drag area was not measured).

    Source: MARTIN1998
    """
    rows, v, beyond = _at_speed(rider, conditions, ground_speed, acceleration)
    forces, inertia = rows.forces(v), rows["inertia"] * rows["acceleration"]
    resisting = forces.total
    wheel = (resisting + inertia) * v
    total = crank_power(wheel, rows["efficiency"])
    with np.errstate(divide="ignore"):
        share = np.where(forces.air == 0, 0.0, forces.air / np.where(forces.air == 0, 1.0, resisting))
    parts = (forces.air * v, forces.rolling * v, forces.slope * v, forces.bearings * v, inertia * v)
    parts = [part.reshape(rows.shape)[()] for part in (*parts, total - wheel, total, share)]
    return PowerBalance(*parts, beyond)
