"""The one picture of curves: lines, points with their readings, the trace of before, the guesses.

What it shows is data: planes of axes and lines, each line named by the fields of the panel's result.
Names and readings look for a free place by themselves.
"""

from dataclasses import dataclass
from operator import attrgetter

import numpy as np
from matplotlib.patches import FancyArrowPatch, Polygon

from dragwork.quantities import true_minus
from dragwork.teaching.figures import style
from dragwork.teaching.figures.guesses import Guesses
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.places import find_places
from dragwork.teaching.figures.shapes import figures, shape_in_words
from dragwork.teaching.figures.style import BEFORE, GREY, bare, label_line, name_axes, put
from dragwork.units import UNITS
from dragwork.wording import filled_in

GUIDE = {"color": GREY, "linestyle": "--", "linewidth": 1.4, "marker": "None"}
_LEAST = 5  # points of a curve that is told in words
ZERO = {"color": GREY, "linestyle": "-", "linewidth": 0.8, "marker": "None"}


@dataclass(frozen=True)
class Axis:
    """An axis of a plane: its name as on the page, a key of `units.UNITS`, its ends in that unit."""

    name: str
    unit: str
    low: float
    high: float
    ticks: object = None  # numbers, or a dict of number to word
    log: bool = False

    def shown(self, values):
        """Values in SI as the axis shows them."""
        return UNITS[self.unit].out_of_si(np.asarray(values, float))

    def words(self, shown):
        """A value of the axis with its unit: `935 W`."""
        return f"{figures(shown)} {UNITS[self.unit].printed}".replace(" °", "°").strip()

    def share(self, shown):
        """How far along the axis, from 0 to 1."""
        low, high, here = (np.log(x) if self.log else x for x in (self.low, self.high, np.asarray(shown)))
        return (here - low) / (high - low)


@dataclass(frozen=True, eq=False)
class Line:
    """A line, or a point where both values are single numbers.

    Parameters
    ----------
    x, y : str or float or callable or None
        Field of the result [SI], a number or numbers [SI], or a function of the result [SI]; None is the whole
        axis. One that gives None or nan hides the line.
    look : dict
        Of a line; with a `facecolor`, of the area between its points; with an `arrowstyle`, of an arrow.
    name : str or callable
        Stands at the point, or beside the curve: words with gaps for fields of the result, `{saving:.1f W}`, in SI
        where they name a unit, or a function of the result.
    trace : bool or dict
        Whether the state before is drawn too, or the look in which it is.
    drop : bool
        Whether thin lines lead from a point to both axes.
    sides : tuple of str, or str, or callable
        Where the name may stand, the best one first, or a function of the result that gives it; by default anywhere. A
        word: there, at a point, whatever is there.
    """

    x: object
    y: object
    look: dict
    name: object = ""
    trace: object = False
    drop: bool = False
    sides: tuple = ()


class Plane:
    """One pair of axes with its lines.

    Parameters
    ----------
    across, up : Axis
    *lines : Line
        Drawn in this order. Points have the first choice of a place for their names.
    guesses : callable, optional
        Takes a prediction and the result, returns where it is marked: (x, y) in SI; or None.
    share : float
        Of the figure's height or width.
    still : callable, optional
        Draws on the axes what neither moves nor answers anything.
    """

    def __init__(self, across, up, *lines, guesses=None, share=1.0, still=None):
        self.across, self.up, self.lines, self.share, self.still = across, up, lines, share, still
        self.guesses = guesses or (lambda guess, result: None)


def curve(x, y, look, reading, name="", **point):
    """The curve of a field over a knob, from the result's `.along`, with a trace; on it the point of here and its reading."""
    return Line(f"along.{x}", f"along.{y}", bare(look), name, trace=True), Line(x, y, look, reading, **point)


def ranges(low, high):
    """Ends of ranges along one line, with a gap after each."""
    return np.column_stack([low, high, np.full(len(low), np.nan)]).ravel()


def at(knob):
    """Guesses of what is on the upright axis, each at its value of a knob."""
    return lambda guess, result: (guess.at[knob], guess.value)


def plot(title, across, up, *lines, guesses=None, still=None, **layout):
    """The picture of one plane."""
    return Curves(title, Plane(across, up, *lines, guesses=guesses, still=still), **layout)


