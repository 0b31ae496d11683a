"""Panel: air power against speed, for a drag area and a head wind."""

from dataclasses import dataclass, replace
from operator import attrgetter

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.teaching.figures.watts_curve import WattsCurve
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.panels.panel import Panel

SPEEDS = units.kmh(np.linspace(0, 60, 121))


@dataclass(frozen=True, eq=False)
class AirPower:
    """A point and the curve through it, SI."""

    drag_area: float
    ground_speed: float
    wind_speed: float
    air_power: float
    speeds: np.ndarray
    powers: np.ndarray


def air_power(drag_area, ground_speed, wind_speed=0.0, all_up_mass=84.0):
    """Air power at the wheel, at one speed and along the curve [W]."""
    rider = Rider(all_up_mass=all_up_mass, drag_area=drag_area)
    wind = Conditions(wind_speed=wind_speed)
    point = power_balance(rider, wind, ground_speed).air
    curve = power_balance(rider, wind, SPEEDS).air
    return AirPower(drag_area, ground_speed, wind_speed, point, SPEEDS, curve)


def in_words(result):
    """The point in one sentence."""
    wind = f" into {result.wind_speed:.1f} m/s of wind" if result.wind_speed else ""
    return (
        f"At {units.to_kmh(result.ground_speed):.1f} km/h{wind} a drag area of "
        f"{result.drag_area:.3f} m² takes {result.air_power:.0f} W of air power at the wheel."
    )


def watts_curve():
    """The panel: turn drag area, speed and head wind, and watch the air power."""
    wind = replace(CATALOGUE["wind_speed"], label="Head wind")
    return Panel(
        ("drag_area", "ground_speed", wind),
        air_power,
        WattsCurve(),
        in_words,
        observed=attrgetter("air_power"),
    )
