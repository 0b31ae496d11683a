"""A sheet of one's own in notebook 04: the numbers of the demo sheet, a question where it leaves one, sentences."""

import csv
import re

import pytest

from dragwork.scenario import data_file
from dragwork.teaching.forms import SheetFlow
from dragwork.teaching.forms.flow import File

MEANS = b"set-up;yaw [deg];CdA [m2]\nhoods;0;0,318\nhoods;10;0,328\nlow;0;0,284\nlow;10;0,287\n"


def numbers(row):
    return [float(x) for x in re.findall(r"\d\.\d+", f"{row['drag area']} {row['95 % range']}")]


def test_the_demo_sheet_gives_drag_areas_near_the_truth_it_was_made_from():
    """0.320 and 0.285 m2 at yaw 0: the truths of the scenario's script; the differences of the lesson's table."""
    flow = SheetFlow()
    flow.answer(upload=data_file("BL-7.csv"))
    rows = {(row["set-up"], row["yaw"]): numbers(row) for row in flow.result.rows}
    assert len(rows) == 12
    for set_up, truth in (("hoods", 0.320), ("clip-ons", 0.285)):
        _, low, high = rows[set_up, "0°"]
        assert low <= truth <= high < low + 0.02
    assert "108 runs were used" in flow.markdown()


def test_means_ask_how_far_two_runs_are_apart_and_nothing_else():
    flow = SheetFlow()
    with pytest.raises(ValueError, match="means.csv was read"):
        flow.answer(upload=File("means.csv", MEANS))
    assert [field.name for field in flow.open.shown(flow.typed)] == ["upload", "spread"]
    flow.answer(spread="0,003 m²")
    row = numbers(flow.result.rows[0])
    assert row[0] == 0.318 and row[1] < 0.318 - 0.003 and row[2] > 0.318 + 0.003


def test_a_file_that_is_no_sheet_gets_a_sentence(tmp_path):
    flow = SheetFlow()
    with pytest.raises(ValueError, match="mine.csv could not be used"):
        flow.answer(upload=File("mine.csv", b"hello, this is no sheet"))
    with pytest.raises(ValueError, match="Which sheet"):
        flow.save(tmp_path)


def test_the_drag_areas_are_saved_as_a_table_and_read_again(tmp_path):
    flow = SheetFlow()
    flow.answer(upload=data_file("BL-7.csv"))
    path = flow.save(tmp_path)
    with path.open(encoding="utf-8") as file:
        assert len([line for line in csv.reader(file) if line]) == 1 + 36
    again = SheetFlow()
    again.answer(upload=path)
    first, second = (numbers(each.result.rows[0])[0] for each in (flow, again))
    assert second == pytest.approx(first, abs=0.001)
    assert flow.save(tmp_path).name != path.name
