"""What a sheet of drag areas does not state, and how far the truth may lie from what is assumed."""

from dataclasses import dataclass, fields, replace

import numpy as np

from dragwork.quantities import check_standard_uncertainties, kept_within, needs

_LARGEST = {"rolling_coefficient": 0.01, "all_up_mass": 20.0, "wind_speed": 5.0, "gusts": 0.5}
_UNITS = {"all_up_mass": "kg", "wind_speed": "m/s"}


@dataclass(frozen=True)
class Unstated:
    """Standard uncertainties of what is assumed about a ride. Common practice, no source.

    Parameters
    ----------
    power : float
        Relative, of the rider's crank power: meter and day together.
    air_density : float
        Relative: the weather of another day.
    rolling_coefficient : float
        Tyres, pressure and road.
    all_up_mass : float [kg]
    wind_speed : float [m/s]
        At the rider's height, of each of the wind's two components: a wind that was not expected,
        from any side.
    gusts : float
        Of each of the two components too, as a share of the wind of the day: strength and
        direction change along the road. Over open ground a quarter is usual.

    Raises
    ------
    ValueError
        Below 0, or too large to be a standard uncertainty, in words.

    Source: COMMON_PRACTICE
    """

    power: float = 0.02
    air_density: float = 0.01
    rolling_coefficient: float = 0.0005
    all_up_mass: float = 1.0
    wind_speed: float = 0.5
    gusts: float = 0.25

    def __post_init__(self):
        check_standard_uncertainties(self, _LARGEST, _UNITS)

    def only(self, name):
        """The same doubt about one thing, none about the others."""
        return replace(EXACT, **{name: getattr(self, name)})


EXACT = Unstated(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
CAREFUL = Unstated(0.01, 0.005, 0.0003, 0.5, 0.25, 0.25)  # gusts blow for the careful too


def draw_days(unstated, rider, day, air_density, n, seed):
    """The ride as it may have been, n times: everything that is not stated, drawn together.

    Normal draws about what is assumed, kept within the ranges of the library (nobody rides with a
    negative rolling coefficient). The wind is a vector; an unexpected one is added to it.

    Parameters
    ----------
    unstated : Unstated
    rider : Rider
        With plain fields; its drag area is passed through.
    day : dict
        As `Road.day(power)`: power [W], wind_speed [m/s] and wind_from [rad], one a leg.
    air_density : float [kg/m3]
    n, seed : int

    Returns
    -------
    dict
        rider, with (n,) fields; power [W], wind_speed [m/s] and wind_from [rad], (n, legs) arrays;
        air_density [kg/m3], (n, 1); power_factor (n,), drawn over assumed.

    Raises
    ------
    ValueError
        Where `unstated` is something else, in words.

    Source: JCGM101
    """
    needs(Unstated, unstated=unstated)
    rng = np.random.default_rng([seed, 1])
    shift = {field.name: rng.standard_normal(n) for field in fields(Unstated) if field.name != "gusts"}
    across = rng.standard_normal(n)

    def around(name, middle):
        return kept_within(name, middle + getattr(unstated, name) * shift[name])

    power, speed, bearing = np.broadcast_arrays(*(day[k] for k in ("power", "wind_speed", "wind_from")))
    north = speed * np.cos(bearing) + (unstated.wind_speed * shift["wind_speed"])[:, None]
    east = speed * np.sin(bearing) + (unstated.wind_speed * across)[:, None]
    gust = np.random.default_rng([seed, 2]).standard_normal((2, *north.shape))  # one a leg
    north, east = np.stack([north, east]) + unstated.gusts * np.hypot(north, east) * gust
    factor = 1 + unstated.power * shift["power"]
    changed = {name: around(name, getattr(rider, name)) for name in ("all_up_mass", "rolling_coefficient")}
    rho = air_density * (1 + unstated.air_density * shift["air_density"])
    return {
        "rider": replace(rider, **changed),
        "power_factor": factor,
        "power": kept_within("power", power * factor[:, None]),
        "air_density": kept_within("air_density", rho)[:, None],
        "wind_speed": kept_within("wind_speed", np.hypot(north, east)),
        "wind_from": np.arctan2(east, north),
    }
