"""Claims: both directions exact, ranges that hold what they say, verdicts, and what is refused."""

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from loops import over
from scipy import stats

from dragwork.decisions.claims import Claim
from dragwork.decisions.conditions import USUAL
from dragwork.physics.power import Conditions, Rider, power_balance
from dragwork.physics.savings import time_saved
from dragwork.physics.speed import steady_speed
from dragwork.scenario.riders import IMKE, TOBIN
from dragwork.units import grams_force, kmh, minutes, percent

SURE = {"air_density": 1.2, "yaw": 0.0}
TOLD = {"who": "the club", "compared_with": "hat", "measured": True, "runs": 8, "spread": 1.0}

floats = st.floats


# -- the drag area behind -------------------------------------------------------------------------


def test_twenty_watts_at_fifty():
    """2 x 20/(1.2 x (50/3.6)^3) = 0.0124416, by hand."""
    area = Claim.watts(20, kmh(50), **SURE).drag_area_change
    assert area.low == area.high == area.mid == pytest.approx(0.0124416, rel=1e-12)
    at_crank = Claim.watts(20, kmh(50), at="crank", drivetrain_efficiency=0.975, **SURE)
    assert at_crank.drag_area_change.mid == pytest.approx(0.975 * 0.0124416, rel=1e-12)


def test_grams_of_drag():
    """0.1 kg x 9.80665 over half of 1.2 x 10^2 is 0.0163444 m2, by hand."""
    area = Claim.force(grams_force(100), 10, **SURE).drag_area_change
    assert area.mid == pytest.approx(0.980665 / 60, rel=1e-12)


def test_percent_of_drag_and_of_power():
    area = Claim.percent(0.05, drag_area=0.32, yaw=0).drag_area_change
    assert area.mid == pytest.approx(0.016, rel=1e-12)
    part = Claim.percent(0.05, drag_area=0.32, part=0.1, yaw=0).drag_area_change
    assert part.mid == pytest.approx(0.0016, rel=1e-12)
    # x = s dC/C, so dC = x C/s with the share s of Tobin's own power balance
    speed = 10.0
    s = power_balance(TOBIN.rider, Conditions(), speed).air_share
    power = Claim.percent(
        0.04, "power", drag_area=0.32, speed=speed, all_up_mass=84, rolling_coefficient=0.004, **SURE
    )
    assert power.drag_area_change.mid == pytest.approx(0.04 * 0.32 / s, rel=1e-9)


riders = st.builds(
    Rider,
    all_up_mass=floats(50, 110),
    drag_area=floats(0.18, 0.45),
    rolling_coefficient=floats(0.002, 0.009),
    drivetrain_efficiency=floats(0.94, 1.0),
)


@given(riders, floats(80, 450), floats(-0.3, 0.4), floats(1.0, 1.3), floats(1e3, 2e5))
def test_seconds_and_drag_area_are_each_other_s_way_back(rider, power, cut, density, distance):
    """Out by the library's own solver, back by the claim's closed form."""
    air = Conditions(density)
    after = replace(rider, drag_area=rider.drag_area * (1 - cut))
    saved = time_saved(rider, after, air, power, distance)
    before = distance / steady_speed(rider, air, power)
    known = {
        "all_up_mass": float(rider.all_up_mass), "air_density": density, "yaw": 0.0,
        "rolling_coefficient": float(rider.rolling_coefficient),
    }  # fmt: skip
    area = float(rider.drag_area)
    by_area = Claim.time(saved, distance, before, drag_area=area, **known)
    by_power = Claim.time(
        saved, distance, before, power=power,
        drivetrain_efficiency=float(rider.drivetrain_efficiency), **known,
    )  # fmt: skip
    for claim in (by_area, by_power):
        found = claim.drag_area_change
        assert found.mid == pytest.approx(area * cut, abs=1e-8)
        assert found.low == found.high


def test_the_three_ways_to_tell_a_speed_are_one():
    one = Claim.time(60, 40e3, speed=kmh(50), drag_area=0.25, **SURE)
    two = Claim.time(60, 40e3, ride_time=minutes(48), drag_area=0.25, **SURE)
    per_kilometre = Claim.time(1.5, 1e3, speed=kmh(50), drag_area=0.25, **SURE)
    assert one.drag_area_change.mid == pytest.approx(two.drag_area_change.mid)
    assert one.drag_area_change.mid == pytest.approx(per_kilometre.drag_area_change.mid)


def test_gains_and_losses_have_their_sign():
    for saved in (-120, -1, 0, 1, 120):
        for claim in (Claim.time(saved, 40e3, speed=kmh(40)), Claim.watts(saved / 10, kmh(40))):
            area = claim.drag_area_change
            assert area.low <= area.mid <= area.high
            assert np.sign([area.low, area.high]).tolist() == [np.sign(saved)] * 2


