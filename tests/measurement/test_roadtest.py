"""Drag areas from laps: exact where laps are, honest where they scatter, refused where they cannot."""

from dataclasses import fields, replace

import numpy as np
import published
import pytest
from field_days import AREA, CALM, ROLLING, Truth, day, known_half_widths, laps_of
from hypothesis import given
from hypothesis import strategies as st
from lap_sheets import EFFICIENCY, MASS, RHO, laps, sheet

from dragwork.measurement.field_sheet import sort_out
from dragwork.measurement.regression import condition_of
from dragwork.measurement.roadtest import (
    FieldErrors,
    budget,
    fit,
    wind_and_slope,
)
from dragwork.scenario import saltpan_lane

NOTHING_SHARED = FieldErrors(*[0.0] * len(fields(FieldErrors)))

WEIGHT = MASS * 9.80665


# -- exact laps ---------------------------------------------------------------------------------------


@given(st.floats(0.15, 0.6), st.floats(0.002, 0.01), st.floats(-0.5, 0.5))
def test_laps_without_noise_give_the_truth(drag_area, rolling, surge):
    (record,) = published.for_test("test_laps_without_noise_give_the_truth")
    found = fit(laps(drag_area=drag_area, rolling=rolling, surge=surge))
    assert found.drag_area == pytest.approx(drag_area, rel=record.tolerance)
    assert found.rolling_coefficient == pytest.approx(rolling, rel=record.tolerance)
    assert np.abs(found.observations.residual).max() < 1e-9
    assert found.rejected == ()


@given(st.floats(-2, 2), st.floats(-0.01, 0.01))
def test_a_wind_and_slope_that_are_known_are_taken_off_exactly(wind, gradient):
    ridden = laps(head_wind=wind, gradient=gradient)
    for pairs in (True, False):
        found = fit(ridden, pairs=pairs, head_wind=wind, gradient=gradient)
        assert found.drag_area == pytest.approx(0.32, rel=1e-9)
    noted = laps(head_wind=wind, gradient=gradient)
    way = np.where(noted.laps.direction == "out", 1.0, -1.0)
    noted.laps["head_wind"], noted.laps["gradient"] = wind * way, gradient * way
    assert fit(noted).drag_area == pytest.approx(0.32, rel=1e-9)


def test_a_lap_worked_by_hand():
    (record,) = published.for_test("test_a_lap_worked_by_hand")
    given_ = record.inputs
    read = sheet({}, {}, {}, {})
    read.laps["air_density"] = given_["air_density"]
    found = fit(read, rolling_coefficient=given_["rolling_coefficient"])
    record.assert_close(found.drag_area)
    for leg in found.legs.drag_area:
        record.assert_close(leg)


def test_two_positions_share_one_rolling_coefficient():
    ridden = laps((6, 9, 12, 6, 9, 12), np.repeat([0.320, 0.304], 3), position=["P"] * 3 + ["K"] * 3)
    found = fit(ridden)
    assert found.names == ("drag_area P", "drag_area K", "rolling_coefficient")
    assert found.drag_area == pytest.approx({"P": 0.320, "K": 0.304}, rel=1e-9)
    assert found.difference("P", "K").difference == pytest.approx(0.016, rel=1e-8)
    assert found.difference("K", "P").difference == pytest.approx(-0.016, rel=1e-8)


def test_a_loop_counts_as_closed():
    ridden = laps()
    ridden.laps["direction"] = "loop"
    ridden.laps["pair"] = np.arange(len(ridden.laps)) + 1
    found = fit(ridden)
    assert found.degrees_of_freedom == len(ridden.laps) - 2
    assert found.drag_area == pytest.approx(0.32, rel=1e-9)
    assert np.all(found.shared["gradient"] == 0)


# -- wind and slope -----------------------------------------------------------------------------------


def test_one_way_against_paired_legs():
    (record,) = published.for_test("test_one_way_against_paired_legs")
    ridden = laps([11.0] * 3, head_wind=0.5)
    out = fit(ridden.choose("out"), 0.0046, pairs=False).drag_area
    paired = fit(ridden, 0.0046).drag_area
    record.assert_close(100 * (np.array([out, paired]) / 0.32 - 1))


def test_a_thousandth_of_slope_is_a_hundredth_of_drag_area():
    (record,) = published.for_test("test_a_thousandth_of_slope_is_a_hundredth_of_drag_area")
    ridden = laps([11.0] * 3, gradient=0.001)
    record.assert_close(fit(ridden.choose("out"), 0.0046, pairs=False).drag_area - 0.32)
    # In a pair it cancels, but for the cosine of the slope in the tyres' part.
    assert fit(ridden, 0.0046).drag_area == pytest.approx(0.32, abs=1e-6)