class Curves(Picture):
    """A picture of planes, one above the other or side by side.

    Parameters
    ----------
    title : str
    *planes : Plane
    height : float [inch]
    across : bool
        Whether the planes stand side by side.
    told : bool
        Whether the curves are told in words and tables; else the panel's own sentence says what is drawn.
    **layout
        As `Figure.subplots_adjust` takes it.
    """

    def __init__(self, title, *planes, height=4.0, across=False, told=True, **layout):
        shares, number = [plane.share for plane in planes], len(planes)
        grid = {"ncols": number, "width_ratios": shares} if across else {"nrows": number, "height_ratios": shares}
        figure, axes = style.new_figure(height=height, squeeze=False, **grid)
        figure.subplots_adjust(**layout)
        self.planes = [Drawn(plane, each) for plane, each in zip(planes, axes.flat)]
        self._told = self.planes if told else []
        super().__init__(title, figure, [artist for plane in self.planes for artist in plane.artists])

    def update(self, result, before=None, predictions=()):
        for plane in self.planes:
            plane.update(result, before, predictions)

    def shape(self, result):
        """How each curve runs, in sentences, from the points that are drawn."""
        return " ".join(sentence for plane in self._told for sentence in plane.shapes(result))

    def tables(self, result):
        """The curves' values at the ticks of the axis across: a tuple of (caption, rows)."""
        last = self.planes[-1].plane.across.name
        found = ((drawn, drawn.curves(result)) for drawn in self._told)
        return tuple(drawn.table(curves, drawn.plane.across.name or last) for drawn, curves in found if curves)