SOME = (
    Claim.watts(20, kmh(48)),
    Claim.watts(20, at=None),
    Claim.watts(20, kmh(45), at="crank", runs=3, spread=4.0),
    Claim.force(grams_force(80), kmh(48)),
    Claim.percent(0.06, part=None),
    Claim.percent(0.03, "power"),
    Claim.time(60, 40e3),
    Claim.time(45, 40e3, ride_time=minutes(62)),
    Claim.time(-30, 40e3, speed=kmh(40), power=250),
    Claim.mass(0.3),
)


@pytest.mark.parametrize("claim", SOME, ids=lambda claim: claim.words)
def test_no_draw_lies_outside_the_interval_and_they_come_near_its_ends(claim):
    """The corners of the box hold everything inside it: 4000 draws say so."""
    area, drawn = claim.drag_area_change, claim.draws(4000)
    dust = 1e-12
    assert area.low - dust <= drawn.min() and drawn.max() <= area.high + dust
    unstated = sum(c.low < c.high for c in claim.conditions)
    if unstated == 1:
        assert drawn.max() - drawn.min() > 0.9 * (area.high - area.low)


def test_a_sampled_range_is_that_of_the_distribution():
    """One open condition, monotone: the quantiles are those of a triangle, from scipy."""
    claim = Claim.percent(0.05, yaw=0)
    low, mid, high = USUAL["drag_area"]
    triangle = stats.triang((mid - low) / (high - low), low, high - low)
    drawn = np.quantile(claim.draws(200_000, seed=2), [0.1, 0.5, 0.9])
    assert drawn == pytest.approx(0.05 * triangle.ppf([0.1, 0.5, 0.9]), rel=3e-3)


def test_the_spread_between_runs_is_student_s():
    """Means of 4 runs each, standard deviation 2 W: 20 +- t(6) x 2 x sqrt(2/4), by hand."""
    claim = Claim.watts(20, kmh(50), runs=4, spread=2.0, **SURE)
    half = 2.446912 * 2 * np.sqrt(0.5)
    area = claim.drag_area_change
    assert area.high / area.mid == pytest.approx(1 + half / 20, rel=1e-6)
    assert area.low / area.mid == pytest.approx(1 - half / 20, rel=1e-6)


@pytest.mark.parametrize("runs", [2, 3, 8, 30])
def test_draws_of_the_spread_between_runs_are_student_s_too(runs):
    """The 80 % range of a difference of two means of n runs, from scipy's own t."""
    claim = Claim.watts(20, kmh(50), runs=runs, spread=2.0, **SURE)
    dof, uncertainty = 2 * (runs - 1), 2.0 * np.sqrt(2 / runs)
    drawn = claim.draws(200_000) * 20 / 0.0124416
    assert np.quantile(drawn, [0.1, 0.9]) == pytest.approx(
        20 + uncertainty * stats.t.ppf([0.1, 0.9], dof), abs=0.02 * uncertainty
    )


@pytest.mark.parametrize("power", [100, 150, 250, 500])
def test_a_speed_that_is_not_told_follows_from_the_power(power):
    """Out by the library's solver for a rider in the middle, back by the claim without a speed."""
    known = {"all_up_mass": 80.0, "rolling_coefficient": 0.004}
    before = Rider(drag_area=0.30, **known)
    saved = time_saved(before, replace(before, drag_area=0.288), Conditions(), power, 40e3)
    told = Claim.time(saved, 40e3, power=power, drag_area=0.30, drivetrain_efficiency=0.975, **known, **SURE)
    assert told.drag_area_change.mid == pytest.approx(0.012, abs=1e-9)
    assert told.drag_area_change.low == told.drag_area_change.high
    open_ = Claim.time(saved, 40e3, power=power).drag_area_change
    assert open_.low < 0.012 < open_.high and open_.mid == pytest.approx(0.012, abs=1e-9)


def test_what_is_not_needed_is_not_missing():
    """Power, drag area and speed leave the tyres no choice: mass and tyres change nothing."""
    told = Claim.time(60, 40e3, speed=kmh(40), power=290, drag_area=0.30)
    assert "the mass of the rider in the claim" not in told.missing
    force = 290 * 0.975 / kmh(40)
    tyres = (force - 0.6 * 0.30 * kmh(40) ** 2) / (80 * 9.80665)
    other = Claim.time(60, 40e3, speed=kmh(40), drag_area=0.30, all_up_mass=80, rolling_coefficient=tyres)
    assert told.drag_area_change.mid == pytest.approx(other.drag_area_change.mid, rel=1e-12)