@given(st.floats(-1.5, 1.5))
def test_with_several_speeds_the_wind_squared_goes_into_the_rolling_coefficient(wind):
    found = fit(laps(head_wind=wind))
    assert found.drag_area == pytest.approx(0.32, abs=1e-9)
    extra = RHO / 2 * 0.32 * wind**2 / WEIGHT
    assert found.rolling_coefficient == pytest.approx(0.0046 + extra, abs=1e-9)


def test_the_legs_tell_wind_and_slope():
    (record,) = published.for_test("test_the_legs_tell_wind_and_slope")
    found = wind_and_slope(fit(laps(head_wind=0.5, gradient=0.001)))
    assert [found.head_wind, found.gradient] == pytest.approx(record.expected, rel=1e-4)
    with pytest.raises(ValueError, match="nearly one speed"):
        wind_and_slope(fit(laps([11.0] * 4, head_wind=0.5), 0.0046))


# -- what cannot be parted ----------------------------------------------------------------------------


def test_at_one_speed_drag_area_and_rolling_are_not_parted_and_the_fit_says_so():
    ridden = laps([11.0, 11.1, 10.9, 11.0])
    with pytest.raises(ValueError, match="the laps were all ridden at nearly one speed, 39.2 to 40.0 km/h.*Give the rolling coefficient"):
        fit(ridden)
    with pytest.raises(ValueError, match="nearly one speed, 39.6 to 39.6"):
        fit(laps([11.0] * 4))
    assert fit(ridden, 0.0046).drag_area == pytest.approx(0.32, rel=1e-9)
    table = fit(laps([8.0, 11.0, 8.0, 11.0])).observations
    assert condition_of(table[["dynamic_pressure", "weight"]], table.standard_uncertainty) < 30


def test_the_correlation_is_that_of_the_two_columns():
    found = fit(laps(), errors=NOTHING_SHARED)
    table = found.observations
    columns = table[["dynamic_pressure", "weight"]].to_numpy() / table[["standard_uncertainty"]].to_numpy()
    cosine = columns[:, 0] @ columns[:, 1] / np.prod(np.linalg.norm(columns, axis=0))
    regression = found.regression
    correlation = regression.covariance[0, 1] / np.prod(regression.standard_errors)
    assert correlation == pytest.approx(-cosine, rel=1e-6)


# -- what all laps share ------------------------------------------------------------------------------


def test_shared_errors_scale_as_the_algebra_says():
    shared = fit(laps(), errors=FieldErrors(0.01, 0.01, 0.002, 0.003, 0.5, 0.5, 0.001)).shared
    area, rolling = 0.32, 0.0046
    assert shared["power_scale"] == pytest.approx([area * 0.01, rolling * 0.01], rel=1e-6)
    assert shared["drivetrain_efficiency"] == pytest.approx(
        [area * 0.01 / EFFICIENCY, rolling * 0.01 / EFFICIENCY], rel=1e-6
    )
    assert shared["air_density"] == pytest.approx([-area * 0.003, 0], abs=area * 2e-5)
    assert shared["speed_scale"] == pytest.approx([-3 * area * 0.002, -rolling * 0.002], rel=1e-2)
    assert shared["all_up_mass"] == pytest.approx([0, -rolling * 0.5 / MASS], abs=1e-6)
    assert shared["head_wind"] == pytest.approx([0, 0], abs=1e-9)
    assert shared["gradient"] == pytest.approx([0, 0], abs=1e-9)
    squared = np.sqrt(3) * RHO / 2 * area * 0.25 / WEIGHT
    assert shared["head_wind_squared"] == pytest.approx([0, -squared], abs=1e-9)


def test_a_wheel_that_reads_wrong_is_wrong_in_the_acceleration_too():
    """A sheet on which every speed and distance is a little more, fitted anew, is the truth."""
    u = 1e-5  # so small that the squares do not show
    known = {"errors": FieldErrors(0.0, 0.0, u, *[0.0] * 8)}
    pushed = laps(surge=0.2)
    found = fit(pushed, **known)
    column = {name: pushed.laps[name] * (1 + u) for name in ("speed", "start_speed", "end_speed", "distance")}
    again = fit(replace(pushed, laps=pushed.laps.assign(**column)), **known)
    assert found.shared["speed_scale"] == pytest.approx(
        again.regression.coefficients - found.regression.coefficients, rel=1e-3
    )


