"""Drag: from a force to a drag area and back, drag areas that change with yaw, conventions.

The drag area of this library is the force along the bicycle's axis over the dynamic pressure of
the RESULTANT air speed, at that yaw: what a balance that turns with the bicycle gives. Papers use
other conventions; the converters here turn them into this one.
"""

import numpy as np

from dragwork.physics.wind import all_directions, apparent_wind
from dragwork.quantities import checked, refuse

_NOTHING_BEYOND = 1e-9  # rad: a yaw this small past the last angle is rounding, not yaw


def dynamic_pressure(air_density, air_speed):
    """Dynamic pressure of moving air: what it could push with on each square metre.

    Equation: q = rho*v_a^2/2

    Parameters
    ----------
    air_density : float or array [kg/m3]
        0.2 to 2.
    air_speed : float or array [m/s]
        0 to 45.

    Returns
    -------
    float or array [Pa]
    """
    rho, v = checked(air_density=air_density, air_speed=air_speed)
    return 0.5 * rho * v**2


def drag_force(drag_area, air_density, air_speed):
    """Drag force of a drag area in an air stream.

    Equation: F = rho*v_a^2*CdA/2

    Parameters
    ----------
    drag_area : float or array [m2]
        0 to 20, at the yaw in question.
    air_density : float or array [kg/m3]
        0.2 to 2.
    air_speed : float or array [m/s]
        0 to 45.

    Returns
    -------
    float or array [N]
    """
    return checked(drag_area=drag_area) * dynamic_pressure(air_density, air_speed)


def area_from_force(force, air_density, air_speed):
    """Drag area from a force measured along the bicycle's axis, the stand's tare taken off.

    Equation: CdA = 2*F/(rho*v_a^2)

    Parameters
    ----------
    force : float or array [N]
        -5000 to 5000.
    air_density : float or array [kg/m3]
        0.2 to 2.
    air_speed : float or array [m/s]
        Above 0 to 45: without wind there is nothing to divide by.

    Returns
    -------
    float or array [m2]
        Negative where the force pushes.

    Raises
    ------
    ValueError
        Outside the ranges or at air speed 0, in words.
    """
    F = checked(force=force)
    q = dynamic_pressure(air_density, air_speed)
    refuse(q == 0, "air speed 0 m/s: without wind a force gives no drag area.")
    return F / q


def from_along_road(drag_area, yaw):
    """Into our convention, from one that squares the along-road part of the air speed alone.

    Equation: CdA = CdA_along*cos(yaw)^2

    Parameters
    ----------
    drag_area : float or array [m2]
        0 to 20, referred to the along-road part of the air speed.
    yaw : float or array [rad]
        -pi to pi.

    Returns
    -------
    float or array [m2]
        Referred to the resultant air speed at that yaw.

    Source: MARTIN1998
    """
    area, yaw = checked(drag_area=drag_area, yaw=yaw)
    return area * np.cos(yaw) ** 2


def body_from_wind_axes(drag, side_force, yaw):
    """Turn a balance reading from the wind's axes to the bicycle's.

    Equation: F_x = F_D*cos(yaw) - F_S*sin(yaw)
    Equation: F_y = F_D*sin(yaw) + F_S*cos(yaw)

    Parameters
    ----------
    drag : float or array [N]
        Force along the air stream, downstream positive.
    side_force : float or array [N]
        Force across the stream, positive to the right of somebody who looks downstream (at yaw
        0: the rider's left).
    yaw : float or array [rad]
        Angle of the stream to the bicycle, positive when the air comes from the rider's right.

    Returns
    -------
    (axial_force, cross_force) : floats or arrays [N]
        Backwards along the bicycle, and towards the rider's left.
    """
    D, S, yaw = checked(drag=drag, side_force=side_force, yaw=yaw)
    return D * np.cos(yaw) - S * np.sin(yaw), D * np.sin(yaw) + S * np.cos(yaw)


def wind_from_body_axes(axial_force, side_force, yaw):
    """Turn a balance reading from the bicycle's axes to the wind's.

    Equation: F_D = F_x*cos(yaw) + F_y*sin(yaw)
    Equation: F_S = -F_x*sin(yaw) + F_y*cos(yaw)

    Parameters
    ----------
    axial_force : float or array [N]
        Backwards along the bicycle.
    side_force : float or array [N]
        Towards the rider's left.
    yaw : float or array [rad]
        As in `body_from_wind_axes`.

    Returns
    -------
    (drag, side_force) : floats or arrays [N]
    """
    X, Y, yaw = checked(axial_force=axial_force, side_force=side_force, yaw=yaw)
    return X * np.cos(yaw) + Y * np.sin(yaw), -X * np.sin(yaw) + Y * np.cos(yaw)


