"""Wind: what the rider feels, at which angle, and how strong it is at the rider's height."""

from dataclasses import dataclass

import numpy as np

from dragwork.quantities import checked, refuse

# Davenport's classes of ground, roughness length in m. Source: WMO8
ROUGHNESS = {
    "sea": 0.0002,
    "smooth": 0.005,
    "open": 0.03,
    "roughly open": 0.10,
    "rough": 0.25,
    "very rough": 0.5,
    "closed": 1.0,
}


@dataclass(frozen=True, eq=False)
class ApparentWind:
    """The wind that a moving rider feels: speed, along and across [m/s], yaw [rad]."""

    speed: float
    yaw: float
    along: float
    across: float


def apparent_wind(ground_speed, wind_speed, angle):
    """The wind that a moving rider feels.

    Equation: u = v + w*cos(phi)
    Equation: c = w*sin(phi)
    Equation: v_a = sqrt(u^2 + c^2)
    Equation: yaw = atan2(c, u)

    Parameters
    ----------
    ground_speed : float or array [m/s]
        0 to 45.
    wind_speed : float or array [m/s]
        At the rider's height, 0 to 45.
    angle : float or array [rad]
        From the direction of travel to where the wind comes FROM, -pi to pi, positive from the
        rider's right; 0 = head wind, pi = tail wind.

    Returns
    -------
    ApparentWind
        .speed [m/s], .yaw [rad], .along [m/s] (positive against the rider), .across [m/s]

    Raises
    ------
    ValueError
        Outside the ranges, in words.

    Source: ALGEBRA
    """
    v, w, phi = checked(ground_speed=ground_speed, wind_speed=wind_speed, angle=angle)
    along = v + w * np.cos(phi)
    across = w * np.sin(phi)
    return ApparentWind(np.hypot(along, across), np.arctan2(across, along), along, across)


def angle_to_road(wind_from, heading):
    """The wind's angle to the road, from two compass bearings.

    Equation: phi = atan2(sin(wind_from - heading), cos(wind_from - heading))

    Parameters
    ----------
    wind_from : float or array [rad]
        Bearing that the wind comes FROM, clockwise from north, within 2 pi.
    heading : float or array [rad]
        Bearing of travel, within 2 pi.

    Returns
    -------
    float or array [rad]
        In (-pi, pi]; 0 = head wind, positive from the rider's right.

    Raises
    ------
    ValueError
        Outside the ranges, in words.

    Source: ALGEBRA
    """
    wind_from, heading = checked(wind_from=wind_from, heading=heading)
    difference = wind_from - heading
    return np.pi - (np.pi - difference) % (2 * np.pi)


def wind_at_height(wind_speed, height, roughness_length=0.03, reference_height=10.0):
    """Wind nearer the ground than the weather station's mast.

    Equation: w_z = w*log(z/z_0)/log(z_ref/z_0)

    Parameters
    ----------
    wind_speed : float or array [m/s]
        At the reference height, 0 to 45.
    height : float or array [m]
        Height wanted, at least 10 roughness lengths (lower, the log law says nothing).
    roughness_length : float or array [m]
        The ground's, see ROUGHNESS; 0.03 is open grass.
    reference_height : float or array [m]
        Height of the given wind, at least 10 roughness lengths.

    Returns
    -------
    float or array [m/s]
        For a neutral, windy day over long even ground; hedges and houses are not in it.

    Raises
    ------
    ValueError
        Outside the ranges, in words.

    Source: WMO8
    """
    w, h, z0, reference = checked(
        wind_speed=wind_speed,
        height=height,
        roughness_length=roughness_length,
        reference_height=reference_height,
    )
    refuse(
        np.minimum(h, reference) < 10 * z0,
        "height {:g} m or reference_height {:g} m is below 10 roughness lengths of {:g} m; "
        "the log law does not reach down there.",
        h, reference, z0,
    )  # fmt: skip
    return w * np.log(h / z0) / np.log(reference / z0)


def rayleigh_exceedance(wind_speed, mean_wind_speed):
    """Share of the time that the wind is stronger than a given speed (Rayleigh distribution).

    Equation: share = exp(-pi/4*(w/w_mean)^2)

    Parameters
    ----------
    wind_speed : float or array [m/s]
        0 to 45.
    mean_wind_speed : float or array [m/s]
        Long-term mean at the same place and height, above 0 to 45.

    Returns
    -------
    float or array
        A fraction, 0 to 1.

    Raises
    ------
    ValueError
        Outside the ranges, in words.

    Source: ALGEBRA
    """
    w, mean = checked(wind_speed=wind_speed, mean_wind_speed=mean_wind_speed)
    return np.exp(-np.pi / 4 * (w / mean) ** 2)


def all_directions(number=360):
    """Evenly spread wind angles in (-pi, pi), for a wind of unknown direction.

    Parameters
    ----------
    number : int
        How many, at least 2; they stand at the middle of equal slices of the circle.

    Returns
    -------
    array [rad]

    Raises
    ------
    ValueError
        Fewer than two, or not a whole number.

    Source: SAE_J1252
    """
    number = checked(number=number)
    refuse(number % 1 != 0, "number {:g} is not a whole number of directions.", number)
    return (np.arange(number) + 0.5) * 2 * np.pi / number - np.pi