def test_a_shared_factor_scales_a_difference_and_does_not_blur_it():
    ridden = laps((6, 9, 12, 6, 9, 12), np.repeat([0.320, 0.304], 3), position=["P"] * 3 + ["K"] * 3)
    found = fit(ridden, errors=FieldErrors(0.02, *[0.0] * 10))
    scatter = found.regression.covariance
    of_difference = np.sqrt(scatter[0, 0] + scatter[1, 1] - 2 * scatter[0, 1])
    gap = found.difference("P", "K").standard_uncertainty
    assert gap == pytest.approx(np.hypot(of_difference, 0.02 * 0.016), rel=1e-6)
    shared = found.standard_errors["drag_area P"] ** 2 - scatter[0, 0]
    assert np.sqrt(shared) == pytest.approx(0.02 * 0.320, rel=1e-6)


def test_rolling_that_is_taken_and_not_fitted():
    (record,) = published.for_test("test_rolling_that_is_taken_and_not_fitted")
    found = budget(fit(laps([11.0] * 3), 0.0046)).set_index("cause")
    record.assert_close(found.drag_area["rolling_coefficient"])


def test_the_budget_adds_up_and_says_why_one_way_will_not_do():
    ridden = laps()
    paired, one_way = fit(ridden, 0.0046), fit(ridden.choose("out"), 0.0046, pairs=False)
    for found in (paired, one_way):
        table = budget(found)
        assert table.share.sum() == pytest.approx(1)
        total = np.sqrt((table.drag_area**2).sum())
        assert total == pytest.approx(found.standard_errors["drag_area"], rel=1e-9)
    assert budget(paired).cause[0] == "rolling_coefficient"
    assert set(budget(one_way).cause[:2]) == {"head_wind", "gradient"}


# -- scatter ------------------------------------------------------------------------------------------


SIDE_WIND = Truth(side_wind_sd=2.0, rise_with_yaw=1.0)
DRIFT = Truth(drift=0.008)


def trials(number, seed, truth, blocks="PKKP"):
    """Shares of days whose 95 % ranges hold the truth, median half-widths of P and P less K, the
    same by an analyst who knows the errors, and the share of days with a note that is not on all.
    """
    hits, widths, odd = np.zeros(4), [], 0
    for trial in range(number):
        laps = day(np.random.default_rng([seed, trial]), truth, blocks)
        found = fit(laps)
        ranges, gap = found.intervals, found.difference("P", "K")
        pairs = [
            (ranges["drag_area P"], AREA["P"]), (ranges["drag_area K"], AREA["K"]),
            (ranges["rolling_coefficient"], ROLLING), ((gap.low, gap.high), AREA["P"] - AREA["K"]),
        ]  # fmt: skip
        hits += [low <= true <= high for (low, high), true in pairs]
        ours = [(high - low) / 2 for (low, high), _ in (pairs[0], pairs[3])]
        widths.append([*ours, *known_half_widths(laps, truth, truth.side_wind_sd, truth.drift)])
        odd += len(found.notes) > 3
    shares = dict(zip(("P", "K", "rolling", "difference"), hits / number))
    return shares, np.median(widths, axis=0), odd / number


def check_sound(number, seed, least, truth=Truth()):
    shares, (p, gap, known_p, known_gap), odd = trials(number, seed, truth)
    print(f"sound {truth.gust_sd}: {shares}, {p:.4f} {known_p:.4f} {gap:.4f} {known_gap:.4f}, {odd:.1%}")
    assert min(shares.values()) >= least
    # 1.10 is Student's t of 13 degrees of freedom over the normal quantile.
    assert p <= 1.10 * 1.05 * known_p and gap <= 1.10 * 1.05 * known_gap
    assert odd <= 0.05


def check_side_wind(number, seed, least):
    shares, (p, _, known, _), odd = trials(number, seed, SIDE_WIND)
    print(f"side wind: {shares}, {p:.4f} {known:.4f}, {odd:.1%}")
    assert min(shares.values()) >= least and odd > 0.3 and p <= 2 * known


def check_offset(number, seed, least):
    shares, (p, _, known, _), _ = trials(number, seed, Truth(offset=5.0))
    print(f"offset: {shares}, {p:.4f} {known:.4f}")
    assert min(shares.values()) >= least and p <= 1.3 * known


def check_order(number, seed, least):
    shares, (_, gap, _, known), _ = trials(number, seed, DRIFT, "PPKK")
    print(f"PPKK with drift: {shares}, {gap:.4f} {known:.4f}")
    assert shares["difference"] >= least and gap <= 2 * known


# 40 trials at 95 %: fewer than 33 happen once in 1400; 20: fewer than 16 once in 400. At 300 trials two standard errors are 2.5 %.
CHECKS = [check_sound, check_side_wind, check_offset, check_order]