def reynolds_number(air_density, air_speed, length, dynamic_viscosity):
    """Reynolds number: how much the air's inertia outweighs its stickiness.

    Equation: Re = rho*v_a*l/mu

    Parameters
    ----------
    air_density : float or array [kg/m3]
        0.2 to 2.
    air_speed : float or array [m/s]
        0 to 45.
    length : float or array [m]
        A size of the body, for an arm or a leg its thickness.
    dynamic_viscosity : float or array [Pa s]
        See `air.dynamic_viscosity`.

    Returns
    -------
    float or array
        A pure number. Between about 1e5 and 4e5 the drag of a smooth round limb can fall as
        speed rises, so a drag area is known at the speeds measured, and not beyond.
    """
    rho, v = checked(air_density=air_density, air_speed=air_speed)
    length, mu = checked(length=length, dynamic_viscosity=dynamic_viscosity)
    return rho * v * length / mu


def blockage_factor(model_area, section_area):
    """How much a closed test section speeds the air up beside the model.

    Equation: q_c/q = 1/(1 - A_m/A_s)^2

    Parameters
    ----------
    model_area : float or array [m2]
        Frontal area of rider, bicycle and stand.
    section_area : float or array [m2]
        Cross-section of the tunnel.

    Returns
    -------
    float or array
        Divide a drag area by it. This is the area rule of continuity alone; it leaves the wake
        out and holds for a small model, up to about a tenth of the section.

    Raises
    ------
    ValueError
        Outside the ranges, or where the model fills the section, in words.

    Source: BLOCKAGE
    """
    S, C = checked(model_area=model_area, section_area=section_area)
    refuse(S >= C, "model area {:g} m² fills the section area of {:g} m².", S, C)
    return 1 / (1 - S / C) ** 2


class YawCurve:
    """A drag area that changes with yaw: a table, linear between its angles.

    Equation: C = C_last*cos(yaw)/cos(yaw_last)

    The equation holds beyond the last angle: continuous there, zero in a pure crosswind, a push
    where the air overtakes the rider. A table of angles >= 0 is symmetric; one with both signs is
    taken as it stands.

    Parameters
    ----------
    yaw : (k,) array [rad]
        The table's angles, rising, within 89 degrees.
    drag_area : (..., k) array [m2]
        One value an angle; leading axes hold many curves (samples, riders).

    A drag area may be added or taken off, and a share taken, as of a number: at every angle alike,
    for each of its curves or with new leading axes.

    Called with a yaw [rad] it returns drag areas [m2]; leading axes broadcast with the yaw's as
    in numpy. An angle beyond the table is refused there; `steady_speed`, `power_balance` and
    `ride` go on by the equation above and report `.beyond_yaw`.

    Raises
    ------
    ValueError
        For a table that is not one, and for a yaw beyond the table, in words.
    """

    def __init__(self, yaw, drag_area):
        yaw, area = map(np.atleast_1d, checked(yaw=yaw, drag_area=drag_area))
        if yaw.ndim != 1 or yaw.size == 0 or area.shape[-1] != yaw.size:
            raise ValueError(
                f"a yaw curve needs one drag area an angle: {yaw.size} angles, "
                f"{area.shape[-1]} drag areas."
            )
        if np.any(np.diff(yaw) <= 0):
            raise ValueError("the angles of a yaw curve must rise from each to the next.")
        if np.any(np.abs(yaw) > np.deg2rad(89)):
            raise ValueError("the angles of a yaw curve must lie within 89 degrees.")
        self.yaw, self.drag_area, self.shape = yaw, area, area.shape[:-1]  # () for one curve
        if yaw[0] >= 0:  # symmetric: the left half is filled in from the right
            right = yaw > 0
            yaw = np.concatenate([-yaw[right][::-1], yaw])
            area = np.concatenate([area[..., right][..., ::-1], area], axis=-1)
        self.angles, self.table = yaw, area.reshape(-1, yaw.size)  # a row for each of the curves
        self.places = np.arange(len(self.table)).reshape(self.shape)  # the row of each
        run = np.diff(self.angles)
        self._slopes = np.diff(self.table) / run if run.size else np.zeros_like(self.table)
        self._at_zero = self.table[:, : self._slopes.shape[-1]] - self._slopes * self.angles[: run.size or 1]

    def __repr__(self):
        low, high = self.limits
        return f"YawCurve({self.yaw.size} angles, valid {low:.4g} to {high:.4g} degrees)"

    @property
    def limits(self):
        """First and last angle at which the curve was measured [degrees], for messages."""
        return tuple(np.rad2deg(self.angles[[0, -1]]).tolist())

    def __add__(self, area):
        return YawCurve(self.yaw, self.drag_area + np.asarray(area)[..., None])

    def __sub__(self, area):
        return YawCurve(self.yaw, self.drag_area - np.asarray(area)[..., None])

    def __mul__(self, share):
        return YawCurve(self.yaw, self.drag_area * np.asarray(share)[..., None])

    def __call__(self, yaw):
        yaw = checked(yaw=yaw)
        beyond = self.beyond(yaw)
        if np.any(beyond):
            low, high = self.limits
            raise ValueError(
                f"yaw {np.rad2deg(yaw[beyond].flat[0]):.1f} degrees lies beyond this curve, which "
                f"was measured from {low:.1f} to {high:.1f} degrees."
            )
        return self.extended(yaw)

    def extended(self, yaw):
        """Drag area [m2] at any yaw [rad], by the law beyond the table where need be."""
        return self.area_and_slope(*np.broadcast_arrays(yaw, self.places))[0]

    def area_and_slope(self, yaw, row):
        """Drag area [m2] and its slope [m2/rad] at a yaw, for the curve in a row of the table."""
        inside = np.clip(yaw, self.angles[0], self.angles[-1])
        place = np.zeros(np.shape(yaw), dtype=np.int16)  # few angles: quicker than a search
        for angle in self.angles[1:-1]:
            place += inside >= angle
        place = place + row * self._slopes.shape[-1]
        slope = self._slopes.take(place)
        area = self._at_zero.take(place) + slope * inside
        beyond = inside != yaw
        if not np.any(beyond):
            return area, slope

        def there(of, angle):  # of the few beyond: for all it takes as long as the rest together
            return of(angle, out=np.ones(np.shape(yaw)), where=beyond)

        edge, along, across = there(np.cos, inside), there(np.cos, yaw), there(np.sin, yaw)
        return area * (along / edge), np.where(beyond, -area * across / edge, slope)

    def beyond(self, yaw):
        """Whether a yaw [rad] lies outside the table."""
        first, last = self.angles[[0, -1]]
        return (yaw < first - _NOTHING_BEYOND) | (yaw > last + _NOTHING_BEYOND)


