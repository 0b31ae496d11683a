"""Options: the choice-rule seconds, exact balances, harmonic mixing, ranges and flips."""

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ode_ride import ode_ride

from dragwork.decisions import options as o
from dragwork.decisions.options import Option, rank, seconds_saved
from dragwork.decisions.rides import EXACT, Unstated
from dragwork.physics.course import Course, Leg, ride, steady_ride
from dragwork.physics.drag import YawCurve
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.savings import watts_saved
from dragwork.scenario.riders import IMKE, ROSALIND, TOBIN
from dragwork.scenario.roads import CINDER_LANE, LONG_HILL, THREE_KILNS
from dragwork.units import kmh

floats = st.floats
FLAT = Course([Leg(2e3)])


def three(member):
    """5 % less drag area, 2 % more power, 1 kg less on the bicycle."""
    rider = member.rider
    return [
        Option("drag", replace(rider, drag_area=rider.drag_area * 0.95), cost=40),
        Option("power", rider, cost=0, kind="training", power_factor=1.02),
        Option("mass", replace(rider, all_up_mass=rider.all_up_mass - 1), kind="mass"),
    ]


# Worked out by hand, apart from this library: drag, power, mass.
BY_HAND = [
    (ROSALIND, THREE_KILNS, (118, 91, 32), 0.5),
    (TOBIN, THREE_KILNS, (80, 62, 18), 0.5),
    (IMKE, THREE_KILNS, (66, 43, 12), 0.5),
    (TOBIN, LONG_HILL, (7.7, 38.1, 21.3), 0.06),
]


@pytest.mark.parametrize(("member", "road", "seconds", "near"), BY_HAND)
def test_seconds_of_the_choice_rule(member, road, seconds, near):
    """By hand for steady legs; by an ODE solver, apart from this library, for the ride."""
    day, rider = road.day(member.power), member.rider

    def steady(option):
        was = steady_ride(road.course, rider, **day).time
        power = {**day, "power": day["power"] * option.power_factor}
        return was - steady_ride(road.course, option.after_rider, **power).time

    def solved(option):
        power = {**day, "power": day["power"] * option.power_factor}
        return ode_ride(road.course, rider, **day).time - ode_ride(
            road.course, option.after_rider, **power
        ).time

    assert [steady(x) for x in three(member)] == pytest.approx(seconds, abs=near)
    found = [seconds_saved(x, rider, road.course, **day) for x in three(member)]
    assert found == pytest.approx([solved(x) for x in three(member)], rel=0.002)
    sure = [replace(x, doubt=0.0) for x in three(member)]
    table = rank(sure, rider, road.course, **day, unstated=EXACT, draws=2).set_index("option")
    assert table.seconds[["drag", "power", "mass"]].tolist() == pytest.approx(found, rel=1e-6)
    assert table.as_assumed[["drag", "power", "mass"]].tolist() == pytest.approx(found, rel=1e-6)


ROLLING = [
    (Course([Leg(500, 0.03), Leg(500, -0.03, speed_limit=kmh(50))] * 10), TOBIN, 220),
    (Course([Leg(300, 0.05), Leg(300, -0.05, speed_limit=kmh(60))] * 16), IMKE, 290),
    (Course([Leg(700, 0.035), Leg(700, -0.035)] * 7), TOBIN, 180),
]


@pytest.mark.parametrize(("course", "member", "power"), ROLLING)
def test_on_a_rolling_road_drag_area_comes_before_mass(course, member, power):
    """3 kg against 5 % of the drag area: the solver's order, and its seconds within the ranges."""
    rider = member.rider
    options = [three(member)[0], Option("mass", replace(rider, all_up_mass=rider.all_up_mass - 3))]
    table = rank(options, rider, course, power, draws=400)
    assert table.option.tolist() == ["drag", "mass"]
    was = ode_ride(course, rider, power).time
    for row, option in zip(table.itertuples(), options):
        truth = was - ode_ride(course, option.after_rider, power).time
        assert row.as_assumed == pytest.approx(truth, rel=0.002)
        assert row.low < truth < row.high


