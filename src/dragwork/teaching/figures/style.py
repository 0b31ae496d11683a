"""The look of every picture: one typeface, readable sizes, and one fixed look for each quantity.

A quantity keeps its colour, line style and marker through all notebooks. No meaning rests on
colour alone: lines that meet in one picture differ in style and marker too, so that they stay
apart in grey. Colours are those of Okabe & Ito (2008) that reach 3:1 on white, and a plum; text
is darker.
"""

from importlib import resources
from textwrap import wrap

from matplotlib import rc_context, rc_params_from_file
from matplotlib.figure import Figure

from dragwork.teaching.figures.canvas import Canvas

WHITE = "#ffffff"
BLACK = "#000000"
BLUE = "#0072b2"
VERMILLION = "#d55e00"
GREEN = "#009e73"
PLUM = "#7a2f5c"  # darker than their purple: without green cones that one nears the green
GREY = "#767676"

INK = "#1a1a1a"  # text
QUIET_INK = "#595959"  # axis labels and remarks

DOTS_PER_INCH = 100  # at scale 1: one dot is one pixel of the page
TEXT_SIZE = 11.0  # points, 15 pixels at scale 1: still text at half the width of a phone
WIDTH = 5.7  # inch: beside the knobs, and still to be read in a room
LETTER = 0.085  # inch, about the mean width of a letter of that size
LINE = 0.19  # inch, from one line to the next
BESIDE = 16  # letters of a name beside its line; longer ones go on below

# Lines of quantities. Unpack into `axes.plot(x, y, **QUANTITY["air"])`.
QUANTITY = {
    "air": {"color": BLUE, "linestyle": "-", "linewidth": 2.4, "marker": "o"},
    "rolling": {"color": GREEN, "linestyle": "--", "linewidth": 2.2, "marker": "s"},
    "slope": {"color": VERMILLION, "linestyle": "-.", "linewidth": 2.2, "marker": "^"},
    "losses": {"color": PLUM, "linestyle": ":", "linewidth": 2.6, "marker": "v"},
    "total": {"color": BLACK, "linestyle": "-", "linewidth": 1.8, "marker": "x"},
}

# Set-ups of a test, in the order of the sheet.
SET_UP = {
    "A": {"color": BLACK, "linestyle": "-", "linewidth": 2.0, "marker": "o"},
    "B": {"color": VERMILLION, "linestyle": "--", "linewidth": 2.0, "marker": "s"},
    "C": {"color": BLUE, "linestyle": "-.", "linewidth": 2.0, "marker": "^"},
}

# The state before the last move, and what the learner predicted.
BEFORE = {"color": GREY, "linestyle": (0, (1, 2)), "linewidth": 1.6, "marker": "None"}
PREDICTION = {
    "color": VERMILLION,
    "linestyle": "None",
    "marker": "D",
    "markersize": 10,
    "markerfacecolor": "none",
    "markeredgewidth": 2.0,
}

_SETTINGS = rc_params_from_file(resources.files(__package__) / "house.mplstyle", use_default_template=False)


def styled():
    """Context in which axes take our look: `with styled(): axes = figure.add_subplot()`."""
    return rc_context(_SETTINGS)


def new_figure(width=WIDTH, height=4.0, **grid):
    """A figure in our style and its axes, made without pyplot: nothing global, nothing to close.

    Parameters
    ----------
    width, height : float [inch]
        One inch is 100 pixels of the page.
    **grid
        As `Figure.subplots` takes them: rows, shared axes, ratios.

    Returns
    -------
    (Figure, Axes or array of Axes)
    """
    with styled():
        figure = Figure(figsize=(width, height), dpi=DOTS_PER_INCH)
        Canvas(figure)
        return figure, figure.subplots(**grid)


def name_axes(axes, across, up):
    """Name both axes, with units; the upright one level, over its axis, so that it reads easily."""
    with styled():
        axes.set_xlabel(across)
        axes.set_title(up, color=QUIET_INK, fontsize=TEXT_SIZE, x=-0.075, pad=14, loc="left")


def bare(look, **changes):
    """A look without its marker, for a curve: `axes.plot(x, y, **bare(QUANTITY["air"]))`."""
    return {**look, "marker": "None", **changes}


SIDES = {  # offset in points, how the text stands to it across and up
    "right": ((8, 0), "left", "center"),
    "left": ((-8, 0), "right", "center"),
    "above left": ((-8, 5), "right", "bottom"),
    "above": ((0, 8), "center", "bottom"),
    "above right": ((8, 5), "left", "bottom"),
    "below left": ((-8, -5), "right", "top"),
    "below": ((0, -8), "center", "top"),
    "below right": ((8, -5), "left", "top"),
}


def label_line(axes, text, look, x=0.0, y=0.0, side="right", **more):
    """Write a line's name beside it, in the line's colour made dark enough to read.

    Parameters
    ----------
    axes : Axes
    text : str
    look : dict
        The look of the line.
    x, y : float
        Data coordinates of the end of the line.
    side : str
        Where the text stands: 'right', 'left', 'above', 'below', or a corner: 'above left'.
    **more
        As `Axes.annotate` takes it.

    Returns
    -------
    Annotation
        Move it with `.xy = (x, y)`, or to another side with `put`.
    """
    offset, across, up = SIDES[side]
    there = {"xytext": offset, "ha": across, "va": up, "color": text_colour(look["color"])} | more
    with styled():
        return axes.annotate(text, (x, y), textcoords="offset points", annotation_clip=False, **there)


def wrapped(name, letters):
    """A name on lines of so many letters at the most."""
    return "\n".join(wrap(name, letters)) or name


def widest(names):
    """Letters of the longest line of some names."""
    return max((len(line) for name in names for line in name.split("\n")), default=0)


def put(label, x, y, side):
    """Move a label to a point, and to a side of it."""
    offset, across, up = SIDES[side]
    label.xy, label.xyann = (x, y), offset
    label.set(ha=across, va=up)


def apart(heights, least, highest=float("inf")):
    """Heights for words that would stand on each other: as given, moved up as far as need be.

    Parameters
    ----------
    heights : sequence of float
    least : float
        Between two of them.
    highest : float, optional
        None is higher; those below it give way downwards.

    Returns
    -------
    list of float
        In the order given.
    """
    upwards = sorted(range(len(heights)), key=heights.__getitem__)
    moved = list(heights)
    for lower, upper in zip(upwards, upwards[1:]):
        moved[upper] = max(moved[upper], moved[lower] + least)
    for upper in reversed(upwards):
        moved[upper] = min(moved[upper], highest)
        highest = moved[upper] - least
    return moved


def text_colour(colour):
    """The colour itself, or as much darker as text on white needs: a contrast of 4.5 to 1 (WCAG 2.2)."""
    return {VERMILLION: "#c35600", GREEN: "#008460"}.get(colour, colour)
