"""The capstone's brief: the sheet is as its script makes it, and there is something to decide."""

import csv
import io
import json

import pytest

from dragwork.decisions.options import rank
from dragwork.measurement.tunnel import compare, read_sheet
from dragwork.scenario import data_file, hana
from dragwork.units import grams_force


@pytest.mark.parametrize(
    "name, content", [("BL-9.csv", hana.sheet), ("BL-9_manifest.json", hana.manifest)]
)
def test_the_stored_files_are_what_the_script_makes(name, content):
    assert data_file(name).read_bytes() == content().encode()
    assert "Invented for teaching" in content()


def test_the_reader_finds_the_two_faults_and_takes_the_honest_grams():
    sheet = hana.bl9()
    (wrong_speed, no_tare) = sheet.faults
    assert "45 km/h" in str(wrong_speed) and "'tare': is empty" in str(no_tare)
    planted = json.loads(data_file("BL-9_manifest.json").read_text(encoding="utf-8"))["slips"]
    assert list(planted) == ["run 3", "run 5", "run 6"]
    assert sheet.drag_areas().runs.tolist() == [3, 3]


def test_in_grams_or_newtons_run_3_is_one_reading():
    lines = hana.sheet().splitlines()[len(hana.NOTES) :]
    run = list(csv.DictReader(lines))[2]
    newtons = hana.sheet().replace(
        f"{run['drag']},g,", f"{grams_force(float(run['drag'])):.2f},N,"
    )
    found = read_sheet(io.StringIO(newtons)).drag_areas().drag_area
    assert found.tolist() == pytest.approx(hana.bl9().drag_areas().drag_area.tolist(), abs=1e-4)


def test_the_true_difference_lies_in_the_range_and_the_claim_is_no_formality():
    found = compare(hana.bl9(), hana.BEFORE, hana.AFTER)
    true = hana.TRUE_DRAG_AREA[hana.BEFORE] - hana.TRUE_DRAG_AREA[hana.AFTER]
    assert 0 < found.low < true < found.high
    claimed = hana.CLAIM.drag_area_change
    assert claimed.low < true < claimed.high and "the yaw of the test" in hana.CLAIM.missing


def test_the_options_do_not_all_fit_the_purse_and_none_is_without_a_case():
    saved = hana.TRUE_DRAG_AREA[hana.BEFORE] - hana.TRUE_DRAG_AREA[hana.AFTER]
    options = hana.options(saved)
    assert sum(option.cost for option in options) > hana.BUDGET
    day = hana.ROAD.day(hana.HANA.power)
    table = rank(options, hana.HANA.rider, hana.ROAD.course, **day)
    assert (table.low > 0).all() and table.low.iloc[0] < table.high.iloc[1]
    for_all = [(row["run"], row["set-up"]) for row in hana.rows()]
    assert for_all == [(str(n), set_up) for n, set_up in enumerate(hana.ORDER, 1)]
