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
        rider's right; 0 = headwind, pi = tailwind.

    Returns
    -------
    ApparentWind
        .speed [m/s], .yaw [rad], .along [m/s] (positive against the rider), .across [m/s]
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
        In (-pi, pi]; 0 = headwind, positive from the rider's right.
    """
    wind_from, heading = checked(wind_from=wind_from, heading=heading)
    angle = np.pi - (np.pi - wind_from + heading) % (2 * np.pi)
    return np.where(angle > -np.pi, angle, np.pi)[()]  # the remainder may round to 2 pi


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

    Source: WMO8
    """
    w, h = checked(wind_speed=wind_speed, height=height)
    z0, reference = checked(roughness_length=roughness_length, reference_height=reference_height)
    refuse(
        np.minimum(h, reference) < 10 * z0,
        "height {:g} m or reference height {:g} m is below 10 roughness lengths of {:g} m; "
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
    """
    w, mean = checked(wind_speed=wind_speed, mean_wind_speed=mean_wind_speed)
    return np.exp(-np.pi / 4 * (w / mean) ** 2)


def _whole(number):
    number = checked(number=number)
    refuse(number % 1 != 0, "number {:g} is not a whole number.", number)
    return number


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
    number = _whole(number)
    return (np.arange(number) + 0.5) * 2 * np.pi / number - np.pi


def rayleigh_speeds(mean_wind_speed, number=20):
    """Wind speeds that stand for a whole season: each for an equal share of the time.

    Equation: w = w_mean*sqrt(-4/pi*log(share))

    Parameters
    ----------
    mean_wind_speed : float [m/s]
        Long-term mean at the rider's height, above 0 to 45.
    number : int
        How many, at least 2; they stand at the middle of equal shares of the time.

    Returns
    -------
    array [m/s]
        Rising. Their own mean comes near the given one as their number grows.

    Raises
    ------
    ValueError
        Outside the range, or fewer than two, in words.
    """
    mean = checked(mean_wind_speed=mean_wind_speed)
    number = _whole(number)
    share = 1 - (np.arange(number) + 0.5) / number
    return mean * np.sqrt(-4 / np.pi * np.log(share))


def yaw_distribution(ground_speed, wind_speed, directions=None, weights=None, *, edges):
    """How much of the time the yaw lies between given angles, for a wind rose.

    Parameters
    ----------
    ground_speed : float [m/s]
        0 to 45.
    wind_speed : float or array [m/s]
        At the rider's height, 0 to 45; broadcasts with `directions`.
    directions : array [rad], optional
        Wind angles to the road, -pi to pi; None = all alike, for a wind of unknown direction.
    weights : array, optional
        How often each wind blows, at least 0; broadcasts with wind and direction; None = equally.
    edges : array [rad]
        Rising angles between which the shares are counted, each including its lower one. Winds
        that lie outside are counted in no share.

    Returns
    -------
    array
        Shares of the time, one fewer than the edges; they add up to 1 if the edges hold all yaws.

    Raises
    ------
    ValueError
        Outside the ranges, or for weights that cannot be, in words.
    """
    directions = all_directions() if directions is None else checked(directions=directions)
    edges, weights = checked(edges=edges, weights=1.0 if weights is None else weights)
    yaw = apparent_wind(ground_speed, wind_speed, directions).yaw
    weights = np.broadcast_to(weights, yaw.shape)
    refuse(not np.any(weights), "weights are all 0; one of them must be above 0.")
    if edges.ndim != 1 or edges.size < 2 or np.any(np.diff(edges) <= 0):
        raise ValueError("edges must be two or more rising angles.")
    counted, _ = np.histogram(yaw, edges, weights=weights)
    return counted / weights.sum()