def test_no_corner_has_tyres_that_push():
    """Where nothing is left for the tyres, power goes with C v^3: C (1 - (1 - 60/3600)^3), by hand."""
    told = Claim.time(60, 40e3, speed=kmh(40), power=256, drag_area=0.30, yaw=0.0)
    force = 256 * 0.96 / kmh(40) - 1.25 / 2 * 0.30 * kmh(40) ** 2  # of the tyres, at one corner
    area, drawn = told.drag_area_change, told.draws(4000)
    assert force < 0
    assert area.low == pytest.approx(0.30 * (1 - (59 / 60) ** 3), rel=1e-12)
    assert np.all(drawn > area.low) and drawn.size == 4000  # drawn again, not heaped at the edge


def test_no_corner_has_air_that_pushes():
    """30 W at 20 km/h: with the heaviest rider on the worst tyres nothing is left for the air."""
    told = Claim.time(60, 40e3, speed=kmh(20), power=30)
    area, drawn = told.drag_area_change, told.draws(4000)
    assert 30 * 0.96 / kmh(20) < 95 * 9.80665 * 0.006
    assert area.low == 0 and np.all(drawn > 0) and drawn.max() <= area.high


def test_runs_never_take_more_than_the_whole_air_drag():
    """The far end of 95 % would be longer than the ride of 1000 s: it stops at the drag area."""
    claim = Claim.time(500, 10e3, speed=10, drag_area=0.3, runs=2, spread=200.0, **SURE)
    assert claim.conditions[-1].high > 1000
    assert claim.drag_area_change.high == 0.3 and claim.draws().max() <= 0.3


def test_an_untold_yaw_leaves_a_tenth_of_a_wheel_open():
    """20 W at 50 km/h is 0.0124416 m2, by hand; 10 to 110 % of it for wheels, 70 to 110 % for a hat."""
    for about, ends in (("wheels", (0.1, 1.1)), ("frame", (0.1, 1.1)), ("other", (0.7, 1.1))):
        area = Claim.watts(20, kmh(50), air_density=1.2, about=about).drag_area_change
        assert (area.low, area.high) == pytest.approx([0.0124416 * end for end in ends], rel=1e-9)
    for claim in (
        Claim.force(1.0, 12, about="wheels"), Claim.percent(0.04, about="wheels"),
        Claim.percent(0.04, "power", about="wheels"), Claim.time(60, 40e3, about="wheels"),
    ):  # fmt: skip
        assert next(c for c in claim.conditions if c.name == "yaw").low == 0.1


def test_the_widest_dial_is_named():
    claim = Claim.percent(0.05, part=None)
    assert claim.dials[0].condition.name == "part"
    widths = [dial.width for dial in claim.dials]
    assert widths == sorted(widths, reverse=True)


def test_what_is_missing_is_named():
    bare = Claim.watts(20)
    for words in ("the speed of the test", "the air density", "compared with what", "how many runs"):
        assert words in bare.missing
    assert Claim.watts(20, kmh(50), **SURE, **TOLD).missing == ()


# -- two numbers of one claim -----------------------------------------------------------------------


def test_watts_and_minutes_that_fit():
    """Imke's own helmet: 20 W at 50 km/h, and what it saves her over 40 km."""
    seconds = time_saved(
        IMKE.rider, replace(IMKE.rider, drag_area=0.230 - 0.0124416), Conditions(), 290, 40e3
    )
    watts = Claim.watts(20, kmh(50), **SURE)
    time = Claim.time(seconds, 40e3, speed=steady_speed(IMKE.rider, Conditions(), 290),
                      drag_area=0.230, all_up_mass=70, rolling_coefficient=0.0035, **SURE)  # fmt: skip
    found = watts.consistency_with(time)
    assert found.ratio == pytest.approx(1, rel=1e-6)
    assert watts.consistency_with(watts).agree and time.consistency_with(time).ratio == 1


def test_watts_and_minutes_that_do_not_fit():
    """'20 W at 50 km/h' and 'Rosalind saves 4.6 minutes': taken literally, and false."""
    found = Claim.watts(20, kmh(50)).consistency_with(Claim.time(276, 40e3, speed=kmh(28.3)))
    assert not found.agree and found.ratio > 3
    assert "both numbers cannot be true of one item" in found.sentence


def test_a_drag_area_that_no_saving_of_time_can_mean():
    """Half of 0.6 m² is all that the air takes, so the minutes have nothing to say in its place."""
    found = Claim.time(60, 40e3).consistency_with(Claim.percent(0.5, drag_area=0.6))
    assert not found.agree and found.needed == ""


