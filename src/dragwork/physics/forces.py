"""The one balance of forces: what resists riders, one row for each rider in each condition.

Everything that asks what a speed costs calls `Rows.forces`: the power balance, the steady speed,
the ride, the sensitivities. It is the bare sum; arguments are checked where `Rider` and
`Conditions` are made.
"""

from typing import NamedTuple

import numpy as np

from dragwork.physics.drag import YawCurve
from dragwork.physics.resistance import rolling_force, slope_force

_NO_YAW = 1e-3  # rad: bearings are not told more exactly, and a plain drag area has the one angle 0
_HARDLY_ANY_WIND = 1e-200  # m2/s2, so that nothing is divided by an air speed of 0


class Forces(NamedTuple):
    """Newtons along the road by cause, backwards positive; and the slope of their sum by speed."""

    air: np.ndarray
    rolling: np.ndarray
    slope: np.ndarray
    bearings: np.ndarray
    by_speed: np.ndarray  # N/(m/s)

    @property
    def total(self):
        """Their sum [N]."""
        return self.air + (self.rolling + self.slope + self.bearings)


class Rows:
    """Riders in conditions, broadcast and laid out as rows; `shape` is what they broadcast to.

    `columns` holds one value a row: what the forces need, and whatever else is handed over.
    Plain drag areas are one column, their sum; a yaw curve is the place of a row in its table.
    """

    def __init__(self, columns, curves, shape):
        self.columns, self.curves, self.shape = columns, curves, shape

    @classmethod
    def of(cls, rider, conditions, **more):
        """The rows of riders and conditions, and of any other columns that broadcast with them."""
        mass, gradient = rider.all_up_mass, conditions.gradient
        half_density = conditions.shelter * conditions.air_density / 2
        areas = [rider.drag_area, rider.wheel_drag_area]
        plain = [_plain(area) for area in areas]
        curves = {f"curve_{i}": area for i, area in enumerate(areas) if plain[i] is None}
        columns = {
            "half_density": half_density,
            "drag": half_density * sum(area for area in plain if area is not None),  # N/(m/s)2
            "head_wind": conditions.wind_speed * np.cos(conditions.wind_angle),
            "cross_wind": conditions.wind_speed * np.sin(conditions.wind_angle),
            "rolling": rolling_force(mass, rider.rolling_coefficient, gradient),
            "slope": slope_force(mass, gradient),
            "efficiency": rider.drivetrain_efficiency,
            "inertia": mass + rider.rotating_mass,
            "bearing_force": rider.bearing_force,
            "bearing_slope": rider.bearing_slope,
            **{name: curve.places for name, curve in curves.items()},
            **more,
        }
        shape = np.broadcast_shapes(*(np.shape(column) for column in columns.values()))
        columns = {name: np.broadcast_to(c, shape).reshape(-1) for name, c in columns.items()}
        return cls(columns, curves, shape)

    def __getitem__(self, name):
        return self.columns[name]

    def __len__(self):
        return len(self.columns["slope"])

    def taken(self, places):
        """Some of the rows, by a slice or by their places."""
        columns = {name: column[places] for name, column in self.columns.items()}
        return Rows(columns, self.curves, None)

    def forces(self, speed, slope=True):
        """What resists at a ground speed [m/s]: a `Forces`, whose total is the one sum.

        speed: an array whose last axis is the row; slope: whether `by_speed` is wanted too.
        """
        along, across = speed + self["head_wind"], self["cross_wind"]
        square = along * along
        square += across * across + _HARDLY_ANY_WIND
        air_speed = np.sqrt(square)
        air = self["drag"] * along
        air *= air_speed
        yaw = self.yaw(speed) if self.curves else None
        areas = [curve.area_and_slope(yaw, self[name]) for name, curve in self.curves.items()]
        for area, _ in areas:
            air += self["half_density"] * area * square
        bearings, by_speed = self["bearing_force"] + self["bearing_slope"] * speed, None
        if slope:
            by_speed = self["drag"] * (air_speed + along * along / air_speed)
            by_speed += self["bearing_slope"]
            for area, by_yaw in areas:
                by_speed += self["half_density"] * (2 * along * area - across * by_yaw)
        return Forces(air, self["rolling"], self["slope"], bearings, by_speed)

    def yaw(self, speed):
        """Yaw of the air at a ground speed [rad]."""
        return np.arctan2(self["cross_wind"], speed + self["head_wind"])

    def kinks(self):
        """Ground speeds at which the slope of the force jumps [m/s], as rows of an array: where
        the rider is as fast as the tailwind, and where the yaw is an angle of a curve's table."""
        angles = {abs(angle) for curve in self.curves.values() for angle in curve.angles if angle}
        along = [np.abs(self["cross_wind"]) / np.tan(angle) for angle in sorted(angles)]
        return np.stack([np.zeros(len(self)), *along]) - self["head_wind"]

    def least_drag(self):
        """The least that air can pull at 1 m/s, at any yaw of a row's table [N/(m/s)2]."""
        areas = sum(curve.table.min(axis=-1)[self[name]] for name, curve in self.curves.items())
        return self["drag"] + self["half_density"] * areas


def beyond_yaw(rider, yaw):
    """Whether a yaw is beyond the measured angles.

    Parameters
    ----------
    rider : Rider
    yaw : float or array [rad]

    Returns
    -------
    bool or array
        A pure number: whether it is, of the rider's drag area or of the wheels' yaw curve. A plain
        drag area of the wheels has no angles.
    """
    yaw = yaw - np.clip(yaw, -_NO_YAW, _NO_YAW)
    area, wheels = rider.drag_area, rider.wheel_drag_area
    beyond = area.beyond(yaw) if isinstance(area, YawCurve) else yaw != 0
    return beyond if _plain(wheels) is not None else beyond | wheels.beyond(yaw)


def _plain(area):
    """A drag area with the one angle 0 as a number or an array [m2]; None for any other curve."""
    if not isinstance(area, YawCurve):
        return area
    return area.drag_area[..., 0] if area.yaw.tolist() == [0.0] else None
