"""Steady speed: the speed at which a rider's power just pays for air, tyres, slope and bearings."""

from typing import NamedTuple

import numpy as np

from dragwork.physics.drag import as_curve
from dragwork.physics.power import Conditions, Rider
from dragwork.physics.resistance import rolling_force, slope_force
from dragwork.quantities import checked, needs, refuse

_BLOCK = 16_384  # rows solved together: few enough to stay in the processor's cache
_PLAIN_STEPS = 7  # enough for nearly every row
_NEWTON_STEPS = 60  # hardly ever used up; after these bisection alone ends in another 60
_SETTLED = 1e-12  # of the speed: the step that follows a Newton step this small is lost in rounding
_ROUNDING = 4 * np.finfo(float).eps
_HARDLY_ANY_DRAG = 1e-9  # kg/m, so that the bracket is finite where the drag area is 0
_HARDLY_ANY_WIND = 1e-200  # m2/s2, so that nothing is divided by an air speed of 0


def steady_speed(rider, conditions, power):
    """The steady speed at a given crank power.

    Equation: P*eta = (F_air + F_r + F_s + F_b)*v

    Newton's method from above; rows that it does not settle at once are kept in a bracket, where
    a step that would leave it becomes a bisection.

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
    body, wheels = as_curve(rider.drag_area), as_curve(rider.wheel_drag_area)
    gradient, wind, angle = conditions.gradient, conditions.wind_speed, conditions.wind_angle
    rolling = rolling_force(rider.all_up_mass, rider.rolling_coefficient, gradient)
    columns = {
        "wheel_power": checked(power=power) * rider.drivetrain_efficiency,
        "head_wind": wind * np.cos(angle),
        "cross_wind": wind * np.sin(angle),
        "half_density": conditions.air_density / 2,
        "constant_force": rolling + slope_force(rider.all_up_mass, gradient) + rider.bearing_force,
        "bearing_slope": rider.bearing_slope,
    }
    shape = np.broadcast_shapes(*(np.shape(c) for c in columns.values()), body.shape, wheels.shape)
    columns = {name: np.broadcast_to(c, shape).reshape(-1) for name, c in columns.items()}
    air = _PlainAir if body.is_plain and wheels.is_plain else _CurveAir
    columns.update(air.columns(body, wheels, shape))

    speed = np.empty(int(np.prod(shape)))
    for start in range(0, speed.size, _BLOCK):
        block = slice(start, start + _BLOCK)
        speed[block] = _solve({name: c[block] for name, c in columns.items()}, air(body, wheels))
    speed = speed.reshape(shape)[()]
    refuse(
        np.isnan(speed),
        "no steady speed: without drag area or slope there is nothing that holds the rider back.",
    )
    return speed


def _solve(rows, air):
    """Speeds of one block of rows; NaN where power is left over at any speed."""
    high = v = _upper_bound(rows, air)
    with np.errstate(all="ignore"):  # a row that runs away here is caught in its bracket below
        for _ in range(_PLAIN_STEPS):
            before, v = v, _newton_step(v, _excess(v, rows, air))
        settled = (v > 0) & (np.abs(v - before) <= _SETTLED * v)
    left = np.flatnonzero(~settled)
    if left.size:
        v[left] = _solve_in_bracket(*_taken(left, rows, high, v), air)
    return v


def _solve_in_bracket(rows, high, v, air):
    """The same, safe for riders pushed by the wind, for kinks of a curve and for power 0."""
    low = np.zeros_like(high)
    endless = _excess(high, rows, air).power < 0
    rests = (rows["wheel_power"] == 0) & (_excess(low, rows, air).force >= 0)
    speed = np.where(endless, np.nan, 0.0)
    left = np.flatnonzero(~(endless | rests))
    rows, low, high, v = _taken(left, rows, low, high, v)
    v = np.where((v > low) & (v < high), v, high)
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


def _upper_bound(rows, air):
    """A speed that asks for more power than there is, for each row."""
    a = np.maximum(rows["half_density"] * air.least_area(rows), _HARDLY_ANY_DRAG)
    pushed = np.maximum(-rows["head_wind"], 0)
    downhill = np.sqrt(np.maximum(-rows["constant_force"], 0) / a)
    return np.cbrt(rows["wheel_power"] / a) + pushed + downhill + 1


class _PlainAir:
    """Riders whose drag areas are plain numbers: C = CdA cos(yaw), so the pull is CdA v_a u."""

    def __init__(self, body, wheels):
        pass

    @staticmethod
    def columns(body, wheels, shape):
        area = body.drag_area[..., 0] + wheels.drag_area[..., 0]
        return {"area": np.broadcast_to(area, shape).reshape(-1)}

    @staticmethod
    def least_area(rows):
        return rows["area"]

    @staticmethod
    def force(along, across, rows):
        air_speed = np.sqrt(along**2 + across**2 + _HARDLY_ANY_WIND)
        factor = rows["half_density"] * rows["area"]
        return factor * air_speed * along, factor * (air_speed + along**2 / air_speed)


class _CurveAir:
    """Riders with yaw curves: the pull is C(yaw) v_a^2."""

    def __init__(self, body, wheels):
        self.parts = {"body": body, "wheels": wheels}

    @staticmethod
    def columns(body, wheels, shape):
        """For each row, which row of the curve's table is its own."""

        def index(curve):
            number = np.arange(int(np.prod(curve.shape))).reshape(curve.shape)
            return np.broadcast_to(number, shape).reshape(-1)

        return {"body": index(body), "wheels": index(wheels)}

    def least_area(self, rows):
        return sum(
            curve.table().min(axis=-1)[rows[name]] for name, curve in self.parts.items()
        )

    def force(self, along, across, rows):
        square, yaw = along**2 + across**2, np.arctan2(across, along)
        area = slope = 0.0
        for name, curve in self.parts.items():
            part, part_slope = curve.area_and_slope(yaw, rows[name])
            area, slope = area + part, slope + part_slope
        half = rows["half_density"]
        return half * area * square, half * (2 * along * area - across * slope)