def test_what_is_left_open_in_both_is_the_same_in_both():
    one, two = Claim.force(1.0, 12), Claim.force(1.08, 12)  # 8 % apart, open: yaw and density
    assert not one.consistency_with(two).agree
    assert one.drag_area_change.high > two.drag_area_change.low


# -- what is refused --------------------------------------------------------------------------------


@over([
    (lambda: Claim.watts(20, 50), "speed 50 m/s (180 km/h) is outside the allowed range, 0 to 45 m/s (0 to 162 km/h). Were 50 km/h"),
    (lambda: Claim.watts(20, 0), "where nothing moves"),
    (lambda: Claim.watts(float("nan"), 12), "power saved is nan"),
    (lambda: Claim.watts("20 W", 12), "one number, or the two ends"),
    (lambda: Claim.watts([20, 25, 30], 12), "one number, or the two ends"),
    (lambda: Claim.watts(20, 12, at="pedal"), "at 'pedal' is not known"),
    (lambda: Claim.watts(2000, kmh(50)), "more than the whole air drag of any rider"),
    (lambda: Claim.watts(20, 12, yaw=12), "Were 12 degrees meant? That is 0.20944 rad"),
    (lambda: Claim.watts(20, 12, colour="red"), "'colour' is not asked"),
    (lambda: Claim.watts(20, 12, about="a hat"), "give one of other, wheels, frame"),
    (lambda: Claim.watts(20, 12, runs=0), "number of runs"),
    (lambda: Claim.watts(20, 12, spread=-1), "spread must be"),
    (lambda: Claim.percent(5), "500 % cannot be: it goes from −100 % to below 100 %, which would be all of the drag. Were 5 % meant?"),
    (lambda: Claim.percent(0.05, of="price"), "of 'price' is not known"),
    (lambda: Claim.percent(0.05, part=12), "must be a share, above 0 to 1; 12 is not"),
    (lambda: Claim.percent(0.05, part=0), "must be a share"),
    (lambda: Claim.percent(0.05, part="frame"), "must be a share"),
    (lambda: Claim.watts(20, 12, runs=2.5, spread=1), "number of runs"),
    (lambda: Claim.time(60, 40e3, power=0), "power of 0 W"),
    (lambda: Claim.mass(300), "A mass of 300 kg is outside −50 to 50 kg. Were grams meant?"),
    (lambda: Claim.time(60, 40e3, ride_time=48), "Were 48 minutes meant?"),
    (lambda: Claim.time(60, 40e3, ride_time=2880, speed=12), "Keep one"),
    (lambda: Claim.time(60, -1), "distance −1 m"),
    (lambda: Claim.time(None, 40e3), "one number"),
    (lambda: Claim.time(3000, 40e3, speed=kmh(50)), "as long as the whole ride, 2880 s"),
    (lambda: Claim.time(2200, 40e3, speed=kmh(50)), "km/h after the change"),
    (lambda: Claim.time(3900, 40e3, speed=kmh(30), drag_area=0.3), "more than the whole air drag"),
    (lambda: Claim.time(60, 40e3, speed=12, power=30), "do not fit each other"),
    (lambda: Claim.time(60, 40e3, speed=12, power=200, drag_area=0.5), "do not fit each other"),
    (lambda: Claim.watts(20, 12).consistency_with("that"), "other 'that' is not a Claim"),
])  # fmt: skip
def test_bad_input_is_refused_in_words(make, words):
    with pytest.raises(ValueError, match=re.escape(words)):
        make()


def test_the_whole_air_drag_is_told_as_the_most_that_could_be_saved():
    """Without air Tobin would ride P/b: 40 km in 40000 b/P, whatever the claim says."""
    b = 84 * 9.80665 * 0.004
    power = (0.6 * 0.32 * 81 + b) * 9
    most = 40e3 / 9 - 40e3 * b / power
    known = {"drag_area": 0.32, "all_up_mass": 84, "rolling_coefficient": 0.004}
    with pytest.raises(ValueError, match=f"would save {most:.0f} s"):
        Claim.time(most + 1e-6 + 1, 40e3, speed=9, **SURE, **known)


def test_percent_helper_and_range_ends():
    assert Claim.percent(percent(5), drag_area=0.3).saved == 0.05


@given(floats(-300, 300), floats(7, 14), st.booleans())
def test_the_corners_hold_all_draws_of_any_claim_in_minutes(saved, speed, told):
    """The box's corners are its extremes: no draw of 300 inside it lies outside the range."""
    known = {"power": 0.6 * 0.3 * speed**3 * 1.2} if told else {}
    claim = Claim.time(saved, 40e3, speed=speed, **known)
    area, drawn = claim.drag_area_change, claim.draws(300)
    assert area.low - 1e-12 <= drawn.min() and drawn.max() <= area.high + 1e-12
