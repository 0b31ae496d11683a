"""Steady speed: the speed at which a rider's power just pays for air, tyres, slope and bearings."""

from typing import NamedTuple

import numpy as np

from dragwork.physics.drag import as_curve
from dragwork.physics.power import Conditions, Rider
from dragwork.physics.resistance import rolling_force, slope_force
from dragwork.quantities import checked, needs, refuse

_BLOCK = 16_384  # rows solved together: few enough to stay in the processor's cache
_PLAIN_STEPS = 6  # enough for nearly every row
_NEWTON_STEPS = 60  # hardly ever used up; after these bisection alone ends in another 60
_SETTLED = 1e-12  # of the speed: the step that follows a Newton step this small is lost in rounding
_ROUNDING = 4 * np.finfo(float).eps
_HARDLY_ANY_DRAG = 1e-9  # kg/m, so that the bracket is finite where the drag area is 0
_HARDLY_ANY_WIND = 1e-200  # m2/s2, so that nothing is divided by an air speed of 0


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
        At the crank, 0 to 3000. Above 0 there is one answer, also in tail winds and downhill,
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
    air = _Air(as_curve(rider.drag_area), as_curve(rider.wheel_drag_area))
    columns = {"power": checked(power=power), **vars(rider), **vars(conditions), **air.columns}
    for name in ("drag_area", "wheel_drag_area", "rotating_mass"):
        del columns[name]
    shape = np.broadcast_shapes(*(np.shape(column) for column in columns.values()))
    columns = {name: np.broadcast_to(c, shape).reshape(-1) for name, c in columns.items()}

    speed = _in_blocks(_newton, columns, air)
    left = np.flatnonzero(np.isnan(speed))
    speed[left] = _in_blocks(_newton_in_bracket, _taken(left, columns)[0], air)
    speed = speed.reshape(shape)[()]
    refuse(
        np.isnan(speed),
        "no steady speed: without drag area or slope there is nothing that holds the rider back.",
    )
    return speed


def _in_blocks(solve, columns, air):
    """Speeds of all rows, block by block."""
    speed = np.empty(columns["power"].size)
    for start in range(0, speed.size, _BLOCK):
        block = slice(start, start + _BLOCK)
        speed[block] = solve(_rows({name: c[block] for name, c in columns.items()}, air), air)
    return speed


def _rows(columns, air):
    """What the solver needs of one block of riders and conditions."""
    mass, gradient = columns["all_up_mass"], columns["gradient"]
    rolling = rolling_force(mass, columns["rolling_coefficient"], gradient)
    return {
        "wheel_power": columns["power"] * columns["drivetrain_efficiency"],
        "head_wind": columns["wind_speed"] * np.cos(columns["wind_angle"]),
        "cross_wind": columns["wind_speed"] * np.sin(columns["wind_angle"]),
        "half_density": columns["air_density"] / 2,
        "constant_force": rolling + slope_force(mass, gradient) + columns["bearing_force"],
        "bearing_slope": columns["bearing_slope"],
        **{name: columns[name] for name in air.columns},
    }


def _newton(rows, air):
    """Speeds of one block by a few steps of Newton; NaN where they have not settled."""
    v, _ = _guess_and_bound(rows, air)
    with np.errstate(all="ignore"):  # a row that runs away has not settled
        for _ in range(_PLAIN_STEPS):
            before, v = v, _newton_step(v, _excess(v, rows, air))
        return np.where((v > 0) & (np.abs(v - before) <= _SETTLED * v), v, np.nan)


def _newton_in_bracket(rows, air):
    """The same, safe for riders pushed by the wind, for kinks of a curve and for power 0.

    NaN where power is left over at any speed.
    """
    v, high = _guess_and_bound(rows, air)
    low = np.zeros_like(high)
    endless = _excess(high, rows, air).power < 0
    rests = (rows["wheel_power"] == 0) & (_excess(low, rows, air).force >= 0)
    speed = np.where(endless, np.nan, 0.0)
    left = np.flatnonzero(~(endless | rests))
    rows, low, high, v = _taken(left, rows, low, high, v)
    for step in range(2 * _NEWTON_STEPS):
        excess = _excess(v, rows, air)
        low, high = np.where(excess.power > 0, low, v), np.where(excess.power > 0, v, high)
        new = _newton_step(v, excess)
        safe = (new >= low) & (new <= high) & (step < _NEWTON_STEPS)
        new = np.where(safe, new, (low + high) / 2)
        settled = safe & (np.abs(new - v) <= _SETTLED * v) | (high - low <= _ROUNDING * high)
        speed[left] = new
        going = np.flatnonzero(~settled)
        if going.size == 0:
            break
        left, (rows, low, high, v) = left[going], _taken(going, rows, low, high, new)
    return speed


def _newton_step(v, excess):
    with np.errstate(divide="ignore", invalid="ignore"):
        return v - excess.power / excess.slope


class _Excess(NamedTuple):
    """Wheel power that a speed asks for less what there is, its slope by speed, the force."""

    power: np.ndarray
    slope: np.ndarray
    force: np.ndarray


def _excess(v, rows, air):
    pull, pull_slope = air.force(v + rows["head_wind"], rows["cross_wind"], rows)
    force = pull + rows["constant_force"] + rows["bearing_slope"] * v
    slope = force + v * (pull_slope + rows["bearing_slope"])
    return _Excess(v * force - rows["wheel_power"], slope, force)


def _taken(going, rows, *arrays):
    return {name: column[going] for name, column in rows.items()}, *(a[going] for a in arrays)


def _guess_and_bound(rows, air):
    """A likely speed, and one that asks for more power than there is."""
    a = np.maximum(rows["half_density"] * air.least_area(rows), _HARDLY_ANY_DRAG)
    pedalled = np.cbrt(rows["wheel_power"] / a)
    downhill = np.sqrt(np.maximum(-rows["constant_force"], 0) / a)
    still, head = np.sqrt(pedalled**2 + downhill**2), rows["head_wind"]
    guess = np.maximum(still - 0.7 * head, 0.1 * still + 0.1)  # nearer than the bound, no more
    return guess, pedalled + downhill + np.maximum(-head, 0) + 1


class _Air:
    """The air on riders and wheels: plain drag areas pull with CdA v_a u, curves with C(yaw) v_a^2.

    `columns` holds the sum of the plain ones, and for each curve which row of its table is whose.
    """

    def __init__(self, body, wheels):
        parts = {"body": body, "wheels": wheels}
        self.curves = {name: curve for name, curve in parts.items() if not curve.is_plain}
        self.least = {name: curve.table().min(axis=-1) for name, curve in self.curves.items()}
        self.columns = {name: _numbers(curve.shape) for name, curve in self.curves.items()}
        self.columns["area"] = sum(c.drag_area[..., 0] for c in parts.values() if c.is_plain)

    def least_area(self, rows):
        return rows["area"] + sum(self.least[name][rows[name]] for name in self.curves)

    def force(self, along, across, rows):
        """Force along the road [N], and its slope by the speed along the road."""
        square = along * along + across * across + _HARDLY_ANY_WIND
        air_speed = np.sqrt(square)
        pull = rows["area"] * air_speed * along
        slope = rows["area"] * (air_speed + along * along / air_speed)
        if self.curves:
            yaw = np.arctan2(across, along)
        for name, curve in self.curves.items():
            area, area_slope = curve.area_and_slope(yaw, rows[name])
            pull, slope = pull + area * square, slope + 2 * along * area - across * area_slope
        return rows["half_density"] * pull, rows["half_density"] * slope


def _numbers(shape):
    return np.arange(int(np.prod(shape))).reshape(shape)