class Drawn:
    """A plane on its axes; `.lines` are the artists in the order of the plane's lines."""

    def __init__(self, plane, axes):
        self.plane, self._axes = plane, axes
        self._both = plane.across, plane.up
        for axis, which in zip(self._both, "xy"):
            scale = "log" if axis.log else "linear"
            axes.set(**{f"{which}scale": scale, f"{which}lim": (axis.low, axis.high)})
            if axis.ticks is not None:
                words = axis.ticks if isinstance(axis.ticks, dict) else {x: figures(x) for x in axis.ticks}
                axes.set(**{f"{which}ticks": list(words), f"{which}ticklabels": words.values()})
                axes.minorticks_off()
        name_axes(axes, plane.across.name, plane.up.name)
        lines = plane.lines
        self.traces = {line: self._plot(BEFORE if line.trace is True else line.trace) for line in lines if line.trace}
        thin = {"linewidth": 1, "linestyle": ":"}
        self._drops = {line: self._plot(bare(line.look, **thin)) for line in lines if line.drop}
        self.lines = [self._plot(line.look) for line in lines]
        named = [line for line in lines if line.name]
        self._names = {line: label_line(axes, "", line.look, xycoords="axes fraction") for line in named}
        self.guesses = Guesses(axes)
        moving = self.traces.values(), self._drops.values(), self.lines, self.guesses.artists, self._names.values()
        self.artists = [artist for each in moving for artist in each]
        self.artists.sort(key=lambda artist: not isinstance(artist, _Area))  # behind all lines
        if plane.still:
            plane.still(axes)

    def _plot(self, look):
        if "facecolor" in look:
            return self._axes.add_patch(_Area(np.empty((0, 2)), **look))
        if "arrowstyle" in look:
            return self._axes.add_patch(_Arrow((0, 0), (1, 0), **look))
        return self._axes.plot([], [], **look)[0]

    def update(self, result, before, predictions):
        across, up = self._both
        drawn = {line: self._data(line, result) for line in self.plane.lines}
        for artist, (x, y) in zip(self.lines, drawn.values()):
            seen = len(x) != 1 or self._within(x, y)[0]
            artist.set_data(*((x, y) if seen else ([], [])))
            artist.set_clip_on(len(x) > 1)  # a mark on the edge is drawn whole
        for line, artist in self.traces.items():
            artist.set_data(*(self._data(line, before) if before else ([], [])))
        for line, artist in self._drops.items():
            x, y = drawn[line]
            artist.set_data([across.low, *x, *x], [*y, *y, up.low])
        marked = [here for guess in predictions if (here := self.plane.guesses(guess, result))]
        guessed = np.reshape([[across.shown(x), up.shown(y)] for x, y in marked], (-1, 2))
        self.guesses.show(guessed)
        self._name(result, drawn, guessed)

    # -- in words and numbers -----------------------------------------------------------------------

    def curves(self, result):
        """Name to the drawn points (x, y) of each curve, within the axes; no guides, no marks alone."""
        found = {}
        for line in self.plane.lines:
            x, y = self._data(line, result)
            seen = self._within(x, y)
            if line.look.get("linestyle") not in ("None", "none", "") and seen.sum() >= _LEAST:
                found.setdefault(_words(line.name, result) or self.plane.up.name, (x[seen], y[seen]))
        return found

    def shapes(self, result):
        """A sentence a curve: `Air power at the wheel, W: rises from ...`."""
        return [f"{name}: {shape_in_words(x, y, *self._both)}." for name, (x, y) in self.curves(result).items()]

    def table(self, curves, heading):
        """(caption, rows): a row at each tick of the axis across, which the heading names."""
        up, rows = self.plane.up, []
        rising = {name: (x[order], y[order]) for name, (x, y) in curves.items() for order in [np.argsort(x)]}
        for tick in self._axes.get_xticks():
            there = {name: x[0] <= tick <= x[-1] for name, (x, _) in rising.items()}
            row = {name: up.words(np.interp(tick, *rising[name])) if there[name] else "–" for name in rising}
            if any(there.values()):
                rows.append({heading: figures(tick)} | row)
        return up.name, rows

    def _data(self, line, result):
        """Coordinates of a line as the axes show them; none where it is not to be seen."""
        both = [
            np.array([axis.low, axis.high]) if value is None else axis.shown(_value(value, result))
            for axis, value in zip(self._both, (line.x, line.y))
        ]
        x, y = np.broadcast_arrays(*map(np.atleast_1d, both))
        return (x, y) if np.isfinite(x + y).any() else (x[:0], y[:0])

    def _name(self, result, drawn, guessed):
        """Write the names, each where it has room."""
        place, figure = self._axes.get_position(original=True), 100 * self._axes.figure.get_size_inches()
        size = np.array([place.width, place.height]) * figure
        pixels = {line: self._pixels(x, y, size) for line, (x, y) in drawn.items()}
        asked = []
        for line, words in self._names.items():
            at, sides = pixels[line], line.sides(result) if callable(line.sides) else line.sides
            text = _words(line.name, result) if len(at) else ""
            if text and isinstance(sides, str):
                put(words, *(at[0] / size), sides)
            elif text:
                at, text = _beyond(at, text, size) if len(at) == 1 else (at, text)
                asked.append((words, text, at, sides))
            words.set_text(text)
        asked.sort(key=lambda each: len(each[2]) > 1)  # points first
        marks = self._pixels(*guessed.T, size)[:, None]
        wanted = [each[1:] for each in asked]
        free = find_places(wanted, [*pixels.values(), *marks], (*size, (1 - place.x1) * figure[0]))
        for (words, *_), place in zip(asked, free):
            words.set_visible(place is not None)
            if place:
                put(words, *(place[0] / size), place[1])

    def _within(self, x, y):
        """Which points lie on the plane, its edges included."""
        return np.logical_and(*(abs(axis.share(v) - 0.5) < 0.5 + 1e-9 for axis, v in zip(self._both, (x, y))))

    def _pixels(self, x, y, size):
        across, up = self._both
        return np.column_stack([across.share(x), up.share(y)]) * size


class _Area(Polygon):
    """An area between points, moved as a line is."""

    def set_data(self, x, y):
        self.set_xy(np.column_stack([x, y]))


class _Arrow(FancyArrowPatch):
    """An arrow from the first of two points to the second, moved as a line is."""

    def set_data(self, x, y):
        self.set_positions(*np.column_stack([x, y]))


def _beyond(point, text, size):
    """A point outside the picture is read at its edge, with an arrow."""
    there = np.clip(point, 0, size)
    (right, up) = np.sign(np.round(point - there)[0])
    arrow = {(0, 1): " ↑", (0, -1): " ↓", (1, 0): " →", (-1, 0): " ←"}.get((0 if up else right, up), "")
    return there, text + arrow


def _words(name, result):
    return true_minus(name(result)) if callable(name) else filled_in(name, vars(result)) if "{" in name else name


def _value(value, result):
    if isinstance(value, str):
        value = attrgetter(value)(result)
    elif callable(value):
        value = value(result)
    return np.nan if value is None else value
