"""What a sheet of drag areas does not state, and how far the truth may lie from what is assumed."""

from dataclasses import dataclass, replace

from dragwork.quantities import check_standard_uncertainties

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