def test_the_table_is_in_order_and_its_ranges_hold_the_seconds():
    table = rank(three(TOBIN), TOBIN.rider, THREE_KILNS.course, **THREE_KILNS.day(220))
    assert table.option.tolist() == ["drag", "power", "mass"]
    assert (table.low < table.seconds).all() and (table.seconds < table.high).all()
    assert table["first"].sum() == pytest.approx(1)
    assert table.seconds_per_unit[0] == pytest.approx(table.seconds[0] / 40)
    assert table.seconds_per_unit[1] == np.inf and np.isnan(table.seconds_per_unit[2])


def test_without_doubt_there_is_no_width():
    sure = [replace(x, doubt=0.0) for x in three(TOBIN)]
    table = rank(sure, TOBIN.rider, THREE_KILNS.course, **THREE_KILNS.day(220), unstated=EXACT)
    assert (table.high - table.low).max() < 1e-6
    assert table["first"].tolist() == [1, 0, 0]


def test_the_range_is_the_normal_quantile_of_a_small_change():
    """Seconds go in step with a small change; 80 % of a normal are +- 1.2816 of its spread."""
    rider = TOBIN.rider
    small = Option("small", replace(rider, drag_area=rider.drag_area * 0.999), doubt=0.2)
    table = rank([small], rider, FLAT, 220, unstated=EXACT, draws=20_000)
    half = (table.high[0] - table.low[0]) / 2
    assert half / table.seconds[0] == pytest.approx(1.281552 * 0.2, rel=0.03)


def test_a_wide_doubt_leaves_the_mean_where_it_is():
    """A small change scaled by 1 + doubt z: its mean is 1, its share below 0 that of z < -2."""
    rider = TOBIN.rider
    small = Option("small", replace(rider, drag_area=rider.drag_area * 0.999), doubt=0.5)
    share = 0.02275  # of a standard normal below -2, from tables
    table = rank([small], rider, FLAT, 220, unstated=EXACT, draws=20_000,
                 confidence=1 - 2 * share)  # fmt: skip
    middle = (table.low[0] + table.high[0]) / 2
    assert middle / table.seconds[0] == pytest.approx(1, abs=0.04)
    assert table.low[0] / table.seconds[0] == pytest.approx(0, abs=0.04)


def test_the_place_in_the_list_does_not_matter():
    day = THREE_KILNS.day(220)
    there, back = (
        rank(options, TOBIN.rider, THREE_KILNS.course, **day).set_index("option")
        for options in (three(TOBIN), three(TOBIN)[::-1])
    )
    alone = rank(three(TOBIN)[1:2], TOBIN.rider, THREE_KILNS.course, **day)
    for column in ("low", "seconds", "high", "first"):
        assert there[column].to_dict() == back[column].to_dict()
    assert (alone.low[0], alone.high[0]) == (there.low["power"], there.high["power"])


def test_a_tie_is_shared_evenly():
    drag = three(TOBIN)[0]
    twins = [replace(drag, name=name, doubt=0.0) for name in ("one", "two", "three", "four")]
    table = rank(twins, TOBIN.rider, THREE_KILNS.course, **THREE_KILNS.day(220))
    assert table["first"].tolist() == [0.25] * 4


def test_the_middle_is_the_median_and_the_ride_as_assumed_stands_beside_it():
    """An unexpected wind adds to the air's part from any side: it is in the middle, not only around."""
    sure = replace(three(TOBIN)[0], doubt=0.0)
    table = rank([sure], TOBIN.rider, THREE_KILNS.course, **THREE_KILNS.day(220), unstated=Unstated())
    assert table.as_assumed[0] < table.low[0] < table.seconds[0] < table.high[0]


def test_a_yaw_curve_is_drawn_too():
    before = YawCurve([0.0, 0.2], [0.32, 0.30])
    after = YawCurve([0.0, 0.2], [0.30, 0.27])
    rider = replace(TOBIN.rider, drag_area=before)
    table = rank([Option("bars", replace(rider, drag_area=after))], rider, CINDER_LANE.course, 220)
    plain = seconds_saved(
        Option("bars", replace(rider, drag_area=0.30)), replace(rider, drag_area=0.32),
        CINDER_LANE.course, 220,
    )  # fmt: skip
    assert table.as_assumed[0] == pytest.approx(plain)
    assert table.low[0] < plain < table.high[0]


