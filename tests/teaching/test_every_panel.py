"""Every panel of the library: its words and its picture at the ends of all knobs, its guesses, its secret.

Where words are and how large is measured by matplotlib's own renderer on the drawn picture. A panel is made
once for its tests, and its model is asked once for the same knobs.
"""

import re
from functools import cache
from itertools import chain

import pytest
from habits import broken
from matplotlib.text import Text
from panel_checks import Asked, all_panels, at_both_ends, every_knob_moves, in_every_corner, made

from dragwork.teaching.figures.curves import Curves

pytestmark = pytest.mark.parametrize(("name", "needed"), list(all_panels()), ids=[name for name, _ in all_panels()])
#: Points and intervals, bars, and curves whose numbers the sentence has: it is the picture in words.
IN_ITS_SENTENCE = {"identical_helmets", "wind_triangle", "yaw_day", "yaw_curves", "tunnel_savings"}


@cache
def kept(name, needed):
    panel = made(name, needed)
    panel._model = cache(panel._model)
    return panel


@pytest.fixture
def panel(name, needed):
    """The panel, as it was made."""
    panel = kept(name, needed)
    yield panel
    panel.predictions, panel.guesses, panel._shown = (), [], False
    panel.reset()


def _ticks(axis):
    """The labels of an axis that are seen; none is written twice."""
    low, high = sorted(axis.get_view_interval())
    seen = [t.label1 for t in axis.get_major_ticks() if low - 1e-9 <= t.get_loc() <= high + 1e-9 and t.label1.get_text()]
    assert len({text.get_text() for text in seen}) == len(seen)
    return seen


def _cut_or_covered(figure):
    """What is said of words that do not fit, measured on the drawn picture."""
    drawn = figure.canvas.get_renderer()
    words = [text for axes in figure.axes for text in axes.texts if text.get_text() and text.get_visible()]
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
    """The panel at its reference case and both ends of each knob: sentence, picture, words that do not fit."""
    panel, seen = kept(name, needed), {}
    for where in at_both_ends(panel):
        seen[where] = panel.sentence, panel.picture.png(), list(_cut_or_covered(panel.figure))
    assert len(seen) == 1 + 2 * len(panel.knobs)
    return seen


def test_no_word_is_cut_and_none_stands_on_another(name, needed, panel):
    seen = looked_at(name, needed)
    assert not {where: odd for where, (_, _, odd) in seen.items() if odd}


def test_every_knob_changes_picture_and_sentence_over_its_whole_range(name, needed, panel):
    every_knob_moves(panel, {where: both for where, (*both, _) in looked_at(name, needed).items()})


def test_a_panel_has_none_of_the_habits(panel):
    """Its sentence, text alternative and every word in the picture, at the ends of all knobs; no hyphen for a minus,
    no minus zero."""
    said, words = [panel.picture.title, *(knob.label for knob in panel.knobs.values())], panel.figure.findobj(Text)
    for _ in chain(at_both_ends(panel), in_every_corner(panel)):
        said += [panel.sentence, panel.alt, panel.note, *(text.get_text() for text in words)]
    assert panel.figure.findobj(Text) == words, "no word came or went"
    assert broken("\n".join(said)) == []
    assert not [text for text in said if re.search(r"(?<!\w)[-−+]0(\.0+)?(?![.:]?\d)|(?<!\w)-\d", text)]


def test_its_shape_is_in_its_alt_and_its_numbers_in_its_tables(name, panel):
    assert panel.alt.startswith(f"{panel.picture.title}. ") and "nan" not in panel.alt
    curves = isinstance(panel.picture, Curves) and name not in IN_ITS_SENTENCE
    assert bool(panel.tables) is curves
    assert (panel.sentence in panel.alt) is not curves
    for caption, rows in panel.tables:
        assert caption and len(rows) >= 2 and all(len(row) >= 2 and all(row.values()) for row in rows)


def test_no_guess_vanishes(panel):
    """A wild one is an arrow at the edge, wherever a panel marks guesses."""
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


def test_closed_it_shows_and_says_the_same_wherever_its_knobs_are(panel):
    opened, said = panel.picture.png(), panel.sentence
    panel.keep_secret(Asked())
    seen = {(panel.picture.png(), panel.sentence, panel.alt) for _ in at_both_ends(panel)}
    assert len(seen) == 1, "something in it still moves, and so can be read off"
    ((picture, sentence, _),) = seen
    assert picture != opened
    assert not set(re.findall(r"\d[\d.]*", sentence)), "a number before the guess"
    panel.reset(), panel.reveal()
    assert (panel.picture.png(), panel.sentence) == (opened, said)
