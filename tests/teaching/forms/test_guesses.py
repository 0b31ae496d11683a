"""Predictions: they lock, are drawn, are compared with what the panel then shows."""

import pytest

from dragwork.teaching.forms import choose, guess
from dragwork.teaching.forms.form import LINE
from dragwork.teaching.panels import quoted_watts
from dragwork.teaching.profile import Profile
from dragwork.units import kmh

PROMPT = "A. Rosalind, 28.3 km/h, still air: how many watts?"


REPLIES = {
    "10 %": "No. The drag grows with the speed again.",
    "5 %": "No. The watts grow with the cube.",
    "3 %": "Yes. A third of the cut.",
}


@pytest.fixture(scope="module")
def picture():
    return quoted_watts()


@pytest.fixture
def panel(picture):
    picture.reset()
    picture.predictions, picture.guesses = (), []
    return picture


def rosalind(panel):
    return guess(panel, "rosalind", PROMPT, "W", ground_speed=kmh(28.3))


# 20 W × (28.3/50)³ = 3.63 W
PAID = "Your guess: 12 W, sure. It is 3.63 W: 8.4 W too high."


def test_it_prints_with_a_line_to_write_on(panel):
    assert rosalind(panel).markdown() == f"{PROMPT}\n\nMy prediction: {LINE} W"
    assert guess(None, "warm", "How warm?", "degC", answer=20).markdown().endswith(f"{LINE} °C")


def test_locked_it_is_drawn_paid_and_stays(panel, own_file):
    g = rosalind(panel)
    assert panel.closed
    assert g.lock("0,012 kW", "sure") == PAID
    assert not panel.closed and "28.3" not in panel.sentence, "the panel is open, and moves when it is moved"
    assert [mark.value for mark in panel.predictions] == [12.0]
    assert panel.predictions[0].at["ground_speed"] == pytest.approx(kmh(28.3))
    assert g.lock("3.6 W") == PAID
    assert [entry["value"] for entry in Profile().entries("prediction")] == [12.0]


def test_it_is_paid_for_the_knobs_as_they_were_named_or_stood(panel):
    panel.set(quoted=40)
    g = guess(panel, "into-wind", PROMPT, "W", ground_speed=kmh(28.3))
    assert g.lock("7.25") == "Your guess: 7.25 W. It is 7.25 W: you hit it."


@pytest.mark.parametrize(
    "typed, paid",
    [("3.6", "close."), ("-3.5", "the right size, with the wrong sign."), ("1", "2.6 W too low.")],
)
def test_it_says_how_far_off(panel, typed, paid):
    assert rosalind(panel).lock(typed).endswith(f"It is 3.63 W: {paid}")


def test_percentages_are_apart_by_points():
    g = guess(None, "density", "By what percentage does it change?", "%", answer=-3.3, because="Warm air is thinner.")
    assert g.lock("-5 %") == "Your guess: −5 %. It is −3.3 %: 1.7 points too low. Warm air is thinner."


def test_it_comes_back_locked_and_drawn(panel):
    rosalind(panel).lock("12 W", "sure")
    panel.predictions, panel.guesses = (), []
    again = rosalind(panel)
    assert again.sentence == PAID and not panel.closed
    assert panel.predictions[0].value == 12.0
    assert again.markdown() == f"{PROMPT}\n\n{PAID}"


def test_a_reworded_prompt_still_finds_it(panel):
    rosalind(panel).lock("12 W", "sure")
    assert guess(panel, "rosalind", "Rosalind: how many?", "W", ground_speed=kmh(28.3)).sentence == PAID


def test_on_a_second_evening_it_can_be_guessed_again(panel):
    first = rosalind(panel)
    first.lock("12 W", "sure")
    assert not first.from_file, "on the evening itself it stays as it was made"
    second = rosalind(panel)
    assert second.from_file
    second.again()
    assert panel.closed and second.sentence == "Last time: 12 W."
    assert second.lock("4") == "Last time: 12 W. Your guess: 4 W. It is 3.63 W: 0.37 W too high."
    assert [entry["value"] for entry in Profile().entries("prediction")] == [12.0, 4.0]


def test_what_cannot_be_read_helps_and_is_not_lost(panel):
    g = rosalind(panel)
    assert "not read as a number" in g.lock("twelve")
    assert (g.locked, g.typed, panel.predictions) == (None, "twelve", ())
    assert "not a unit of power" in g.lock("12 km/h")
    g.type("13")
    assert rosalind(panel).typed == "13"
    assert "How sure is one of" in g.lock("12", "very")
    assert panel.closed


def test_a_cell_run_twice_asks_once(panel):
    rosalind(panel)
    rosalind(panel).lock("12 W")
    assert not panel.closed


def test_an_authors_slip_is_named(panel):
    with pytest.raises(ValueError, match="'watts' is no unit here"):
        guess(panel, "rosalind", PROMPT, "watts")
    with pytest.raises(ValueError, match="never paid"):
        guess(None, "room", "How heavy?", "kg")


# -- a choice ---------------------------------------------------------------------------------------


def tobin(panel=None):
    return choose("two-ways", "Tobin's drag area falls by 10 %. How much faster is he?", REPLIES, panel=panel)


def test_a_choice_locks_is_paid_and_comes_back(panel):
    c = tobin(panel)
    assert panel.closed
    assert c.markdown().endswith("- ☐ 10 %\n- ☐ 5 %\n- ☐ 3 %")
    assert c.lock("4 %") == "Choose one of these: 10 %, 5 % or 3 %."
    assert "How sure" in c.lock("5 %", "very") and c.locked is None and panel.closed
    said = "You chose: 5 %, sure. No. The watts grow with the cube."
    assert c.lock("5 %", "sure") == said and not panel.closed
    assert c.lock("3 %") == said
    again = tobin()
    assert again.markdown().endswith(said)
    again.again()
    assert again.lock("3 %") == "Last time: 5 %. You chose: 3 %. Yes. A third of the cut."