def wind_averaged(curve, ground_speed, wind_speed, directions=None):
    """Drag area averaged over the directions that a wind may come from.

    Equation: CdA_w = mean(C*v_a^2)/v^2

    Parameters
    ----------
    curve : YawCurve or any callable of a yaw [rad] that returns m2
    ground_speed : float or array [m/s]
        Above 0 to 45.
    wind_speed : float or array [m/s]
        At the rider's height, 0 to 45.
    directions : array [rad], optional
        Wind angles, all equally likely; None = 360 of them around the compass.

    Returns
    -------
    float or array [m2]
        Referred to the GROUND speed squared: times rho v^2/2 it is the mean force along the road.

    Raises
    ------
    ValueError
        Outside the ranges, at ground speed 0, or where a YawCurve does not reach, in words.

    Source: SAE_J1252
    """
    v, w = checked(ground_speed=ground_speed, wind_speed=wind_speed)
    refuse(v == 0, "ground speed 0 m/s: the mean drag area is referred to the ground speed.")
    directions = all_directions() if directions is None else checked(directions=directions)
    felt = apparent_wind(v[..., None], w[..., None], directions)
    if not callable(curve):
        raise ValueError(f"curve {curve!r} is not a function of yaw; give a YawCurve or a callable.")
    if isinstance(curve, YawCurve) and curve.shape:  # an axis for the directions behind theirs
        curve = YawCurve(curve.yaw, curve.drag_area[..., None, :])
    return np.mean(curve(felt.yaw) * felt.speed**2, axis=-1) / v**2


def build_up(parts, interaction=0.0):
    """Drag area of rider, bicycle and parts together, from the drag area of each.

    Equation: CdA = sum(CdA_part) + CdA_int

    Parameters
    ----------
    parts : dict of str to float or array [m2]
        Each 0 to 20, for the same yaw and referred to the same air.
    interaction : float or array [m2]
        What the parts do to each other, -5 to 5: below 0 where one shelters another. It is seldom
        known, and seldom nothing: parts measured alone do not simply add up.

    Returns
    -------
    float or array [m2]

    Raises
    ------
    ValueError
        No parts, outside the ranges, or a total below 0, in words.
    """
    if not isinstance(parts, dict) or not parts:
        raise ValueError("parts must name at least one drag area: {'rider': 0.24, ...}.")
    total = checked(interaction=interaction)
    for name, area in parts.items():
        try:
            total = total + checked(drag_area=area)
        except ValueError as error:
            raise ValueError(f"part '{name}': {error}") from None
    refuse(total < 0, "the interaction takes away more than all parts together have.")
    return total
