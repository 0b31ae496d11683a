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
    noise = np.random.default_rng(0).standard_normal((6, saltpan_lane.LAPS))
    noise[3:5] = 0.0  # of the wind and of the power
    ridden = sort_out(make_laps(noise))
    exact = fit(ridden, head_wind=HIDDEN_WIND, gradient=HIDDEN_GRADIENT)
    assert exact.drag_area == pytest.approx(TRUE_DRAG_AREA, rel=1e-9)
    assert exact.rolling_coefficient == pytest.approx(TRUE_ROLLING, rel=1e-9)
    assert fit(ridden).drag_area == pytest.approx(TRUE_DRAG_AREA, rel=0.01)


def test_legs_of_a_day_alternate_and_positions_go_abba(day):
    ridden = day.laps[day.laps.order <= 32]
    assert list(ridden.direction) == ["out", "back"] * 16
    assert "".join(ridden.position[::8]) == "PKKP"
