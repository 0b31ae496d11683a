"""Drag areas, yaw curves and the converters between conventions."""

import numpy as np
import published
import pytest
from hypothesis import given
from scipy.integrate import quad
from strategies import area_at, curves, floats

from dragwork.physics.drag import (
    YawCurve,
    area_from_force,
    blockage_factor,
    body_from_wind_axes,
    build_up,
    drag_force,
    dynamic_pressure,
    from_along_road,
    reynolds_number,
    wind_averaged,
    wind_from_body_axes,
)
from dragwork.physics.wind import apparent_wind

angles = floats(-np.pi, np.pi)


def test_yaw_curve_between_its_angles():
    (record,) = published.for_test("test_yaw_curve_between_its_angles")
    table = record.si
    record.assert_close(YawCurve(table["yaw"], table["drag_area"])(table["at"]))


def test_yaw_curve_beyond_its_angles():
    (record,) = published.for_test("test_yaw_curve_beyond_its_angles")
    table = record.si
    curve = YawCurve(table["yaw"], table["drag_area"])
    record.assert_close(curve.extended(table["at"]))
    assert curve.beyond(table["at"]).tolist() == [False, True, True, True, True, True]


def test_plain_number_is_drag_that_opposes_the_air():
    (record,) = published.for_test("test_plain_number_is_drag_that_opposes_the_air")
    record.assert_close(YawCurve(0.0, record.si["drag_area"]).extended(record.si["at"]))


def test_wind_averaged_in_the_form_of_sae():
    coefficients = {
        "1": lambda yaw: np.ones_like(yaw),
        "1 + 0.01*yaw^2 (deg)": lambda yaw: 1 + 0.01 * np.rad2deg(yaw) ** 2,
    }
    for record in published.for_test("test_wind_averaged_in_the_form_of_sae"):
        given_ = record.si
        curve = coefficients[given_.pop("coefficient")]
        record.assert_close(wind_averaged(curve, **given_))


def test_wind_averaged_against_quad():
    (record,) = published.for_test("test_wind_averaged_against_quad")
    area, v = record.si["drag_area"], record.si["ground_speed"]
    winds = record.si["wind_speed"]

    def pull(phi, w):
        return area * np.hypot(v + w * np.cos(phi), w * np.sin(phi)) * (v + w * np.cos(phi)) / v**2

    library = [quad(pull, 0, np.pi, args=(w,), epsabs=1e-12)[0] / np.pi for w in winds]
    ours = wind_averaged(lambda yaw: YawCurve(0.0, area).extended(yaw), v, winds)
    assert ours == pytest.approx(library, rel=record.tolerance, abs=1e-6)


@given(floats(0, 20), floats(0.2, 2), floats(0.1, 45))
def test_force_and_drag_area_go_there_and_back(area, rho, v):
    force = drag_force(area, rho, v)
    assert force == area * dynamic_pressure(rho, v)
    if force <= 5000:
        assert area_from_force(force, rho, v) == pytest.approx(area, rel=1e-14)


@given(floats(0.2, 2), floats(0, 22))
def test_twice_the_speed_is_four_times_the_pressure(rho, v):
    assert dynamic_pressure(rho, 2 * v) == pytest.approx(4 * dynamic_pressure(rho, v), rel=1e-14)


@given(floats(-3000, 3000), floats(-3000, 3000), angles)
def test_axes_turn_there_and_back_and_keep_the_force(drag, side, yaw):
    axial, cross = body_from_wind_axes(drag, side, yaw)
    assert np.hypot(axial, cross) == pytest.approx(np.hypot(drag, side), abs=1e-9)
    assert wind_from_body_axes(axial, cross, yaw) == pytest.approx((drag, side), abs=1e-9)


@given(floats(0.05, 0.6), floats(-1.5, 1.5), floats(0.5, 2), floats(1, 45))
def test_along_road_convention_gives_the_same_force(area, yaw, rho, speed):
    """CdA_along over the along-road speed squared = our CdA over the resultant squared."""
    theirs = drag_force(area, rho, speed * np.cos(yaw))
    ours = drag_force(from_along_road(area, yaw), rho, speed)
    assert ours == pytest.approx(theirs, rel=1e-12)


@given(floats(0.05, 0.6), angles, floats(0.5, 45))
def test_plain_number_pulls_as_area_times_speed_times_along(area, angle, w):
    felt = apparent_wind(10.0, w, angle)
    pull = YawCurve(0.0, area).extended(felt.yaw) * felt.speed**2
    assert pull == pytest.approx(area * felt.speed * felt.along, abs=1e-10)


@given(curves(), angles)
def test_curve_follows_the_air_law(curve, yaw):
    assert curve.extended(yaw) == pytest.approx(area_at(curve, yaw), abs=1e-12)


@given(curves(), floats(0, 1))
def test_called_curve_agrees_within_and_refuses_beyond(curve, share):
    low, high = np.deg2rad(curve.limits)
    inside = low + share * (high - low)
    assert curve(inside) == curve.extended(inside)
    with pytest.raises(ValueError, match="beyond this curve"):
        curve(high + 1e-6)
    with pytest.raises(ValueError, match="beyond this curve"):
        curve(low - 1e-6)


