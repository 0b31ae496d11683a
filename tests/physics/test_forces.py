"""One balance of forces: whatever resists a rider reaches every solver."""

from dataclasses import fields, replace

import numpy as np
import pytest
from ode_ride import ode_ride
from strategies import wheel_force

from dragwork.physics import forces
from dragwork.physics.course import Course, Leg, ride, steady_ride
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider, air_force, power_balance
from dragwork.physics.savings import sensitivities
from dragwork.physics.speed import steady_speed

RIDER = Rider(
    80.0, YawCurve(np.deg2rad([0, 10, 20]), [0.30, 0.31, 0.28]), 0.004, 0.97,
    wheel_drag_area=0.004, bearing_force=0.09, bearing_slope=0.009, rotating_mass=1.4,
)  # fmt: skip
DAY = Conditions(1.2, 3.0, 0.6, 0.02, 0.9)


def changed(record, name):
    """The record with one field a tenth smaller, a yaw curve as a whole."""
    value = getattr(record, name)
    if isinstance(value, YawCurve):
        return replace(record, **{name: YawCurve(value.yaw, 0.9 * value.drag_area)})
    return replace(record, **{name: 0.9 * value})


def road(day):
    """A change of slope in the same wind and shelter, so that inertia counts."""
    return Course([
        Leg(300, day.gradient, shelter=day.shelter), Leg(300, -day.gradient, shelter=day.shelter)
    ])  # fmt: skip


SOLVERS = {
    "power_balance": lambda rider, day: power_balance(rider, day, 9.0, 0.3).total,
    "steady_speed": lambda rider, day: steady_speed(rider, day, 220),
    "sensitivities": lambda rider, day: sensitivities(rider, day, 220).drag_area,
    "steady_ride": lambda rider, day: steady_ride(
        road(day), rider, 220, day.air_density, day.wind_speed, day.wind_angle
    ).time,
    "ride": lambda rider, day: ride(
        road(day), rider, 220, day.air_density, day.wind_speed, day.wind_angle
    ).time,
}
WITHOUT_INERTIA = ("steady_speed", "sensitivities", "steady_ride")


@pytest.mark.parametrize("solver", SOLVERS)
@pytest.mark.parametrize(
    ("record", "name"),
    [(r, f.name) for r in (RIDER, DAY) for f in fields(r)],
    ids=lambda value: value if isinstance(value, str) else type(value).__name__,
)
def test_every_field_reaches_every_solver(solver, record, name):
    """Found by introspection: a new field that one solver leaves out fails here."""
    other = changed(record, name)
    rider, day = (other, DAY) if isinstance(record, Rider) else (RIDER, other)
    was, now = SOLVERS[solver](RIDER, DAY), SOLVERS[solver](rider, day)
    if name == "rotating_mass" and solver in WITHOUT_INERTIA:
        assert now == was  # at a steady speed nothing is accelerated
    else:
        assert abs(now / was - 1) > 1e-6


def test_the_same_change_by_an_independent_balance():
    """Each perturbed rider rides as the forces written out in the tests say, not only otherwise."""
    for record in (RIDER, DAY):
        for field in fields(record):
            other = changed(record, field.name)
            rider, day = (other, DAY) if record is RIDER else (RIDER, other)
            done = SOLVERS["ride"](rider, day)
            truth = ode_ride(road(day), rider, 220, day.air_density, day.wind_speed, day.wind_angle)
            assert done == pytest.approx(truth.time, rel=5e-6), field.name
            sheltered = replace(day, air_density=day.air_density * day.shelter, shelter=1.0)
            found = power_balance(rider, day, 9.0)
            assert found.wheel / 9.0 == pytest.approx(wheel_force(rider, sheltered, 9.0), rel=1e-12)


def test_a_term_added_to_the_one_sum_reaches_everybody(monkeypatch):
    """5 N more, put where the forces are summed and nowhere else."""
    plain = forces.Rows.forces

    def heavier(self, speed, slope=True):
        found = plain(self, speed, slope)
        return found._replace(rolling=found.rolling + 5.0)

    was = {name: solve(RIDER, DAY) for name, solve in SOLVERS.items()}
    monkeypatch.setattr(forces.Rows, "forces", heavier)
    for name, solve in SOLVERS.items():
        assert abs(solve(RIDER, DAY) / was[name] - 1) > 1e-3, name


def test_shelter_is_a_share_of_the_air():
    """ALGEBRA: half the drag area and half the shelter are the same rider."""
    alone, half = Conditions(1.2, 3.0, 0.6), Conditions(1.2, 3.0, 0.6, shelter=0.5)
    rider, slim = Rider(80, 0.3), Rider(80, 0.15)
    assert steady_speed(rider, half, 200) == pytest.approx(steady_speed(slim, alone, 200), rel=1e-12)
    assert air_force(rider, half, 9.0)[0] == pytest.approx(air_force(slim, alone, 9.0)[0], rel=1e-14)
    behind = Course([Leg(1000, shelter=0.5)])
    assert ride(behind, rider, 200).time == pytest.approx(ride(Course([Leg(1000)]), slim, 200).time)