@pytest.mark.parametrize("check", CHECKS)
def test_95_percent_ranges_hold_the_truth(check):
    """More days where the median width is held to an analyst's with the same errors, or the truth is harder to hold."""
    check(*((40, 7, 0.82) if check in (check_side_wind, check_offset) else (20, 7, 0.8)))


@pytest.mark.tour
@pytest.mark.parametrize("check", CHECKS)
def test_95_percent_ranges_hold_the_truth_on_300_days(check):
    check(300, 11, 0.92 if check is not check_side_wind else 0.90)


@pytest.mark.tour
def test_95_percent_ranges_hold_the_truth_on_300_calm_days():
    check_sound(300, 12, 0.92, CALM)


def test_laps_say_what_they_cannot_show():
    """By how much, worked here for one pair of speeds: force = A q + R W + what was not seen."""
    speeds = np.array([6.0, 12.0])
    found = fit(laps(np.tile(speeds, 4)))
    q, weight = RHO / 2 * speeds**2, WEIGHT

    def shift(force):
        """Two equations, two unknowns."""
        return np.linalg.solve(np.column_stack([q, [weight] * 2]), force)

    side = shift(RHO / 2 * 0.32 * (speeds * 2 + 4))[0]
    offset = shift(5 * EFFICIENCY / speeds)
    fall = shift(-0.002 * (speeds - speeds.mean()) * q)[0]
    wind, meter, speed = found.notes[-3:]
    assert f"{side:.3f} m² too large" in wind and "Test when leaves hang still" in wind
    assert f"by {offset[0]:+.3f} m² and the rolling coefficient by {offset[1]:+.4f}" in meter.replace("−", "-")
    assert f"off by {fall:+.3f} m²" in speed.replace("−", "-") and "22 to 43 km/h" in speed


def test_a_wind_across_the_road_is_told_and_widens_downwards():
    q_extra = RHO / 2 * 0.32 * (np.repeat([6.0, 9, 12, 7, 11], 2) * 3 + 9)  # 3 m/s, 1.0 a radian
    still = laps()
    windy = sort_out(still.laps.assign(power=still.laps.power + q_extra * still.laps.speed / EFFICIENCY))
    found = fit(windy)
    assert found.drag_area > 0.36
    low, high = found.intervals["drag_area"]
    assert low <= 0.32 and "wind from the side (about" in found.notes[0]
    assert high - found.drag_area < found.drag_area - low
    assert set(found.suspected) == {"side_wind", "meter_offset"}
    assert fit(windy, 0.0046).suspected == {}  # a rolling coefficient that is known needs no excuse


def test_a_strong_wind_along_the_road_may_blow_across_it():
    found = fit(laps(head_wind=2.0, gradient=0.0))
    assert "a wind of 2.0 m/s along the road" in found.notes[0] and "side_wind" in found.suspected
    assert not any("along the road" in note for note in fit(laps(head_wind=1.0)).notes)


def test_a_drift_is_told_and_positions_in_turn_are_asked_for():
    areas = np.repeat([0.32, 0.33, 0.34, 0.35, 0.36, 0.37], 3)
    found = fit(laps((6, 9, 12) * 6, areas, position=["P"] * 18))
    assert "rise by 0.0" in found.notes[0]
    in_turn = fit(day(np.random.default_rng(0), CALM))
    in_blocks = fit(day(np.random.default_rng(0), CALM, "PPKK"))
    assert not any("not ridden in turn" in note for note in in_turn.notes)
    (note,) = [note for note in in_blocks.notes if "not ridden in turn" in note]
    assert "ride P K K P" in note


def test_laps_that_all_agree_give_no_range_of_width_zero():
    same = laps((6, 9, 12) * 4, 0.32, position=["P", "P", "P", "K", "K", "K"] * 2)
    found = fit(same)
    gap = found.difference("P", "K")
    assert gap.high - gap.low > 0.004
    assert any("same speeds and watts" in note for note in found.notes)
    once = laps((6, 7, 8, 9, 10, 11, 12, 8.5), 0.32, position=["P", "P", "P", "P", "K", "K", "K", "K"])
    assert any("agree better" in note for note in fit(once).notes)


