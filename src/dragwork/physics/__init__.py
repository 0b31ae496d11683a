"""The physics of a rider in the air: numpy alone, SI throughout.

The names that notebooks use most stand here too.
"""

from dragwork.physics.air import density, standard_atmosphere, station_pressure
from dragwork.physics.course import Course, Leg, ride, steady_ride
from dragwork.physics.drag import YawCurve, area_from_force, drag_force, dynamic_pressure
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.savings import (
    drag_area_behind,
    sensitivities,
    small_change_gain,
    speed_gain,
    time_saved,
    time_saved_per_hour,
    watts_saved,
)
from dragwork.physics.speed import steady_speed
from dragwork.physics.wind import angle_to_road, apparent_wind, wind_at_height

__all__ = [
    "Conditions", "Course", "Leg", "Rider", "YawCurve", "angle_to_road", "apparent_wind",
    "area_from_force", "density", "drag_area_behind", "drag_force", "dynamic_pressure",
    "power_balance", "ride", "sensitivities", "small_change_gain", "speed_gain",
    "standard_atmosphere", "station_pressure", "steady_ride", "steady_speed", "time_saved",
    "time_saved_per_hour", "watts_saved", "wind_at_height",
]  # fmt: skip
