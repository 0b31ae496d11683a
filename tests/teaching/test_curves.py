"""The generic picture of curves, free places for its words, and guesses at the edge.

Where words are and how large is measured by matplotlib's own renderer on the drawn picture.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
from panel_checks import all_panels, at_both_ends, every_knob_moves, made

from dragwork.teaching.figures.curves import GUIDE, Axis, Curves, Line, Plane, at
from dragwork.teaching.figures.places import find_places
from dragwork.teaching.figures.style import QUANTITY, bare
from dragwork.teaching.panels.panel import Prediction
from dragwork.units import kmh

SIZE = (500, 300, 30)
PANELS = pytest.mark.parametrize(("name", "needed"), list(all_panels()), ids=[name for name, _ in all_panels()])


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


# -- all pictures of all panels ---------------------------------------------------------------------


def _ticks(axis):
    """The labels of an axis that are seen; none is written twice."""
    low, high = sorted(axis.get_view_interval())
    seen = [t.label1 for t in axis.get_major_ticks() if low - 1e-9 <= t.get_loc() <= high + 1e-9 and t.label1.get_text()]
    assert len({text.get_text() for text in seen}) == len(seen)
    return seen


def _cut_or_covered(figure, words):
    """What is said of words that do not fit, measured on the drawn picture."""
    drawn = figure.canvas.get_renderer()
    ticks = [t for a in figure.axes for t in (*_ticks(a.xaxis), *_ticks(a.yaxis))]
    others = [t for a in figure.axes for t in (a.title, a._left_title, a.xaxis.label) if t.get_text()] + ticks
    boxes = [text.get_window_extent(drawn) for text in words]
    for text, box in zip([*words, *others], [*boxes, *(t.get_window_extent(drawn) for t in others)]):
        inside = box.x0 >= -1 and box.y0 >= -1 and box.x1 <= figure.bbox.x1 + 1 and box.y1 <= figure.bbox.y1 + 1
        if not inside:
            yield f"'{text.get_text()}' is cut"
    for i, one in enumerate(boxes):
        for other, text in zip(boxes[i + 1 :], words[i + 1 :]):
            if one.padded(-2).overlaps(other.padded(-2)):
                yield f"'{words[i].get_text()}' on '{text.get_text()}'"


@cache
def looked_at(name, needed):
    """A panel, and at its reference case and both ends of each knob: sentence, picture, words that do not fit."""
    panel, seen = made(name, needed), {}
    for where in at_both_ends(panel):
        said, png = panel.sentence, panel.picture.png()
        seen[where] = said, png, list(_cut_or_covered(panel.figure, shown(panel.picture)))
    assert len(seen) == 1 + 2 * len(panel.knobs)
    return panel, seen


@PANELS
def test_no_word_is_cut_and_none_stands_on_another(name, needed):
    _, seen = looked_at(name, needed)
    assert seen and not {where: odd for where, (_, _, odd) in seen.items() if odd}


@PANELS
def test_no_guess_vanishes(name, needed):
    """A wild one is an arrow at the edge, wherever a panel marks guesses."""
    panel = made(name, needed)
    if panel.observed is None:
        pytest.skip("nothing is predicted here")
    bare = panel.picture.png()
    panel.predict(1e6 * abs(panel.observed) + 100)
    assert not panel.figure.stale, "what does not move is not drawn again"
    guesses = getattr(panel.picture, "guesses", None) or getattr(panel.picture, "_guesses", None)
    every = [guesses] if guesses else [plane.guesses for plane in panel.picture.planes]
    marks = [line.get_marker() for one in every for line in one.artists if len(line.get_xdata())]
    assert len(marks) == 1 and marks[0] in "<>^v"
    assert panel.picture.png() != bare, "a prediction is drawn"


@PANELS
def test_every_knob_changes_picture_and_sentence_over_its_whole_range(name, needed):
    panel, seen = looked_at(name, needed)
    every_knob_moves(panel, {where: both for where, (*both, _) in seen.items()})