# -- balances -----------------------------------------------------------------------------------------


def test_tobin_s_eight_percent_are_gone_with_six_point_eight_of_his_power():
    share = 0.849
    assert o.power_worth(share, 0.08) == pytest.approx(0.0679, abs=5e-5)
    lower = Option("low", replace(TOBIN.rider, drag_area=TOBIN.rider.drag_area * 0.92))
    lost = o.break_even_power(lower, TOBIN.rider, CINDER_LANE.course, 220)
    assert lost == pytest.approx(0.068, abs=5e-4)
    spent = replace(lower, power_factor=1 - lost)
    assert seconds_saved(spent, TOBIN.rider, CINDER_LANE.course, 220) == pytest.approx(0, abs=1e-5)


@given(floats(0.18, 0.45), floats(0, 0.5), floats(80, 400), floats(0, 0.06))
def test_power_worth_is_exact_at_the_same_speed(area, cut, power, gradient):
    """P after over P before at one speed, from the power balance itself."""
    rider, road = Rider(80, area), Conditions(gradient=gradient)
    speed = 9.0
    was, now = (
        power_balance(replace(rider, drag_area=a), road, speed) for a in (area, area * (1 - cut))
    )
    assert o.power_worth(was.air_share, cut) == pytest.approx(1 - now.total / was.total, abs=1e-12)


@given(floats(0.002, 0.02), floats(0.3, 5), floats(4, 14), floats(0.002, 0.008))
def test_at_the_balance_both_spare_the_same_watts(area, mass, speed, rolling):
    gradient = o.break_even_gradient(area, mass, speed, rolling)
    if abs(gradient) > 0.4:  # steeper than the library rides
        return
    road = Conditions(gradient=gradient)
    rider = Rider(85, 0.32, rolling, drivetrain_efficiency=1.0)
    heavy = watts_saved(replace(rider, all_up_mass=85 + mass), rider, road, speed)
    if gradient > 0:
        windy = watts_saved(replace(rider, drag_area=0.32 + area), rider, road, speed)
        assert heavy == pytest.approx(windy, rel=1e-9)


def test_a_hundredth_of_a_square_metre_against_half_a_kilogram():
    """3.4 % at 20 km/h, by hand."""
    assert o.break_even_gradient(0.010, 0.5, kmh(20)) == pytest.approx(0.034, abs=5e-4)


# -- holding it ---------------------------------------------------------------------------------------


def test_mean_speed_is_harmonic():
    """10 km at 20 and 10 km at 40 km/h: 26.7 km/h, by hand."""
    assert o.mixed_speed(kmh(20), kmh(40), 0.5) == pytest.approx(kmh(80 / 3))
    assert o.mixed_time(100, 200, 0.25) == 175


def test_a_position_held_on_every_other_kilometre():
    """As a road of which each half is ridden by one of the two riders."""
    rider, lower = TOBIN.rider, replace(TOBIN.rider, drag_area=0.28)
    half = Option("bars", lower, kind="position", held=0.5)
    whole, part = Course([Leg(20e3)]), Course([Leg(10e3)])
    apart = 2 * ride(part, rider, 220).time - sum(ride(part, r, 220).time for r in (rider, lower))
    assert seconds_saved(half, rider, whole, 220) == pytest.approx(apart)


def test_how_long_a_position_must_be_held():
    rider = TOBIN.rider
    bars = Option("bars", replace(rider, drag_area=0.28), kind="position")
    suit = Option("suit", replace(rider, drag_area=0.31))
    share = o.held_enough(bars, suit, rider, CINDER_LANE.course, 220)
    assert 0.2 < share < 0.3
    assert seconds_saved(replace(bars, held=share), rider, CINDER_LANE.course, 220) == pytest.approx(
        seconds_saved(suit, rider, CINDER_LANE.course, 220)
    )
    worse = Option("flags", replace(rider, drag_area=0.4))
    assert o.held_enough(worse, suit, rider, CINDER_LANE.course, 220) == np.inf


