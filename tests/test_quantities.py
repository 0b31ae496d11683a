"""The table of arguments: ranges as the conventions say, and the words of a refusal."""

from math import inf, nan, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from loops import over

from dragwork.quantities import (
    QUANTITIES,
    Estimate,
    Quantity,
    checked,
    in_words,
    needs,
    refuse,
    true_minus,
)

# What the conventions promise; other tests take the ranges from the table itself.
PROMISED = {
    "temperature": (230, 330), "pressure": (20e3, 115e3), "relative_humidity": (0, 1),
    "altitude": (-400, 11_000), "ground_speed": (0, 45), "wind_speed": (0, 45),
    "air_speed": (0, 45), "yaw": (-pi, pi), "angle": (-pi, pi), "wind_angle": (-pi, pi),
    "wind_from": (-2 * pi, 2 * pi), "heading": (-2 * pi, 2 * pi), "gradient": (-0.4, 0.4),
    "drag_area": (0, 20), "air_density": (0.2, 2), "drivetrain_efficiency": (0.5, 1),
    "power": (0, 3000),
}  # fmt: skip


@pytest.mark.parametrize("name", PROMISED)
def test_ranges_are_those_of_the_conventions(name):
    low, high = PROMISED[name]
    assert checked(**{name: [low, high]}).tolist() == [low, high]
    for outside in (np.nextafter(low, -inf), np.nextafter(high, inf)):
        with pytest.raises(ValueError, match=in_words(name)) as refusal:
            checked(**{name: outside})
        assert "_" not in str(refusal.value) and "units." not in str(refusal.value)


def test_mass_is_above_0():
    with pytest.raises(ValueError, match="all-up mass 0 kg.*above 0"):
        checked(all_up_mass=0)
    assert checked(all_up_mass=1e-9) == 1e-9


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"yaw": 12}, "yaw 12 rad (687.5 degrees) is outside the allowed range, −3.14159 to 3.14159 rad (−180 to 180 degrees). Were 12 degrees meant? That is 0.20944 rad."),
        ({"power": -100}, "power −100 W is outside the allowed range, 0 to 3000 W."),
        ({"temperature": 20}, "temperature 20 K (−253.1 degrees Celsius) is outside the allowed range, 230 to 330 K (−43.15 to 56.85 degrees Celsius). Were 20 degrees Celsius meant? That is 293.15 K."),
        ({"pressure": [101325, 1013.25]}, "pressure (value 2 of 2) 1013.25 Pa (10.13 hectopascals) is outside the allowed range, 20000 to 115000 Pa (200 to 1150 hectopascals). Were 1013.25 hectopascals meant? That is 101325 Pa."),
        ({"relative_humidity": 55}, "relative humidity 55 (5500 percent) is outside the allowed range, 0 to 1 (0 to 100 percent). Were 55 percent meant? That is 0.55."),
        ({"ground_speed": 50}, "ground speed 50 m/s (180 km/h) is outside the allowed range, 0 to 45 m/s (0 to 162 km/h). Were 50 km/h meant? That is 13.8889 m/s."),
        ({"ground_speed": nan}, "ground speed is nan; a number is needed, 0 to 45 m/s (0 to 162 km/h)."),
        ({"all_up_mass": "84 kg"}, "all-up mass '84 kg' is not a number; give above 0 to 1000 kg."),
        ({"drag_area": 25}, "drag area 25 m² is outside the allowed range, 0 to 20 m²."),
        ({"rolling_coefficient": 4}, "coefficient of rolling resistance 4 is outside the allowed range, 0 to 0.2."),
        ({"air_density": 1.2, "yaw": [[0, 1], [9, 0]]}, "yaw (value 2, 1) 9 rad"),
    ],
)  # fmt: skip
def test_the_sentence_of_a_refusal(arguments, words):
    with pytest.raises(ValueError) as raised:
        checked(**arguments)
    assert str(raised.value).startswith(words)


def test_a_value_just_outside_is_shown_in_full():
    with pytest.raises(ValueError, match="relative humidity 1.0000001 .*is outside"):
        checked(relative_humidity=1.0000001)


def test_no_slip_is_guessed_where_none_fits():
    with pytest.raises(ValueError) as raised:
        checked(ground_speed=4000)  # no speed in km/h either
    assert "meant" not in str(raised.value)


@over(QUANTITIES)
def test_every_quantity_is_sound(name):
    quantity = QUANTITIES[name]
    assert quantity.low < quantity.high < inf
    assert quantity.allows(quantity.high)
    assert quantity.allows(quantity.low) != quantity.above_low
    assert not quantity.allows(nan) and not quantity.allows(inf)


@given(st.lists(st.floats(0, 45), min_size=1, max_size=5))
def test_good_values_pass_unchanged(values):
    assert checked(ground_speed=values).tolist() == values
    assert checked(ground_speed=np.float32(7)).dtype == float


def test_one_comes_bare_several_as_a_list():
    assert checked(power=3).shape == ()
    a, b = checked(power=3, yaw=[0.1, 0.2])
    assert a == 3 and b.tolist() == [0.1, 0.2]


def test_range_in_words():
    assert Quantity("m", 0.0, inf).range_in_words() == "at least 0 m"
    assert not Quantity("m", 0.0, inf).allows(inf)
    assert Quantity("m", 0.0, inf, above_low=True).range_in_words() == "above 0 m"
    assert Quantity("", 0.0, 1.0).range_in_words() == "0 to 1"


def test_needs_names_argument_and_kind():
    needs(int, number=3)
    with pytest.raises(ValueError, match="rider 'me' is not a int"):
        needs(int, rider="me")


def test_refuse_shows_the_values_at_the_first_bad_element():
    refuse(np.array([False, False]), "never")
    refuse(False, "never")
    with pytest.raises(ValueError, match=r"^3 above 2 \(value 2 of 2\)$"):
        refuse([False, True], "{:g} above {:g}", [1, 3], 2)
    with pytest.raises(ValueError, match="^bad$"):
        refuse(True, "bad")


def test_an_estimate_is_the_median_of_its_draws_with_the_quantiles_that_scipy_gives():
    from scipy.stats import norm

    draws = norm(100, 20).ppf((np.arange(20_001) + 0.5) / 20_001)
    found = Estimate.of(draws, 0.8)
    low, high = norm(100, 20).interval(0.8)
    assert (found.low, found.mid, found.high) == pytest.approx((low, 100, high), rel=1e-4)
    assert found.percent == "80 %"


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ((31.2, 49.3), "31 to 49 s saved"),
        ((-49.3, -31.2), "31 to 49 s lost"),
        ((-8.1, 30.2), "8 s lost to 30 s saved"),
        ((30.8, 31.2), "31 s saved"),
    ],
)
def test_an_estimate_tells_saved_and_lost_in_words(ends, said):
    low, high = ends
    found = Estimate(low, (low + high) / 2, high, 0.95)
    assert found.in_words(lambda seconds: f"{seconds:.0f} s") == said
    assert found.sign == np.sign(low) * (np.sign(low) == np.sign(high))


@pytest.mark.parametrize(
    ("plain", "printed"),
    [
        ("Skin-suit -3 s", "Skin-suit −3 s"),
        ("(-0.1 to -0)", "(−0.1 to 0)"),
        ("a change of −0.00 W.", "a change of 0.00 W."),
        ("−0.05", "−0.05"),
        ("-1e-05", "−1e−05"),
        ("BL-7 of 2026-07-01, -0:30", "BL-7 of 2026-07-01, −0:30"),
    ],
)
def test_only_a_hyphen_before_a_number_is_a_minus(plain, printed):
    assert true_minus(plain) == printed