@given(curves())
def test_curve_is_continuous_at_its_ends(curve):
    for end in np.deg2rad(curve.limits):
        inside, outside = curve.extended(np.array([end - 1e-9, end + 1e-9]))
        assert inside == pytest.approx(outside, abs=1e-8)


@given(curves())
def test_one_sided_table_is_symmetric(curve):
    if curve.yaw[0] >= 0:
        yaw = np.linspace(-np.pi, np.pi, 41)
        assert curve.extended(yaw) == pytest.approx(curve.extended(-yaw), abs=1e-14)


def test_a_side_wind_alone_neither_pulls_nor_pushes():
    curve = YawCurve(np.deg2rad([0, 10, 20]), [0.3, 0.32, 0.26])
    assert curve.extended(np.pi / 2) == pytest.approx(0, abs=1e-15)
    assert curve.extended(np.pi) < 0


@given(curves(), angles)
def test_slope_is_the_slope(curve, yaw):
    """Central difference, away from the kinks of the table and from the turn at +-pi."""
    step = 1e-6
    kinks = np.concatenate([curve.yaw, -curve.yaw, [-np.pi, np.pi]])
    if np.abs(kinks - yaw).min() > 2 * step:
        left, right = curve.extended(np.array([yaw - step, yaw + step]))
        _, slope = curve.area_and_slope(yaw, curve.places)
        assert slope == pytest.approx((right - left) / (2 * step), abs=1e-6 * (1 + abs(slope)))


def test_many_curves_broadcast_like_numpy():
    tables = np.array([[0.30, 0.32], [0.25, 0.24], [0.4, 0.4]])
    many = YawCurve(np.deg2rad([0, 10]), tables)
    yaw = np.deg2rad([0, 2.5, 5, 10])
    assert many.shape == (3,)
    assert many(0.0).shape == (3,)
    crossed = YawCurve(many.yaw, tables[:, None, :])(yaw)
    assert crossed.shape == (3, 4)
    for row, table in zip(crossed, tables, strict=True):
        assert row == pytest.approx(YawCurve(many.yaw, table)(yaw), abs=0)
    with pytest.raises(ValueError):
        many(yaw)  # 3 curves against 4 angles: numpy would refuse as well


@pytest.mark.parametrize(
    ("yaw", "areas", "words"),
    [
        ([0, 0.1], [0.3, 0.3, 0.3], "one drag area an angle"),
        ([0.1, 0.0], [0.3, 0.3], "rise"),
        ([0.1, 0.1], [0.3, 0.3], "rise"),
        ([0, 1.56], [0.3, 0.3], "89 degrees"),
        ([], [], "one drag area an angle"),
        ([[0, 0.1]], [[0.3, 0.3]], "one drag area an angle"),
    ],
)
def test_a_table_that_is_none_is_refused(yaw, areas, words):
    with pytest.raises(ValueError, match=words):
        YawCurve(yaw, areas)


@given(floats(0, 0.3), floats(3, 20))
def test_blockage_grows_with_the_model(model, section):
    factor = blockage_factor(model, section)
    assert factor >= 1
    assert blockage_factor(model + 0.1, section) > factor
    assert factor == pytest.approx(1 + 2 * model / section, abs=4 * (model / section) ** 2)


@given(floats(0.2, 2), floats(0.1, 20), floats(0.01, 2), floats(1e-5, 3e-5))
def test_reynolds_number_is_inertia_over_friction(rho, v, length, mu):
    """rho v^2 against mu v/L."""
    assert reynolds_number(rho, v, length, mu) == pytest.approx(rho * v**2 / (mu * v / length))


def test_build_up_adds_and_says_which_part_is_wrong():
    assert build_up({"rider": [0.2, 0.3], "bicycle": 0.1}).tolist() == pytest.approx([0.3, 0.4])
    with pytest.raises(ValueError, match="'bottle'.*−1"):
        build_up({"rider": 0.2, "bottle": -1})
    with pytest.raises(ValueError, match="interaction"):
        build_up({"rider": 0.2}, interaction=-0.3)
    for parts in ({}, 0.3, None, [0.2, 0.1]):
        with pytest.raises(ValueError, match="parts"):
            build_up(parts)


@given(floats(0.1, 0.5), floats(1, 30))
def test_in_still_air_the_mean_is_the_drag_area(area, v):
    assert wind_averaged(lambda yaw: area * np.cos(yaw), v, 0.0) == pytest.approx(area, rel=1e-12)


def test_mean_refuses_a_yaw_that_was_not_measured():
    curve = YawCurve(np.deg2rad([0, 20]), [0.3, 0.3])
    assert wind_averaged(curve, 12.0, 3.0) > 0.3
    with pytest.raises(ValueError, match="beyond this curve"):
        wind_averaged(curve, 6.0, 4.0)
