"""The panels of the field test and its questions, held against algebra and the fit itself."""

import re

import numpy as np
import pytest

from dragwork.measurement.field_sheet import empty_sheet
from dragwork.measurement.roadtest import fit
from dragwork.scenario import data_file
from dragwork.scenario.saltpan_lane import saltpan_lane
from dragwork.teaching import panels
from dragwork.teaching.forms.field_flow import CAUSES, FieldFlow
from dragwork.teaching.panels.field import tested_twice as ridden_twice
from dragwork.teaching.profile import PLACE, Profile
from dragwork.units import kmh, percent


@pytest.fixture(autouse=True)
def own_file(tmp_path, monkeypatch):
    """A learner's file of its own for each test."""
    monkeypatch.setenv(PLACE, str(tmp_path / "learner.json"))


def test_half_a_metre_a_second_of_hidden_wind_at_11_metres_a_second():
    panel = panels.hidden_wind()
    panel.set(head_wind=0.5)
    assert "(+9.3 %)" in panel.sentence and "(+0.2 %)" in panel.sentence and "(−8.9 %)" in panel.sentence
    assert panel.observed == pytest.approx(0.32 * (11.5 / 11) ** 2)


@pytest.mark.parametrize("wind", [0.3, 1.5])
@pytest.mark.parametrize("speed", [5.0, 11.0])
def test_apparent_drag_areas_are_those_of_the_algebra(wind, speed):
    found = ridden_twice(wind, 0.0, speed)
    for leg, square in (
        ("out", (speed + wind) ** 2), ("back", (speed - wind) ** 2), ("pair", speed**2 + wind**2)
    ):  # fmt: skip
        assert getattr(found, leg) == pytest.approx(0.32 * square / speed**2, rel=1e-9)
        assert np.interp(speed, found.along.ground_speed, getattr(found.along, leg)) == pytest.approx(
            getattr(found, leg), rel=2e-3
        )


def test_a_slope_cancels_in_the_pair_and_not_in_a_leg():
    found = ridden_twice(0.0, 0.001, 11.0)
    assert found.out - 0.32 == pytest.approx(84 * 9.80665 * 0.001 / 72.6, rel=1e-3)
    assert found.pair == pytest.approx(0.32, abs=1e-6)


def test_the_regression_panel_tells_the_numbers_of_the_fit():
    whole = saltpan_lane()
    panel = panels.field_fit(whole, "P")
    found = fit(whole)  # the numbers of the page's table
    assert f"drag area of {found.drag_area['P']:.3f} m²" in panel.sentence
    low, high = found.intervals["drag_area P"]
    assert f"{low:.3f} to {high:.3f} m²" in panel.sentence


def test_wind_and_slope_move_the_legs_and_hardly_the_pairs():
    panel = panels.field_fit(saltpan_lane(), "P")

    def told():
        return [float(x) for x in re.findall(r"(0\.\d{3}) m² ", panel.sentence)]

    before = told()
    panel.set(head_wind=0.5, gradient=percent(0.1))
    after = told()
    assert abs(after[0] - before[0]) <= 0.001  # the pairs
    assert before[1] - after[1] > 0.01 and after[2] - before[2] > 0.01  # out alone, back alone


# -- the questions ------------------------------------------------------------------------------------


def answered(**other):
    flow = FieldFlow()
    flow.answer(**{"sheet": "Saltpan Lane", "way": "pairs", "road": "sheet", "tyres": "fit",
                   "position": "P"} | other)  # fmt: skip
    return flow


def test_the_questions_end_in_the_fit():
    result, found = answered().result, fit(saltpan_lane())
    low, high = found.intervals["drag_area P"]
    assert f"drag area of {found.drag_area['P']:.3f} m², with a 95 % range from {low:.3f} to {high:.3f} m²" in result.sentence
    gap = found.difference("P", "K")
    assert f"position K is {gap.difference:+.3f} m²" in result.sentence
    assert len(result.pieces[-1].rows) == len(found.rejected)
    assert "standard deviations off" in answered().markdown()
    assert result.found.notes == found.notes
    assert all(note in result.markdown() for note in found.notes) and "<ul><li>Laps do not show" in result.body(3)
    assert "<table>" in result.body(3)


