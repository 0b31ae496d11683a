"""Doubts about a ride, drawn together: their spreads, what stays as assumed, what is refused."""

from dataclasses import fields, replace
from types import SimpleNamespace

import numpy as np
import pytest

from dragwork.decisions.rides import CAREFUL, EXACT, Unstated, drawn_days
from dragwork.scenario.riders import TOBIN
from dragwork.scenario.roads import CINDER_LANE, THREE_KILNS

N = 20_000


def days(unstated, road=THREE_KILNS, n=N, seed=3):
    """Drawn days, with the first piece alone of each leg."""
    found = drawn_days(road.course, TOBIN.rider, **road.day(TOBIN.power), unstated=unstated, draws=n, seed=seed)
    first = np.unique(found.legs, return_index=True)[1]
    by_leg = {name: getattr(found, name)[:, first] for name in ("power", "wind_speed", "wind_from")}
    return SimpleNamespace(rider=found.rider, air_density=found.air_density, **by_leg)


def test_without_doubt_every_day_is_the_one_that_is_assumed():
    day = days(EXACT, n=5)
    assert np.all(day.rider.all_up_mass == 84) and np.all(day.rider.rolling_coefficient == 0.004)
    assert np.allclose(day.power, 220 * THREE_KILNS.power_factor)
    assert np.allclose(day.air_density, 1.2)
    assert np.allclose(day.wind_speed, THREE_KILNS.wind_speed)
    assert np.allclose(day.wind_from, 0)


def test_each_spread_is_the_stated_one():
    """Standard deviation of n normal draws: 1/sqrt(2 n) of itself, 0.5 %; five of those are 2.5 %."""
    doubt, day = Unstated(), days(Unstated())
    found = {
        "power": np.std(day.power[:, 0]) / 220,
        "air_density": np.std(day.air_density) / 1.2,
        "rolling_coefficient": np.std(day.rider.rolling_coefficient),
        "all_up_mass": np.std(day.rider.all_up_mass),
    }
    for name, spread in found.items():
        assert spread == pytest.approx(getattr(doubt, name), rel=0.025), name


def test_an_unexpected_wind_comes_from_every_side():
    """Two normal components of 0.5 m/s make a Rayleigh speed, its mean 0.5 sqrt(pi/2) (exact)."""
    day = days(replace(Unstated(), gusts=0.0), CINDER_LANE)
    assert np.mean(day.wind_speed) == pytest.approx(0.5 * np.sqrt(np.pi / 2), rel=0.02)
    assert np.allclose(np.histogram(day.wind_from[:, 0], 4)[0] / N, 0.25, atol=0.02)


def test_a_wind_adds_to_the_wind_that_is_expected():
    """3 m/s from the north with a doubt of 0.5: the northern component keeps mean 3, spread 0.5."""
    day = days(replace(Unstated(), gusts=0.0))
    north = (day.wind_speed * np.cos(day.wind_from))[:, 0]
    assert np.mean(north) == pytest.approx(3, abs=0.02)
    assert np.std(north) == pytest.approx(0.5, rel=0.025)


def test_gusts_change_the_wind_from_leg_to_leg():
    """Two components with a quarter of 3 m/s each: independent on each leg, the mean unmoved."""
    day = days(replace(EXACT, gusts=0.25))
    north, east = (day.wind_speed * f(day.wind_from) for f in (np.cos, np.sin))
    assert np.mean(north[:, 0]) == pytest.approx(3, abs=0.02)
    assert np.std(north[:, 0]) == pytest.approx(0.75, rel=0.025)
    assert np.std(east[:, 0]) == pytest.approx(0.75, rel=0.025)
    assert abs(np.corrcoef(north[:, 0], north[:, 3])[0, 1]) < 5 / np.sqrt(N)
    assert np.all(day.wind_speed[:, 1] == 0)  # where no wind is expected there are no gusts


def test_the_doubts_are_independent_and_repeat_with_their_seed():
    one, again, other = days(Unstated()), days(Unstated()), days(Unstated(), seed=4)
    assert np.array_equal(one.power, again.power) and not np.array_equal(one.power, other.power)
    together = np.corrcoef([one.power[:, 0], one.air_density[:, 0], one.rider.all_up_mass,
                            one.rider.rolling_coefficient, one.wind_speed[:, 1]])  # fmt: skip
    assert np.all(np.abs(together[~np.eye(5, dtype=bool)]) < 5 / np.sqrt(N))


def test_careful_is_less_than_usual_and_only_keeps_one():
    for field in fields(Unstated):
        if field.name == "gusts":  # they blow for the careful too
            continue
        assert 0 < getattr(CAREFUL, field.name) < getattr(Unstated(), field.name)
    alone = Unstated().only("power")
    assert alone.power == Unstated().power and alone.wind_speed == alone.all_up_mass == 0


def test_no_rider_leaves_the_library_s_ranges():
    day = days(Unstated(rolling_coefficient=0.01, wind_speed=5.0, power=0.2))
    assert np.all(day.rider.rolling_coefficient >= 0) and np.all(day.power >= 0)


@pytest.mark.parametrize(
    "bad, words",
    [
        ({"power": -0.1}, "power −0.1 is outside"),
        ({"all_up_mass": 84}, "all-up mass 84 kg is outside .* 0 to 20 kg"),
        ({"wind_speed": float("nan")}, "wind speed nan"),
    ],
)
def test_what_is_no_standard_uncertainty_is_refused(bad, words):
    with pytest.raises(ValueError, match=words):
        Unstated(**bad)


def test_another_record_is_refused():
    with pytest.raises(ValueError, match="unstated"):
        days(0.02)
