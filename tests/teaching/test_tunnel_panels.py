"""What notebook 04 shows of a tunnel sheet: panels, still pictures, and the lines of the hunt."""

import csv
import re

import numpy as np
import pytest

from dragwork.measurement.tunnel import compare
from dragwork.scenario import data_file
from dragwork.scenario.barrow_lane import bl7, bl7_with_faults
from dragwork.teaching import panels
from dragwork.teaching.hunt import drifting_suspects, suspects
from dragwork.teaching.sheet_pictures import dots_by_yaw
from dragwork.units import kmh


@pytest.fixture(scope="module")
def demo():
    return bl7()


@pytest.fixture(scope="module")
def panel(demo):
    return panels.tunnel_savings(demo)


def watts_in(sentence):
    return [float(x) for x in re.findall(r"(-?\d+\.\d) W \(", sentence)]


def test_the_speed_changes_picture_and_sentence(panel):
    seen = []
    for speed in (15, 60):
        panel.set(ground_speed=kmh(speed))
        seen.append((panel.sentence, panel.picture.png()))
    panel.reset()
    assert seen[0][0] != seen[1][0] and seen[0][1] != seen[1][1]


def test_watts_are_half_density_times_area_times_speed_cubed(demo, panel):
    gaps = [compare(demo, "hoods", name).difference for name in ("clip-ons", "time-trial")]
    for speed in (20, 36, 54):
        panel.set(ground_speed=kmh(speed))
        by_hand = [0.5 * 1.2 * gap * (speed / 3.6) ** 3 for gap in gaps]
        assert watts_in(panel.sentence) == pytest.approx(by_hand, abs=0.051)
    panel.reset()


def test_a_speed_that_the_tunnel_did_not_blow_is_told(panel):
    for speed, words in ((25, "carried beyond"), (45, "speeds like this"), (60, "carried beyond")):
        panel.set(ground_speed=kmh(speed))
        assert words in panel.sentence
    panel.reset()


def test_guesses_stand_on_the_pictures(demo, panel):
    panel.predict(40.0, ground_speed=kmh(45))
    assert panel.picture.planes[0].guesses.artists[0].get_xydata().tolist() == [[45.0, 40.0]]
    tare = panels.forgotten_tare(demo)
    tare.predict(0.040, tare=3.0, air_speed=kmh(45))
    ((across, row),) = tare.picture._guesses.artists[0].get_xydata()
    assert (across, row) == (pytest.approx(demo.yaw_curve("hoods")(0.0) + 0.040), 0)
    tare.set(tare=4.0)  # the mark stays where the guess was made from
    assert tare.picture._guesses.artists[0].get_xydata()[0, 0] == pytest.approx(across)


def test_dots_say_what_the_sheet_holds(demo):
    shown = dots_by_yaw(demo)
    assert shown.sentence.startswith("Drag areas at yaw −10°, 0°, 5°, 10°, with 95 % ranges")
    assert f"hoods {demo.yaw_curve('hoods')(0.0):.3f} m²" in shown.sentence
    assert shown.sentence in shown.alt and len(shown.picture.saved_png()) > 1000


# -- the hunt -----------------------------------------------------------------------------------------

NAME = "BL-7_faulty.csv"


@pytest.mark.parametrize("column", ["drag unit", "speed [m/s]", "yaw [deg]", "tare"])
def test_suspects_are_lines_of_the_file_with_the_bad_one_among_them(column):
    sheet = bl7_with_faults()
    with data_file(NAME).open(encoding="utf-8", newline="") as file:
        records = list(csv.reader(file))
    found = suspects(NAME, sheet, column, ["set-up", column])
    (fault,) = (f for f in sheet.faults if f.column == column)
    assert f"row {fault.row}" in found.options and len(found.options) == len(found.lines) == 5
    for line in found.lines:
        assert (line[column] if line[column] != "(empty)" else "") in records[line["row"] - 1]


def test_the_drifting_set_up_climbs_most_among_its_suspects():
    found = drifting_suspects(bl7_with_faults(), "drag")
    climbs = {
        line["set-up"]: np.ptp([float(v.split()[0]) for k, v in line.items() if k.startswith("repeat")])
        for line in found.lines
    }
    assert found.options == tuple(climbs) and max(climbs, key=climbs.get) == "clip-ons"
