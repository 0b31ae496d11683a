"""Saltpan Lane: made by its script, its bad laps found, its truth inside the intervals."""

import csv
import io
import json

import numpy as np
import pytest

from dragwork.measurement.field_sheet import sort_out
from dragwork.measurement.roadtest import fit, wind_and_slope
from dragwork.scenario import data_file, saltpan_lane
from dragwork.scenario.saltpan_lane import (
    HIDDEN_GRADIENT,
    HIDDEN_WIND,
    KEY,
    SPOILT,
    TRUE_DRAG_AREA,
    TRUE_ROLLING,
    FieldDay,
    make_laps,
)


@pytest.fixture(scope="module")
def day():
    return saltpan_lane.saltpan_lane()


@pytest.fixture(scope="module")
def found(day):
    return fit(day)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("saltpan_lane.csv", saltpan_lane.sheet),
        ("saltpan_lane_manifest.json", saltpan_lane.manifest),
    ],
)
def test_files_are_those_that_the_script_makes(name, content):
    assert data_file(name).read_bytes() == content().encode()
    assert "Invented for teaching" in content()


def test_the_days_that_were_tried_are_those_of_the_page():
    stored = saltpan_lane.days_tried()
    assert [day["kind"] for day in stored] == list(saltpan_lane.KINDS)
    for day in stored:
        assert day["days"] == saltpan_lane.DAYS
        again = saltpan_lane.tried(day["kind"], 12)
        for what in ("drag area", "rolling coefficient", "difference"):
            # 12 days at the share stored, less three of their standard deviations
            share = day[what] / day["days"]
            assert again[what] >= 12 * share - 3 * np.sqrt(12 * share * (1.02 - share)), (day, again)


@pytest.mark.tour
def test_the_days_that_were_tried_are_stored_as_the_script_tries_them():
    assert saltpan_lane.days_tried() == [saltpan_lane.tried(kind) for kind in saltpan_lane.KINDS]


def test_what_a_day_holds_is_what_the_tests_sum_by_hand():
    """Extra force on a leg at 10 m/s: side wind (v^2 + c^2)(1 + yaw), a fall with speed, an offset."""
    still = {"wind_of_a_leg": 0.0, "power_of_a_leg": 0.0, "head_wind": 0.0, "gradient": 0.0}

    def power(**more):
        day = FieldDay(TRUE_DRAG_AREA, **still | more)
        return saltpan_lane.make_laps(day, np.random.default_rng(0), speeds=np.array([10.0, 12.0])).iloc[0]

    plain = power()
    v, rho = plain.speed, plain.air_density
    for more, force in (
        ({"side_wind": 2.0, "rise_with_yaw": 1.0},
         rho / 2 * 0.32 * ((v**2 + 4) * (1 + np.arctan2(2, v)) - v**2)),
        ({"fall_with_speed": 0.002}, -rho / 2 * v**2 * 0.002 * (v - 11)),
        ({"drift": 0.008}, -rho / 2 * v**2 * 0.004),
    ):  # fmt: skip
        assert power(**more).power - plain.power == pytest.approx(force * v / 0.975, rel=1e-6)
    assert power(meter_offset=5.0).power - plain.power == pytest.approx(5.0)


def test_manifest_describes_every_column():
    described = json.loads(data_file("saltpan_lane_manifest.json").read_text(encoding="utf-8"))
    lines = csv.reader(io.StringIO(data_file("saltpan_lane.csv").read_text(encoding="utf-8")))
    header = next(line for line in lines if "direction" in line)
    assert set(header) == set(described["columns"])
    assert all(described["columns"].values())


def test_the_sheet_does_not_betray_the_key():
    text = data_file("saltpan_lane.csv").read_text(encoding="utf-8").lower()
    assert not any(words in text for words in KEY.values())


def test_every_planted_lap_is_out_and_every_other_is_in(day, found):
    assert day.faults == ()
    out = {lap.lap: lap.why for lap in found.rejected}
    partners = {"4", "9", "16", "21"}
    assert set(out) == set(SPOILT) | partners
    for lap, word in (("3", "brakes"), ("10", "traffic"), ("15", "start and end"), ("33", "other direction"), ("22", "standard deviations")):
        assert word in out[lap]


def test_the_truth_lies_inside_the_intervals(found):
    truth = {f"drag_area {code}": area for code, area in TRUE_DRAG_AREA.items()}
    truth["rolling_coefficient"] = TRUE_ROLLING
    for name, (low, high) in found.intervals.items():
        assert low <= truth[name] <= high, name
    gap = found.difference("P", "K")
    assert gap.low <= TRUE_DRAG_AREA["P"] - TRUE_DRAG_AREA["K"] <= gap.high
    hidden = wind_and_slope(found)
    assert abs(hidden.head_wind - HIDDEN_WIND) <= 2.3 * hidden.head_wind_error
    assert abs(hidden.gradient - HIDDEN_GRADIENT) <= 2.3 * hidden.gradient_error


def test_a_day_without_noise_is_the_truth_but_for_the_wind_squared():
    still = FieldDay(TRUE_DRAG_AREA, wind_of_a_leg=0.0, power_of_a_leg=0.0)
    ridden = sort_out(make_laps(still, np.random.default_rng(0)))
    exact = fit(ridden, head_wind=HIDDEN_WIND, gradient=HIDDEN_GRADIENT)
    assert exact.drag_area == pytest.approx(TRUE_DRAG_AREA, rel=1e-9)
    assert exact.rolling_coefficient == pytest.approx(TRUE_ROLLING, rel=1e-9)
    assert fit(ridden).drag_area == pytest.approx(TRUE_DRAG_AREA, rel=0.01)


def test_legs_of_a_day_alternate_and_positions_go_abba(day):
    ridden = day.laps[day.laps.order <= 32]
    assert list(ridden.direction) == ["out", "back"] * 16
    assert "".join(ridden.position[::8]) == "PKKP"
