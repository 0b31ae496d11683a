"""Riders, curves and weather for the property tests, and the forces written out a second time."""

from math import atan, atan2, cos, hypot, pi, sin

import numpy as np
from hypothesis import strategies as st
from ode_ride import GRAVITY, area_at

from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider


def floats(low, high):
    return st.floats(low, high, allow_nan=False)


@st.composite
def curves(draw):
    """Sensible tables: steps of at least 4 degrees, at most a fifth up or down from each to the next."""
    one_sided = draw(st.booleans())
    number = draw(st.integers(1, 5))
    first = draw(st.sampled_from([0.0, 2.5, 10.0])) if one_sided else draw(floats(-30, -5))
    angles = first + np.cumsum([0.0, *(draw(floats(4, 12)) for _ in range(number - 1))])
    ratios = [draw(floats(0.8, 1.25)) for _ in range(number - 1)]
    areas = draw(floats(0.15, 0.5)) * np.cumprod([1.0, *ratios])
    return YawCurve(np.deg2rad(angles), areas)


drag_areas = st.one_of(floats(0.15, 0.6), curves())
riders = st.builds(
    Rider,
    all_up_mass=floats(40, 150),
    drag_area=drag_areas,
    rolling_coefficient=floats(0, 0.012),
    drivetrain_efficiency=floats(0.9, 1),
    wheel_drag_area=floats(0, 0.02),
    bearing_force=floats(0, 0.3),
    bearing_slope=floats(0, 0.05),
    rotating_mass=floats(0, 3),
)
conditions = st.builds(
    Conditions,
    air_density=floats(0.8, 1.4),
    wind_speed=floats(0, 15),
    wind_angle=st.one_of(floats(-pi, pi), st.sampled_from([0.0, pi, -pi, pi / 2, -pi / 2])),
    gradient=st.one_of(st.just(0.0), floats(-0.15, 0.15)),
)


def wheel_force(rider, conditions, v):
    """All steady forces along the road [N], from the definitions and in scalars alone."""
    along = v + conditions.wind_speed * cos(conditions.wind_angle)
    across = conditions.wind_speed * sin(conditions.wind_angle)
    yaw = atan2(across, along)
    area = area_at(rider.drag_area, yaw) + area_at(rider.wheel_drag_area, yaw)
    slope = atan(conditions.gradient)
    weight = rider.all_up_mass * GRAVITY
    return (
        0.5 * conditions.air_density * hypot(along, across) ** 2 * area
        + weight * (rider.rolling_coefficient * cos(slope) + sin(slope))
        + rider.bearing_force
        + rider.bearing_slope * v
    )


def random_rows(number, seed):
    """Wide random riders, weather and crank powers as arrays."""
    rng = np.random.default_rng(seed)

    def between(low, high):
        return rng.uniform(low, high, number)

    rider = Rider(
        between(45, 140), between(0.15, 0.6), between(0.001, 0.012), between(0.9, 1),
        wheel_drag_area=between(0, 0.01), bearing_force=between(0, 0.2), bearing_slope=between(0, 0.02),
    )  # fmt: skip
    weather = Conditions(between(0.9, 1.3), between(0, 12), between(-pi, pi), between(-0.12, 0.12))
    return rider, weather, between(5, 700)
