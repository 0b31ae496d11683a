"""Panel: five things that Tobin could change, in seconds on one road, each with its range."""

from dragwork import units
from dragwork.decisions.options import rank
from dragwork.physics.course import Course, Leg
from dragwork.scenario.choices import choices
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.figures.ranges import RangeRows, Ranges
from dragwork.teaching.panels.knobs import Knob, knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.panels.sentences import on_a_slope
from dragwork.teaching.report import listed
from dragwork.teaching.telling import sentence

DISTANCE = units.kilometres(10)
HELD = Knob("held", "Position held for", "", "%", 0, 80, 100, 5, 0)
_DRAWS = 200  # a range that moves with the slider; a table takes more


@model
def ranked(power, gradient, held):
    """Tobin's five options over 10 km of one slope.

    The rows of the picture, best first, and the options with their seconds. SI.
    """
    options = choices(TOBIN, held)
    table = rank(options, TOBIN.rider, Course([Leg(DISTANCE, gradient)]), power, draws=_DRAWS)
    rows = RangeRows(
        tuple(table.option),
        tuple(table.low), tuple(table.seconds), tuple(table.high),
        tuple(
            f"{_whole(row.seconds)} s ({_whole(row.low)} to {_whole(row.high)})" for row in table.itertuples()
        ),
    )  # fmt: skip
    order = tuple((row.option, float(row.seconds)) for row in table.itertuples())
    return dict(rows=rows, order=order)


def _whole(seconds):
    return f"{round(seconds):d}".replace("-", "−")


@sentence
def in_words(result):
    """Over 10 km {road} at {power:.0f W}, the position held for {held:.0f %} of the way, the order is: {said}."""
    said = [f"{name} ({abs(s):.0f} s{' lost' if round(s) < 0 else ''})" for name, s in result.order]
    return dict(road=on_a_slope(result.gradient), said=listed(said))


def what_first():
    """The panel: turn the power, the slope and how long the position is held."""
    power = knob("power", low=90, high=400)
    gradient = knob("gradient", low=0, high=5)
    first = ranked(TOBIN.power, 0.0, 0.8).rows
    across = (
        "Seconds saved over 10 km. Dot: median. Line: 80 % range.\n"
        "Ring: the median before the last move."
    )
    picture = Ranges("Seconds saved by each of five options", across, first)
    return Panel((power, gradient, HELD), ranked, picture, in_words)