# -- pacing and flips -----------------------------------------------------------------------------------


def test_pacing_keeps_the_mean_power():
    day = THREE_KILNS.day(220)
    factors = o.same_mean_power([1.05, 1.05, 1, 0.9], TOBIN.rider, THREE_KILNS.course, **day)
    before = ride(THREE_KILNS.course, TOBIN.rider, **day)
    after = ride(THREE_KILNS.course, TOBIN.rider, **{**day, "power": day["power"] * factors})
    assert after.mean_power == pytest.approx(before.mean_power, rel=1e-8)
    assert after.time < before.time  # harder where the wind and the hill hold one up


def test_the_order_flips_where_both_save_the_same():
    rider, course = TOBIN.rider, Course([Leg(10e3)])
    (flip,) = o.flips(three(TOBIN), rider, course, 220, "gradient", 0.0, 0.08)
    assert (flip.before, flip.after) == ("drag", "power")
    at = Course([Leg(10e3, flip.at)])
    drag, power, _ = (seconds_saved(x, rider, at, 220) for x in three(TOBIN))
    assert drag == pytest.approx(power, rel=1e-6)
    # -5 % drag is worth 5 s % of power: both equal where the air's share is near 2/5
    speed = ride(at, rider, 220).legs.speed[0]
    share = power_balance(rider, Conditions(gradient=flip.at), speed).air_share
    assert share == pytest.approx(0.4, abs=0.02)


def test_no_flip_where_one_leads_all_the_way():
    assert o.flips(three(TOBIN), TOBIN.rider, LONG_HILL.course, 220, "power", 100, 400) == ()


# -- what is refused --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Option("x", "Tobin"), "after rider 'Tobin' is not a Rider"),
        (lambda: Option("x", TOBIN.rider, kind="magic"), "kind 'magic' is not known"),
        (lambda: Option("x", TOBIN.rider, held=60), "held 60"),
        (lambda: Option("x", TOBIN.rider, held="half"), "held 'half' is not a number"),
        (lambda: Option("x", TOBIN.rider, doubt=-1), "doubt −1"),
        (lambda: Option("x", TOBIN.rider, doubt=1.4), "doubt 1.4 is outside the allowed range, 0 to 0.5"),
        (lambda: rank(three(TOBIN) * 2, TOBIN.rider, LONG_HILL.course, 220), "'drag' is there twice"),
        (lambda: Option("x", TOBIN.rider, cost=-5), "cost -5"),
        (lambda: Option("x", TOBIN.rider, power_factor=102), "Were 102 percent meant"),
        (lambda: rank([], TOBIN.rider, LONG_HILL.course, 220), "options is empty"),
        (lambda: rank(three(TOBIN), TOBIN.rider, LONG_HILL.course, 220, draws=0), "draws 0 must be"),
        (lambda: rank(["x"], TOBIN.rider, LONG_HILL.course, 220), "option 'x' is not a Option"),
        (lambda: rank(three(TOBIN), TOBIN.rider, LONG_HILL.course, 220, confidence=80), "as 0.95"),
        (lambda: o.power_worth(85, 0.05), "Were 85 percent meant"),
        (lambda: o.break_even_gradient(5.0, 0.1, 20), "any slope"),
        (lambda: o.same_mean_power([1, 1], TOBIN.rider, LONG_HILL.course, 220), "1 numbers above 0"),
        (lambda: o.flips(three(TOBIN), TOBIN.rider, LONG_HILL.course, 220, "colour", 0, 1), "along"),
        (lambda: o.flips(three(TOBIN), TOBIN.rider, LONG_HILL.course, 220, "power", 9, 1), "below"),
        (lambda: o.break_even_power(Option("x", replace(TOBIN.rider, drag_area=0.01)), TOBIN.rider,
                                    CINDER_LANE.course, 220), "does not make up for"),
    ],
)  # fmt: skip
def test_bad_input_is_refused_in_words(make, words):
    with pytest.raises(ValueError, match=re.escape(words)):
        make()
