"""The shape of a curve in words, and its points as a table: against curves whose shape is known."""

from dataclasses import dataclass

import numpy as np
import pytest

from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane
from dragwork.teaching.figures.shapes import figures, shape_in_words
from dragwork.teaching.forms import guess
from dragwork.teaching.panels import quoted_watts, watts_curve

ACROSS, UP = Axis("Speed, km/h", "km/h", 0, 60), Axis("Power, W", "W", 0, 1000)
X = np.linspace(0, 60, 61)


@pytest.mark.parametrize(
    ("curve", "words"),
    [
        (X**3 / 240, "rises from 0 W at 0 km/h to 900 W at 60 km/h, steeper and steeper"),
        (900 * np.sqrt(X / 60), "rises from 0 W at 0 km/h to 900 W at 60 km/h, less and less steeply"),
        (15 * X, "rises from 0 W at 0 km/h to 900 W at 60 km/h, in a straight line"),
        (900 - 15 * X, "falls from 900 W at 0 km/h to 0 W at 60 km/h, in a straight line"),
        ((X - 30) ** 2, "falls from 900 W at 0 km/h to 0 W at 30 km/h, then rises to 900 W at 60 km/h"),
        (0 * X + 400 + np.sin(X), "stays near 400 W from 0 km/h to 60 km/h"),
        (500 + 400 * np.sin(X), "goes up and down between 100 W and 900 W"),
    ],
    ids=["cube", "root", "line", "falling", "bowl", "flat", "waves"],
)
def test_the_shape_of_a_known_curve(curve, words):
    assert shape_in_words(X, curve, ACROSS, UP) == words
    assert shape_in_words(X[::-1], curve[::-1], ACROSS, UP) == words


def test_a_shape_is_told_as_it_is_drawn():
    """A cube is a straight line on two axes of logarithms."""
    across, up = Axis("", "km/h", 1, 100, log=True), Axis("", "W", 1e-3, 1e4, log=True)
    assert shape_in_words(X[1:], X[1:] ** 3 / 240, across, up).endswith("in a straight line")


@dataclass(frozen=True)
class Two:
    x, one, two = X / 3.6, X**3 / 240, 15 * X
    here, top = 10.0, 600.0


def a_picture():
    return Curves("Two", Plane(ACROSS, UP,
        Line(None, 900.0, GUIDE, "the most"),
        Line("x", "one", {"color": "#000000", "linestyle": "-"}, "a cube"),
        Line("x", "two", {"color": "#000000", "linestyle": "--"}, "a line"),
        Line("x", "two", {"color": "#000000", "linestyle": "None"}, "marks"),
        Line("here", "top", {"color": "#000000", "linestyle": "-"}, "a point"),
    ))  # fmt: skip


def test_curves_are_told_and_neither_guides_nor_marks_nor_points():
    said = a_picture().shape(Two())
    assert said.count("rises") == 2 and "a cube: rises" in said and "a line: rises" in said
    assert not any(words in said for words in ("the most", "marks", "a point"))


def test_the_table_has_the_values_of_the_curves_at_the_ticks():
    ((caption, rows),) = a_picture().tables(Two())
    assert caption == "Power, W"
    for row in rows:
        speed = float(row["Speed, km/h"])
        assert row["a cube"] == f"{figures(speed**3 / 240)} W" and row["a line"] == f"{figures(15 * speed)} W"
    assert len(rows) >= 4


def test_the_alt_has_the_learners_own_guess():
    panel = watts_curve()
    asked = guess(panel, "alt", "How many watts at 40 km/h?", "W", ground_speed=40 / 3.6)
    assert panel.tables == () and "rises" not in panel.alt
    asked.lock("5 W")
    assert panel.alt.endswith("Your guess: 5 W.") and "rises from 0 W" in panel.alt and panel.tables


def test_a_closed_panel_tells_no_shape():
    panel = quoted_watts()
    guess(panel, "alt 2", "How many watts at 30 km/h?", "W", ground_speed=30 / 3.6)
    assert "rises" not in panel.alt
