"""The power balance: Martin's example, coast-downs, accounts that close, shapes."""

from dataclasses import fields, replace

import numpy as np
import published
import pytest
from hypothesis import assume, given
from scipy.integrate import quad, solve_ivp
from strategies import conditions, curves, floats, random_rows, riders, wheel_force

from dragwork.physics.drag import YawCurve, from_along_road
from dragwork.physics.power import Conditions, PowerBalance, Rider, air_force, power_balance
from dragwork.physics.resistance import rotating_mass
from dragwork.physics.wind import angle_to_road, apparent_wind

PARTS = ("air", "rolling", "slope", "bearings", "acceleration")
speeds = floats(0, 30)


def martin(example):
    """Rider, conditions and mean speed of the worked example, in our convention of drag area."""
    e = example
    angle = angle_to_road(e["wind_from"], e["heading"])
    speed = e["distance"] / e["time"]
    yaw = abs(apparent_wind(speed, e["wind_speed"], angle).yaw)

    def ours(along_road):
        return YawCurve([0.0, yaw, 0.3], from_along_road(along_road, [0.0, yaw, 0.3]))

    rider = Rider(
        all_up_mass=e["all_up_mass"],
        drag_area=ours(e["along_road_drag_area"]),
        wheel_drag_area=ours(e["along_road_wheel_drag_area"]),
        rolling_coefficient=e["rolling_coefficient"],
        drivetrain_efficiency=e["drivetrain_efficiency"],
        bearing_force=e["bearing_force"],
        bearing_slope=e["bearing_slope"],
        rotating_mass=rotating_mass(e["moment_of_inertia"], e["wheel_radius"]),
    )
    weather = Conditions(e["air_density"], e["wind_speed"], angle, e["gradient"])
    return rider, weather, speed


def test_martin_example_term_by_term():
    for record in published.for_test("test_martin_example_term_by_term"):
        rider, weather, speed = martin(record.si)
        change = (record.si["end_speed"] - record.si["start_speed"]) / record.si["time"]
        balance = power_balance(rider, weather, speed, acceleration=change)
        record.assert_close(getattr(balance, record.part))
        assert not balance.beyond_yaw


def test_martin_example_unconverted_would_be_wrong():
    """Taken as our drag area, theirs gives 161.7 W of air: the converter is needed."""
    record = published.record("martin-air")
    rider, weather, speed = martin(record.si)
    area = record.si["along_road_drag_area"] + record.si["along_road_wheel_drag_area"]
    flat = YawCurve([0.0, 0.3], [area, area])
    wrong = power_balance(replace(rider, drag_area=flat, wheel_drag_area=0.0), weather, speed)
    assert wrong.air == pytest.approx(161.7, abs=0.05)


def test_coast_down_of_the_cfr():
    """F = A + C v^2: A as rolling, C as drag area, on the flat in still air."""
    for record in published.for_test("test_coast_down_of_the_cfr"):
        m, A, C = (record.si[name] for name in ("all_up_mass", "A", "C"))
        rider = Rider(m, drag_area=2 * C * 3.6**2 / 1.2, rolling_coefficient=A / (m * 9.80665))

        def seconds_a_metre_a_second(v, rider=rider):
            return rider.all_up_mass * v / power_balance(rider, Conditions(1.2), v).wheel

        time, _ = quad(seconds_a_metre_a_second, record.si["to"], record.si["from"])
        record.assert_close(time)


def test_coast_down_against_solve_ivp():
    """Time to slow down: an ODE on our wheel power against one on the forces written out."""
    (record,) = published.for_test("test_coast_down_against_solve_ivp")
    case = record.arguments
    rider, weather, start, end = (case[name] for name in ("rider", "conditions", "from", "to"))
    inertia = rider.all_up_mass + rider.rotating_mass

    def ours(t, v):
        balance = power_balance(rider, weather, v[0])
        return [-(balance.air + balance.rolling + balance.slope + balance.bearings) / v[0] / inertia]

    def theirs(t, v):
        return [-wheel_force(rider, weather, v[0]) / inertia]

    def reached(t, v):
        return v[0] - end

    reached.terminal = True
    times = [
        solve_ivp(f, (0, 600), [start], events=reached, rtol=1e-10, atol=1e-10).t_events[0][0]
        for f in (ours, theirs)
    ]
    assert times[0] == pytest.approx(times[1], rel=record.tolerance)
    assert 10 < times[0] < 300


@given(riders, conditions, floats(0.1, 40), floats(-1, 1))
def test_accounts_close(rider, weather, v, acceleration):
    balance = power_balance(rider, weather, v, acceleration)
    wheel = sum(getattr(balance, part) for part in PARTS)
    size = sum(abs(getattr(balance, part)) for part in PARTS)
    assert balance.wheel == pytest.approx(wheel, abs=1e-12 * size)
    assert balance.total - balance.drivetrain == pytest.approx(wheel, abs=1e-12 * size)
    if wheel > 1e-9 * size:
        assert balance.total * rider.drivetrain_efficiency == pytest.approx(wheel, rel=1e-6)
        assert balance.drivetrain >= 0
    if wheel < -1e-9 * size:
        assert balance.drivetrain == 0


@given(riders, conditions, floats(0.01, 40))
def test_forces_are_those_of_the_definitions(rider, weather, v):
    expected = wheel_force(rider, weather, v) * v
    balance = power_balance(rider, weather, v)
    size = sum(abs(getattr(balance, part)) for part in PARTS)
    assert balance.wheel == pytest.approx(expected, abs=1e-11 * size + 1e-12)


