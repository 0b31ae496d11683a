"""The days on which the road-test fit was tried: what a day holds, and the counts that lesson 06 shows."""

import numpy as np
import pytest
from field_days import Truth, laps_of
from saltpan_days import DAYS, KINDS, tried

from dragwork.scenario.saltpan_lane import days_tried


def test_the_days_that_were_tried_are_those_of_the_page():
    stored = days_tried()
    assert [day["kind"] for day in stored] == list(KINDS)
    for day in stored:
        assert day["days"] == DAYS
        again = tried(day["kind"], 12)
        for what in ("drag area", "rolling coefficient", "difference"):
            # 12 days at the share stored, less three of their standard deviations
            share = day[what] / day["days"]
            assert again[what] >= 12 * share - 3 * np.sqrt(12 * share * (1.02 - share)), (day, again)


@pytest.mark.tour
def test_the_days_that_were_tried_are_stored_as_the_script_tries_them():
    assert days_tried() == [tried(kind) for kind in KINDS]


def test_what_a_day_holds_is_what_the_tests_sum_by_hand():
    """Extra force on a leg at 10 m/s: side wind (v^2 + c^2)(1 + yaw), a fall with speed, an offset."""
    calm = np.zeros(8)
    calm[2] = 1.0  # the side wind, where there is any

    def power(**more):
        truth = Truth(gust_sd=0.0, pedalling_sd=0.0, **more)
        return laps_of(calm, np.zeros((7, 16)), truth, speeds=np.array([10.0, 12.0])).laps.iloc[0]

    plain = power()
    v, rho = plain.speed, plain.air_density
    for more, force in (
        ({"side_wind_sd": 2.0, "rise_with_yaw": 1.0},
         rho / 2 * 0.32 * ((v**2 + 4) * (1 + np.arctan2(2, v)) - v**2)),
        ({"fall_with_speed": 0.002}, -rho / 2 * v**2 * 0.002 * (v - 11)),
        ({"drift": 0.008}, -rho / 2 * v**2 * 0.004),
    ):  # fmt: skip
        assert power(**more).power - plain.power == pytest.approx(force * v / 0.975, rel=1e-6)
    assert power(offset=5.0).power - plain.power == pytest.approx(5.0)
