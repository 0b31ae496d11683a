"""The generic picture of curves, free places for its words, and guesses at the edge."""

from dataclasses import dataclass

import numpy as np
import pytest

from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.places import find_places
from dragwork.teaching.figures.style import QUANTITY, bare
from dragwork.teaching.panels.panel import Prediction
from dragwork.units import kmh

SIZE = (500, 300, 30)


@dataclass(frozen=True)
class Cubic:
    """A curve that is checked by hand: y = x^3 / 1000, at some speeds in km/h."""

    speed: float
    limit: float | None = None
    speeds = kmh(np.linspace(0, 60, 61))
    values = np.linspace(0, 60, 61) ** 3 / 1000

    @property
    def value(self):
        return (self.speed * 3.6) ** 3 / 1000


def a_picture():
    return Curves(
        "A cubic",
        Plane(
            Axis("Speed, km/h", "km/h", 0, 60),
            Axis("Value", "1", 0, 200),
            Line("limit", None, GUIDE, "the limit"),
            Line("speeds", "values", bare(QUANTITY["air"]), trace=True),
            Line("speed", "value", QUANTITY["air"], lambda r: f"{r.value:.0f}", drop=True),
            guesses=at("speed"),
        ),
    )


def shown(picture):
    """Words that the picture shows beside its lines."""
    return [text for axes in picture.figure.axes for text in axes.texts if text.get_text() and text.get_visible()]


def test_a_line_shows_fields_in_the_units_of_its_axes():
    picture = a_picture()
    picture.update(Cubic(kmh(40)), before=Cubic(kmh(20)))
    (plane,) = picture.planes
    guide, curve, point = plane.lines
    (trace,) = plane.traces.values()
    assert len(guide.get_xdata()) == 0, "None hides a line"
    assert curve.get_xdata() == pytest.approx(np.arange(61)) and curve.get_ydata()[50] == 125
    assert point.get_xydata() == pytest.approx(np.array([[40, 64]]))
    assert trace.get_ydata()[50] == 125
    assert [text.get_text() for text in shown(picture)] == ["64"]
    picture.update(Cubic(kmh(40), limit=kmh(30)))
    assert guide.get_xydata() == pytest.approx(np.array([[30, 0], [30, 200]]))
    assert len(trace.get_xdata()) == 0


def test_a_point_beyond_the_picture_is_read_at_its_edge():
    picture = a_picture()
    picture.update(Cubic(kmh(60)))
    assert len(picture.planes[0].lines[2].get_xdata()) == 0
    (reading,) = shown(picture)
    assert reading.get_text() == "216 ↑"


@pytest.mark.parametrize(
    ("value", "speed", "marker", "where"),
    [(50, 30, "D", (30, 50)), (900, 30, "^", (30, 200)), (-5, 30, "v", (30, 0)), (50, 80, ">", (60, 50)),
     (900, 80, "^", (60, 200))],
)  # fmt: skip
def test_a_guess_beyond_the_picture_is_an_arrow_at_its_edge(value, speed, marker, where):
    picture = a_picture()
    picture.update(Cubic(kmh(40)), predictions=[Prediction(value, {"speed": kmh(speed)})])
    marks = [line for line in picture.planes[0].guesses.artists if len(line.get_xdata())]
    assert [line.get_marker() for line in marks] == [marker]
    assert marks[0].get_xydata() == pytest.approx(np.array([where]))
    picture.update(Cubic(kmh(40)))
    assert not any(len(line.get_xdata()) for line in picture.planes[0].guesses.artists)


def test_words_keep_off_lines_and_off_each_other():
    x = np.linspace(0, 500, 200)
    falling = np.column_stack([x, 300 - 0.6 * x])
    flat = np.column_stack([x, np.full(200, 150.0)])
    places = find_places([("falling", falling, ()), ("flat", flat, ())], [falling, flat], SIZE)
    for word, line, (point, side) in zip(("falling", "flat"), (falling, flat), places):
        assert np.hypot(*(line - point).T).min() < 5, f"{word} is beside its line"
        assert side in ("above right", "below left", "above", "below", "above left", "below right")
    assert abs(places[0][0] - places[1][0]).max() > 20


def test_a_word_without_room_is_left_out():
    point = np.array([[250.0, 150.0]])
    places = find_places([("12 W", point, ("right",)), ("13 W", point, ("right",))], [point], SIZE)
    assert places[0][1] == "right" and places[1] is None