@given(riders, conditions, floats(0.1, 40))
def test_air_share_is_air_over_resistance(rider, weather, v):
    balance = power_balance(rider, weather, v, acceleration=0.3)
    resisting = balance.air + balance.rolling + balance.slope + balance.bearings
    assume(abs(resisting) > 1e-6)
    assert balance.air_share == pytest.approx(balance.air / resisting, rel=1e-9)


def test_air_share_may_leave_0_to_1():
    rider = Rider(80, 0.3)
    assert power_balance(rider, Conditions(gradient=-0.01), 12).air_share > 1
    assert power_balance(rider, Conditions(wind_speed=8, wind_angle=np.pi), 6).air_share < 0


@given(riders, conditions, speeds, curves())
def test_power_is_symmetric_in_yaw_for_a_one_sided_table(rider, weather, v, curve):
    assume(curve.yaw[0] >= 0)
    rider = replace(rider, drag_area=curve)
    mirrored = replace(weather, wind_angle=-weather.wind_angle)
    here, there = power_balance(rider, weather, v).air, power_balance(rider, mirrored, v).air
    assert here == pytest.approx(there, rel=1e-12, abs=1e-12)


@given(riders, conditions)
def test_axial_force_never_falls_with_speed(rider, weather):
    force, _ = air_force(rider, weather, np.linspace(0, 30, 301))
    assert np.all(np.diff(force) >= -1e-12 * np.abs(force).max())


@given(riders, conditions)
def test_nothing_moves_nothing_costs(rider, weather):
    balance = power_balance(rider, weather, 0.0, acceleration=0.5)
    assert [getattr(balance, part) for part in (*PARTS, "total", "drivetrain")] == [0.0] * 7


def test_beyond_yaw_is_said():
    rider = Rider(80, YawCurve(np.deg2rad([0, 20]), [0.3, 0.3]))
    side = Conditions(wind_speed=5, wind_angle=np.pi / 2)
    slow_and_fast = power_balance(rider, side, np.array([10.0, 13.0, 14.0])).beyond_yaw
    assert slow_and_fast.tolist() == [True, True, False]  # atan(5/13) is 21 degrees
    assert not power_balance(Rider(80, 0.3), Conditions(wind_speed=3), 10).beyond_yaw
    assert power_balance(Rider(80, 0.3), side, 10).beyond_yaw


def test_beyond_the_yaw_of_the_wheels_is_said_too():
    """atan(5/10) is 27 degrees: within the rider's curve, beyond that of the wheels."""
    body = YawCurve(np.deg2rad([0, 40]), [0.3, 0.3])
    side = Conditions(wind_speed=5, wind_angle=np.pi / 2)
    wheels = YawCurve(np.deg2rad([0, 20]), [0.003, 0.002])
    assert not power_balance(Rider(80, body), side, 10).beyond_yaw
    assert not power_balance(Rider(80, body, wheel_drag_area=0.003), side, 10).beyond_yaw
    slow_and_fast = power_balance(
        Rider(80, body, wheel_drag_area=wheels), side, np.array([10.0, 15.0])
    )
    assert slow_and_fast.beyond_yaw.tolist() == [True, False]


def test_downhill_the_brakes_take_it_and_the_chain_nothing():
    balance = power_balance(Rider(80, 0.3), Conditions(gradient=-0.10), 5)
    assert balance.total < 0
    assert balance.drivetrain == 0
    assert balance.total == pytest.approx(balance.wheel)


def test_fields_broadcast_as_numpy_does():
    rider = Rider(np.array([60.0, 80.0, 100.0])[:, None], 0.3)
    weather = Conditions(gradient=np.array([-0.05, 0.0, 0.02, 0.05]))
    balance = power_balance(rider, weather, 8.0)
    for field in fields(PowerBalance):
        assert np.shape(getattr(balance, field.name)) == (3, 4), field.name
    one = power_balance(Rider(80.0, 0.3), Conditions(gradient=0.02), 8.0)
    for field in fields(PowerBalance):
        assert np.asarray(getattr(balance, field.name))[1, 2] == getattr(one, field.name)


def test_scalars_in_scalars_out():
    balance = power_balance(Rider(80, 0.3), Conditions(), 8)
    for field in fields(PowerBalance):
        kind = bool if field.name == "beyond_yaw" else float
        value = getattr(balance, field.name)
        assert isinstance(value, (kind, np.bool_)) and not isinstance(value, np.ndarray), field.name
    force, beyond = air_force(Rider(80, 0.3), Conditions(), 8)
    assert isinstance(force, float) and isinstance(beyond, (bool, np.bool_))


def test_arrays_agree_with_scalars():
    rider, weather, _ = random_rows(40, seed=3)
    v = np.linspace(1, 25, 40)
    together = power_balance(rider, weather, v)
    for i in range(40):
        alone = power_balance(row(rider, i), row(weather, i), v[i])
        for field in fields(PowerBalance):
            assert getattr(together, field.name)[i] == getattr(alone, field.name), field.name


def row(record, i):
    """One rider, or one weather, out of many."""
    one = {f.name: getattr(record, f.name) for f in fields(record)}
    return replace(record, **{k: x[i] if np.ndim(x) else x for k, x in one.items()})
