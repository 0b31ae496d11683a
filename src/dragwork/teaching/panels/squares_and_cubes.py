"""Panel: the push of the air and its power over speed, on axes where a power law is a straight line."""

from dataclasses import dataclass, replace
from operator import attrgetter

import numpy as np

from dragwork import units
from dragwork.physics.power import Conditions, Rider, air_force
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.squares_and_cubes import SquaresAndCubes
from dragwork.teaching.panels.knobs import CATALOGUE
from dragwork.teaching.panels.panel import Panel

SPEEDS = units.kmh(np.geomspace(4, 100, 100))


@dataclass(frozen=True, eq=False)
class Scaling:
    """Push and power of the air at a speed, at half of it, and over all speeds; SI, at the wheel.

    `as_typed` is the power that somebody gets who puts km/h where m/s belong.
    """

    drag_area: float
    ground_speed: float
    wind_speed: float
    force: float
    power: float
    half_force: float
    half_power: float
    as_typed: np.ndarray
    speeds: np.ndarray
    forces: np.ndarray
    powers: np.ndarray

    @property
    def force_ratio(self):
        """How many times the push at half the speed."""
        return self.force / self.half_force

    @property
    def power_ratio(self):
        """How many times the power at half the speed."""
        return self.power / self.half_power


def scaling(ground_speed, drag_area=TOBIN.rider.drag_area, wind_speed=0.0):
    """What the air does to a drag area at a speed, and at half of it."""
    rider = Rider(TOBIN.rider.all_up_mass, drag_area)
    speeds = np.append(SPEEDS, [ground_speed / 2, ground_speed])
    forces, _ = air_force(rider, Conditions(wind_speed=wind_speed), speeds)
    powers = forces * speeds
    return Scaling(
        drag_area=drag_area,
        ground_speed=ground_speed,
        wind_speed=wind_speed,
        force=forces[-1],
        power=powers[-1],
        half_force=forces[-2],
        half_power=powers[-2],
        as_typed=powers[:-2] * units.to_kmh(1.0) ** 3,
        speeds=speeds[:-2],
        forces=forces[:-2],
        powers=powers[:-2],
    )


def in_words(result):
    """Push and power, and what doubling the speed did to them."""
    air = f" into {result.wind_speed:.1f} m/s of wind" if result.wind_speed else ""
    speed = units.to_kmh(result.ground_speed)
    return (
        f"At {speed:.1f} km/h{air} the air pushes {result.drag_area:.3f} m² with "
        f"{result.force:.1f} N and takes {result.power:.0f} W at the wheel. Against {speed / 2:.1f} "
        f"km/h that is {result.force_ratio:.1f} times the push and {result.power_ratio:.1f} times "
        "the power."
    )


def squares_and_cubes():
    """The panel: turn speed, drag area and head wind. Predictions are watts at a speed."""
    speed = replace(CATALOGUE["ground_speed"], reference=20)
    wind = replace(CATALOGUE["wind_speed"], label="Head wind", high=6)
    return Panel(
        (speed, "drag_area", wind), scaling, SquaresAndCubes(), in_words, invites=True,
        observed=attrgetter("power"),
    )  # fmt: skip