@pytest.mark.parametrize("number", [20, pytest.param(300, marks=pytest.mark.tour)])
def test_the_next_pair_lies_in_the_prediction_band(number):
    """At 95 %, less three standard errors: 0.804 of 20 pairs, 0.912 of 300."""
    rng, hits, of_the_day = np.random.default_rng(4), 0, np.zeros(8)
    for _ in range(number):
        whole = laps_of(of_the_day, rng.standard_normal((7, 24)), CALM, "KKK")
        last = len(whole.laps) - 2
        left_out = whole.without(last + 1, last + 2)
        found = fit(left_out, errors=NOTHING_SHARED)
        alone = fit(whole, 0.0, errors=NOTHING_SHARED).observations
        pair = alone[alone.laps == f"{last + 1} and {last + 2}"]
        if len(pair):
            band = found.prediction(float(pair.dynamic_pressure.iloc[0]))
            hits += band.low <= float(pair.force.iloc[0]) <= band.high
    assert hits / number >= 0.95 - 3 * np.sqrt(0.95 * 0.05 / number)


def test_the_line_is_known_better_than_the_next_pair():
    found = fit(saltpan_lane.saltpan_lane())
    q = np.linspace(10, 90, 9)
    line, new = (found.prediction(q, "K", new=new) for new in (False, True))
    assert line.mid == pytest.approx(new.mid)
    assert np.all(new.high - new.low > line.high - line.low)
    assert line.mid == pytest.approx(
        found.drag_area["K"] * q + found.rolling_coefficient * MASS * 9.80665, rel=1e-3
    )


def test_a_lap_that_does_not_belong_is_named():
    speeds = (6, 9, 12, 7, 11, 8, 10, 9.5)
    power = laps(speeds).laps.power.to_numpy().copy()
    power *= 1 + 0.004 * np.random.default_rng(1).standard_normal(len(power))
    assert fit(laps(speeds, power=power)).rejected == ()
    power[5] *= 0.8
    found = fit(laps(speeds, power=power))
    assert [lap.lap for lap in found.rejected] == ["5", "6"]
    assert "standard deviations off" in found.rejected[1].why
    assert "other direction is missing" in found.rejected[0].why
    assert found.drag_area == pytest.approx(0.32, abs=0.01)


# 60 days at 2 %: more than 5 happen about once in 800; 150 days: more than 10 once in 4000.
@pytest.mark.parametrize(("number", "most"), [(60, 5), pytest.param(150, 10, marks=pytest.mark.tour)])
def test_a_sound_test_loses_a_lap_once_in_fifty(number, most):
    days = [day(np.random.default_rng([9, i]), CALM) for i in range(number)]
    lost = sum(any("standard deviations" in lap.why for lap in one.rejected) for one in days)
    assert lost <= most


# -- choices and refusals -----------------------------------------------------------------------------


def test_a_leg_without_its_partner_is_left_out_and_named():
    found = fit(laps().without(4))
    assert [(lap.lap, "other direction" in lap.why) for lap in found.rejected] == [("3", True)]
    assert found.degrees_of_freedom == 4 - 2
    alone = fit(laps().without(4), pairs=False)
    assert alone.rejected == () and alone.degrees_of_freedom == 9 - 2


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"laps": "a path"}, "is not a LapSheet"),
        ({"laps": laps([6.0, 12.0])}, "2 usable pairs of legs: to find a drag area and the rolling coefficient.*at least 3"),
        ({"laps": laps().choose("out")}, "No usable pairs"),
        ({"head_wind": 30}, "headwind of 30 m/s is outside"),
        ({"gradient": 1.0}, "gradient"),
        ({"drivetrain_efficiency": 97.5}, "drivetrain efficiency.*percent"),
        ({"rolling_coefficient": 0.5}, "coefficient of rolling resistance 0.5"),
        ({"confidence": 95}, "percent"),
        ({"errors": 0.1}, "is not a FieldErrors"),
    ],
)
def test_what_cannot_be_fitted_is_refused_in_words(change, words):
    with pytest.raises(ValueError, match=words):
        fit(**{"laps": laps()} | change)


def test_positions_and_laps_that_are_not_there_are_refused_in_words():
    found = fit(laps())
    for call in (lambda: found.difference("K", "Z"), lambda: found.prediction(50, "Z"), lambda: budget(found, "Z")):
        with pytest.raises(ValueError, match="position 'Z' was not tested here; there are: K"):
            call()
    for pressure in (-1.0, float("nan"), [50.0, -1.0]):
        with pytest.raises(ValueError, match="Pa must be at least 0"):
            found.prediction(pressure)
    with pytest.raises(ValueError, match="given twice"):
        found.difference("K", "K")
    with pytest.raises(ValueError, match="lap '77' is not on this sheet"):
        laps().without(77)
    with pytest.raises(ValueError, match="position 'Z'; there are: K"):
        laps().choose(position="Z")
    with pytest.raises(ValueError, match="power scale 2"):
        FieldErrors(power_scale=2)