def test_every_cause_of_a_budget_has_words():
    found = fit(saltpan_lane(), 0.005)
    assert {"scatter", *found.shared, *fit(saltpan_lane()).shared} <= set(CAUSES)


def test_an_own_sheet_is_read_and_its_faults_are_said(tmp_path):
    text = data_file("saltpan_lane.csv").read_text(encoding="utf-8").replace(",no,no,", ",no,perhaps,", 1)
    own = tmp_path / "my_laps.csv"
    own.write_text(text, encoding="utf-8")
    flow = answered(sheet="own", upload=str(own))
    said = flow.markdown()
    assert "Read my_laps.csv: 28 of 33 laps" in said and "'perhaps' is not known here" in said


def test_an_own_sheet_that_cannot_be_used_is_refused_and_nothing_is_lost(tmp_path):
    own = tmp_path / "empty.csv"
    own.write_text(empty_sheet(4), encoding="utf-8")
    flow = FieldFlow()
    with pytest.raises(ValueError, match="empty.csv could not be used. None of its 4 laps can be used"):
        flow.answer(sheet="own", upload=str(own))
    assert flow.typed["upload"] == str(own)
    own.write_text("not,a\nfield,sheet\n", encoding="utf-8")
    with pytest.raises(ValueError, match="empty.csv could not be used. No header.*notebook 12"):
        flow.answer(sheet="own", upload=str(own))


def test_choices_reach_the_fit():
    one_way = answered(way="out", road="numbers", head_wind="0,5", gradient="0.1", without="31 32")
    assert "one way" in one_way.markdown()
    by_code = fit(saltpan_lane().without(31, 32).choose("out"), pairs=False, head_wind=0.5, gradient=0.001)
    assert one_way.result.drag_area == pytest.approx(by_code.drag_area["P"], rel=1e-12)
    given = answered(tyres="given", rolling_coefficient="0.005")
    assert "was assumed to be 0.0050" in given.result.sentence
    with pytest.raises(ValueError, match="lap '99' is not on this sheet"):
        answered(without="99")


def test_it_is_kept_with_the_rider_of_the_learner():
    flow = answered()
    with pytest.raises(ValueError, match="You have no rider yet"):
        flow.save()
    Profile().keep_me(rider={"all_up_mass": 70.0, "drag_area": 0.3, "drag_area_from": "typed",
                             "rolling_coefficient": 0.004, "power": 200.0})  # fmt: skip
    flow.save()
    kept = Profile().rider
    assert kept["power"] == 200.0 and kept["all_up_mass"] == 84.0
    assert kept["drag_area"] == pytest.approx(flow.result.drag_area, abs=5e-4)
    with pytest.raises(ValueError, match="no drag area yet"):
        FieldFlow().save()


def test_speeds_too_much_alike_are_refused_in_words():
    slow = saltpan_lane().laps
    others = " ".join(slow.lap[(slow.speed - kmh(36)).abs() > 1.0])
    with pytest.raises(ValueError, match="nearly one speed"):
        answered(without=others)


def test_the_empty_sheet_is_saved_and_never_over_another(tmp_path):
    flow = FieldFlow()
    first, second = flow.save_empty_sheet(tmp_path, 8), flow.save_empty_sheet(tmp_path)
    assert (first.name, second.name) == ("field_sheet.csv", "field_sheet_2.csv")
    assert first.read_text(encoding="utf-8") == empty_sheet(8)


def test_the_widgets_follow_the_questions(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    flow = FieldFlow()
    view = flow.view(flow)
    (_, empty), (_, keep) = view.actions
    empty.click()
    assert "Saved as field_sheet.csv" in view.saved.value
    flow.answer(sheet="Saltpan Lane", way="pairs", road="sheet", tyres="fit", position="K")
    view.follow()
    assert "Position K has a drag area" in view.page.value
    keep.click()
    assert "You have no rider yet" in view.saved.value
    view.close()
