"""Predictions: they lock, are drawn, are compared with what the panel then shows."""

import pytest

from dragwork.teaching.forms import choose, guess
from dragwork.teaching.forms.form import LINE
from dragwork.teaching.panels import quoted_watts
from dragwork.teaching.profile import Profile
from dragwork.units import kmh

PROMPT = "A. Rosalind, 28.3 km/h, still air: how many watts?"


@pytest.fixture(scope="module")
def picture():
    return quoted_watts()


@pytest.fixture
def panel(picture):
    picture.reset()
    picture.predictions, picture.followers = (), []
    return picture


def rosalind(panel):
    return guess(panel, PROMPT, "W", ground_speed=kmh(28.3))


def test_it_prints_with_a_line_to_write_on(panel):
    g = rosalind(panel)
    assert g.markdown() == f"{PROMPT}\n\nMy prediction: {LINE} W"
    assert guess(None, "How warm?", "degC").markdown().endswith(f"{LINE} °C")


def test_locked_it_is_drawn_and_stays(panel, own_file):
    g = rosalind(panel)
    assert g.lock("0,012 kW", "sure") == "Predicted: 12 W, sure."
    assert [mark.value for mark in panel.predictions] == [12.0]
    assert panel.predictions[0].at["ground_speed"] == pytest.approx(kmh(28.3))
    assert g.lock("3.6 W") == "Predicted: 12 W, sure."
    assert [entry["value"] for entry in Profile().entries("prediction")] == [12.0]


def test_after_the_panel_stands_there_it_says_how_far_off(panel):
    g = rosalind(panel)
    panel.set(ground_speed=kmh(40))
    g.lock("12 W")
    assert g.sentence == "Predicted: 12 W."
    panel.set(ground_speed=kmh(28.3))
    # 20 W × (28.3/50)³ = 3.63 W
    expected = "Predicted: 12 W. The panel stands there: 3.63 W. The prediction was 8.4 W too high."
    assert g.sentence == expected
    panel.set(ground_speed=kmh(50))
    assert g.sentence == expected, "what was seen stays"


def test_all_knobs_must_stand_where_they_stood_or_were_named(panel):
    g = guess(panel, PROMPT, "W", ground_speed=kmh(30), wind_speed=3)
    g.lock("1")
    panel.set(ground_speed=kmh(30))
    assert g.seen is None
    panel.set(wind_speed=3, quoted=30)
    assert g.seen is None, "the watts quoted were 20"
    panel.set(quoted=20)
    assert g.seen is not None and "too low" in g.sentence


def test_a_near_prediction_is_called_close(panel):
    g = rosalind(panel)
    g.lock("3.6")
    panel.set(ground_speed=kmh(28.3))
    assert g.sentence.endswith("apart: close.")


def test_it_comes_back_locked_and_drawn(panel):
    rosalind(panel).lock("12 W", "a guess")
    panel.predictions = ()
    again = rosalind(panel)
    assert again.sentence == "Predicted: 12 W, a guess."
    assert panel.predictions[0].value == 12.0
    assert again.markdown() == f"{PROMPT}\n\nPredicted: 12 W, a guess."


def test_what_cannot_be_read_helps_and_is_not_lost(panel):
    g = rosalind(panel)
    assert "not read as a number" in g.lock("twelve")
    assert (g.locked, g.typed, panel.predictions) == (None, "twelve", ())
    assert "not a unit of power" in g.lock("12 km/h")
    g.type("13")
    assert rosalind(panel).typed == "13"
    assert "How sure is one of" in g.lock("12", "very")


def test_a_panel_that_names_no_value_is_compared_by_eye(panel, monkeypatch):
    monkeypatch.setattr(panel, "_observed", None)
    g = rosalind(panel)
    g.lock("12")
    panel.set(ground_speed=kmh(28.3))
    assert g.sentence == "Predicted: 12 W. The panel stands there now: compare."


def test_without_a_panel_it_is_kept():
    g = guess(None, "The real question: how many watts?", "W")
    assert g.lock(20) == "Predicted: 20 W."
    assert guess(None, "The real question: how many watts?", "W").locked == 20


def test_an_unknown_unit_is_the_authors_slip(panel):
    with pytest.raises(ValueError, match="'watts' is no unit here"):
        guess(panel, PROMPT, "watts")


# -- a choice ---------------------------------------------------------------------------------------

OPTIONS = ("10 %", "5 %", "3 %")


def tobin():
    return choose("two-ways", "Tobin's drag area falls by 10 %. How much faster is he?", OPTIONS)


def test_a_choice_locks_and_comes_back():
    c = tobin()
    assert c.markdown().endswith("- ☐ 10 %\n- ☐ 5 %\n- ☐ 3 %")
    assert c.lock("4 %") == "Choose one of these: 10 %, 5 % or 3 %."
    assert "How sure" in c.lock("5 %", "very") and c.locked is None
    assert c.lock("5 %", "sure") == "Chosen: 5 %, sure."
    assert c.lock("3 %") == "Chosen: 5 %, sure."
    assert tobin().markdown().endswith("Chosen: 5 %, sure.")
